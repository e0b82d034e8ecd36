import { createByteDecoder, type TextEncoding } from "./decode-bytes";
import { ERROR_CATALOGUE } from "./error-catalogue";
import { createRecordReader } from "./record-reader";
import type { Refusal } from "./refusal";
import { type Dialect, sniffDialect } from "./sniff/dialect";
import { sniffEncoding } from "./sniff/encoding";
import { type SniffedHeader, sniffHeader } from "./sniff/header";

/** The head of a log, cut into records, with how that was done. */
export type LogHead = {
  readonly encoding: TextEncoding;
  readonly encodingMarked: boolean;
  readonly dialect: Dialect;
  readonly header: SniffedHeader;
  /** Physical line of the header, from 1; 0 where there is none. */
  readonly headerLine: number;
  /** Records below the header that are complete in the head. */
  readonly rows: readonly string[][];
  readonly lines: readonly number[];
};

/**
 * Reads the first bytes of a log: encoding, dialect, header, and the rows in it. `whole` says that the head
 * is the whole file. `known` are column names that the header has, where a map gives some.
 */
export function readHead(
  name: string,
  bytes: Uint8Array,
  whole: boolean,
  known: readonly string[],
): { ok: true; head: LogHead } | { ok: false; refusal: Refusal } {
  if (bytes.length === 0) return refuse("file.empty", name, "The file is empty: it has 0 bytes.");
  const encoding = sniffEncoding(bytes);
  if (!encoding.ok) return refuse(encoding.code, name, encoding.what);
  const decoder = createByteDecoder(encoding.encoding);
  const decoded = decoder.push(bytes);
  if (decoded === null) return refuse("file.encoding", name, "The file holds bytes that are no text.");
  if (decoded.includes("\u0000")) {
    return refuse("file.not-a-table", name, "The file holds characters of value 0, which no text has.");
  }
  if (decoded.trim() === "") return refuse("file.empty", name, "The file holds nothing but white space.");
  const tooLong = longLine(decoded, whole);
  if (tooLong !== null) return refuse("file.not-a-table", name, tooLong);
  const dialect = sniffDialect(decoded);
  if (dialect === null) {
    return refuse(
      "file.not-a-table",
      name,
      "No delimiter (comma, semicolon, tab, bar) gives its lines two columns or more.",
    );
  }
  const reader = createRecordReader({
    delimiter: dialect.delimiter,
    newline: dialect.newline,
    columns: dialect.columns,
  });
  const first = reader.push(decoded);
  // The last line of a head is cut off unless the head is the whole file.
  const rest = whole ? reader.end() : null;
  const blocks = rest === null ? [first] : [first, rest];
  const rows: string[][] = [];
  const lines: number[] = [];
  for (const block of blocks) {
    for (let i = 0; i < block.rows.length; i++) {
      rows.push(block.rows[i]);
      lines.push(block.lines === null ? block.firstLine + i : block.lines[i]);
    }
  }
  const header = sniffHeader(rows, dialect.columns, known);
  const broken = blocks.flatMap((block) => block.broken);
  if (header === null) {
    // Where nothing came out at all, the quote holds the whole head.
    const open =
      rows.length === 0 ? { line: 1, text: decoded } : broken.find(({ code }) => code === "row.open-quote");
    return open === undefined
      ? refuse("file.not-a-table", name, "No line has the columns that most lines have.")
      : refuse(
          "file.not-a-table",
          `${name}, line ${open.line}`,
          `A quotation mark opens on line ${open.line} and is never closed, and no line under it is a header: "${open.text.split(/[\r\n]/, 1)[0].slice(0, 80)}".`,
        );
  }
  const below = rows.slice(header.row + 1);
  if (whole && below.length === 0 && broken.length === 0) {
    return refuse("file.empty", name, "The log has a header and no record under it.");
  }
  return {
    ok: true,
    head: {
      encoding: encoding.encoding,
      encodingMarked: encoding.marked,
      dialect,
      header,
      headerLine: header.row === -1 ? 0 : lines[header.row],
      rows: below,
      lines: lines.slice(header.row + 1),
    },
  };
}

/** What is wrong where the whole head is one line. */
function longLine(decoded: string, whole: boolean): string | null {
  if (whole || /[\r\n]/.test(decoded.trim())) return null;
  return `The first ${decoded.length} characters of the file are one line: it has no line ends where a table has them.`;
}

function refuse(code: Refusal["code"], name: string, what: string): { ok: false; refusal: Refusal } {
  return { ok: false, refusal: { code, what, where: name, hint: ERROR_CATALOGUE[code].hint } };
}
