import type { ColumnMapInput } from "../site/column-map-schema";
import { createByteDecoder } from "./decode-bytes";
import { ERROR_CATALOGUE } from "./error-catalogue";
import { headerAgain } from "./header-again";
import { type BrokenRecord, createRecordReader } from "./record-reader";
import type { Refusal } from "./refusal";
import { sniffDecimalMark } from "./sniff/decimal-mark";
import { type Dialect, sniffDialect } from "./sniff/dialect";
import { type SniffedEncoding, sniffEncoding } from "./sniff/encoding";
import { type SniffedHeader, sniffHeader } from "./sniff/header";
import { type SpreadRecords, spreadRecords } from "./spread-records";

type Encoding = Omit<Extract<SniffedEncoding, { ok: true }>, "ok">;

/** The head of a log, cut into records, with how that was done. */
export type LogHead = {
  readonly encoding: Encoding;
  readonly dialect: Dialect;
  readonly header: SniffedHeader;
  /** Physical line of the header, from 1; 0 where there is none. */
  readonly headerLine: number;
  /** Physical line of the first record: what stands above it is none. */
  readonly bodyLine: number;
  /** What stands above the header, line by line, fields divided by spaces. */
  readonly preamble: readonly string[];
  /** Records from the first one with figures on that are complete in the head; of very many some, evenly spread. */
  readonly rows: readonly string[][];
  readonly lines: readonly number[];
};

/**
 * Reads the first bytes of a log: encoding, dialect, header, and the rows in it. `whole` says that the head
 * is the whole file. `known` are column names that the header has, where a map gives some. What `text` states is
 * taken as it stands, and refused where the head shows that it is wrong.
 */
export function readHead(
  name: string,
  bytes: Uint8Array,
  whole: boolean,
  known: readonly string[],
  text: ColumnMapInput["text"] = {},
): { ok: true; head: LogHead } | { ok: false; refusal: Refusal } {
  if (bytes.length === 0) return refuse("file.empty", name, "The file is empty: it has 0 bytes.");
  const encoding = sniffEncoding(bytes, text.encoding);
  if (!encoding.ok) return refuse(encoding.code, name, encoding.what);
  const decoded = createByteDecoder(encoding.encoding, encoding.open).push(bytes);
  if (decoded.trim() === "") return refuse("file.empty", name, "The file holds nothing but white space.");
  const tooLong = longLine(decoded, whole);
  if (tooLong !== null) return refuse("file.not-a-table", name, tooLong);
  const dialect = sniffDialect(decoded, text);
  if (dialect === null) {
    return text.delimiter === undefined
      ? refuse(
          "file.not-a-table",
          name,
          "No delimiter (comma, semicolon, tab, bar) gives its lines two columns or more.",
        )
      : refuse(
          "file.text-wrong",
          name,
          `The column map says that ${JSON.stringify(text.delimiter)} stands between fields; no line has it.`,
        );
  }
  const { rows, lines, broken } = recordsOf(decoded, dialect, whole, known, text.headerLine);
  const wrong = contradicted(text, rows, lines, dialect);
  if (wrong !== null) return refuse("file.text-wrong", name, wrong);
  const given = text.headerLine === undefined ? null : lines.indexOf(text.headerLine);
  const header = sniffHeader(rows, dialect.columns, known, given);
  if (header === null) return refuse("file.not-a-table", ...openQuote(name, decoded, rows, broken));
  const below = upToOtherHeader(rows.slice(header.firstRow), header);
  if (whole && below.length === 0 && broken.length === 0) {
    return refuse("file.empty", name, "The log has a header and no record under it.");
  }
  const headerLine = header.row === -1 ? 0 : lines[header.row];
  return {
    ok: true,
    head: {
      encoding,
      dialect,
      header,
      headerLine,
      bodyLine: headerLine > 0 ? headerLine + 1 : (lines[header.firstRow] ?? 1),
      preamble: rows
        .slice(0, header.row === -1 ? header.firstRow : header.row)
        .map((cells) => cells.join(" ").trim()),
      rows: below,
      lines: lines.slice(header.firstRow, header.firstRow + below.length),
    },
  };
}

/** The rows above the first header that has the columns in another order, or others. */
function upToOtherHeader(rows: string[][], { row, names }: SniffedHeader): string[][] {
  const name = names.reduce((a, b) => (b.length > a.length ? b : a), "");
  if (row < 0 || name === "") return rows;
  const end = rows.findIndex((cells) => {
    if (!cells.includes(name)) return false;
    const again = headerAgain(cells, names, []);
    return again !== null && again !== "same";
  });
  return end < 0 ? rows : rows.slice(0, end);
}

/** Whether the header's longest name comes again further down. */
function namedAgain(decoded: string, { rows }: SpreadRecords, { row, names }: SniffedHeader): boolean {
  if (row < 0) return false;
  const longest = names.reduce((a, b) => (b.length > a.length ? b : a), "");
  const first = decoded.indexOf(longest);
  // So many times it stands in the header and above it.
  const times = rows.slice(0, row + 1).flatMap((cells) => cells.filter((c) => c.includes(longest))).length;
  let at = first;
  for (let n = 0; n < times && at !== -1; n++) at = decoded.indexOf(longest, at + longest.length);
  return longest !== "" && at !== -1;
}

type Records = { rows: string[][]; lines: number[]; broken: BrokenRecord[] };

/** The records of the head; of a long one some, unless something in its middle looks like another header. */
function recordsOf(
  decoded: string,
  dialect: Dialect,
  whole: boolean,
  known: readonly string[],
  headerLine = 0,
): Records {
  const spread = headerLine > 1 ? null : spreadRecords(decoded, dialect, whole);
  if (spread !== null) {
    const header = sniffHeader(spread.rows, dialect.columns, known, headerLine === 0 ? null : 0);
    if (header !== null && !namedAgain(decoded, spread, header)) return { ...spread, broken: [] };
  }
  const reader = createRecordReader(dialect);
  const blocks = [reader.push(decoded)];
  // The last line of a head is cut off unless the head is the whole file.
  if (whole) blocks.push(reader.end());
  const rows: string[][] = [];
  const lines: number[] = [];
  for (const block of blocks) {
    for (let i = 0; i < block.rows.length; i++) {
      rows.push(block.rows[i]);
      lines.push(block.lines === null ? block.firstLine + i : block.lines[i]);
    }
  }
  return { rows, lines, broken: blocks.flatMap((block) => block.broken) };
}

/** What the head shows to be wrong of the choices that a map states; null for nothing. */
function contradicted(
  text: NonNullable<ColumnMapInput["text"]>,
  rows: readonly string[][],
  lines: readonly number[],
  dialect: Dialect,
): string | null {
  const { headerLine, decimalMark } = text;
  if (headerLine !== undefined && headerLine > 0 && !lines.includes(headerLine)) {
    return `The column map says that the header is line ${headerLine}; no record begins there.`;
  }
  if (decimalMark === undefined) return null;
  const same = rows.slice(0, CHECKED_ROWS).filter((cells) => cells.length === dialect.columns);
  const shown = sniffDecimalMark(same, dialect.delimiter);
  if (shown.mark === decimalMark || shown.confidence < 1 || shown.figures.eitherWay === undefined)
    return null;
  const sure = Number(shown.figures.pointForSure) + Number(shown.figures.commaForSure);
  return sure === 0
    ? null
    : `The column map says that decimals stand behind "${decimalMark}"; all ${sure} numbers that show it have "${shown.mark}".`;
}

const CHECKED_ROWS = 400;

/** Where no header was found: where, and what to say. */
function openQuote(
  name: string,
  decoded: string,
  rows: readonly string[][],
  broken: readonly BrokenRecord[],
): [where: string, what: string] {
  // Where nothing came out at all, the quote holds the whole head.
  const open =
    rows.length === 0 ? { line: 1, text: decoded } : broken.find(({ code }) => code === "row.open-quote");
  if (open === undefined) return [name, "No line has the columns that most lines have."];
  return [
    `${name}, line ${open.line}`,
    `A quotation mark opens on line ${open.line} and is never closed, and no line under it is a header: "${open.text.split(/[\r\n]/, 1)[0].slice(0, 80)}".`,
  ];
}

/** What is wrong where the whole head is one line. */
function longLine(decoded: string, whole: boolean): string | null {
  if (whole || /[\r\n]/.test(decoded.trim())) return null;
  return `The first ${decoded.length} characters of the file are one line: it has no line ends where a table has them.`;
}

function refuse(code: Refusal["code"], name: string, what: string): { ok: false; refusal: Refusal } {
  return { ok: false, refusal: { code, what, where: name, hint: ERROR_CATALOGUE[code].hint } };
}
