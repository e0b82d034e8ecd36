import Papa from "papaparse";

/** Longest record, in characters. A quote that is not closed by then never is. */
export const MAX_RECORD_CHARS = 1024 * 1024;

/** A stretch of text that is no record: reported in place of one. */
export type BrokenRecord = {
  readonly line: number;
  readonly code: "row.open-quote" | "row.field-count";
  readonly text: string;
};

/** The records that one piece of text completed. */
export type RecordBlock = {
  readonly rows: readonly string[][];
  /** Physical line (from 1) of `rows[0]`. */
  readonly firstLine: number;
  /** Line of each row; null where row i stands on line firstLine + i. */
  readonly lines: readonly number[] | null;
  readonly broken: readonly BrokenRecord[];
};

/** Cuts text that comes in pieces into records of fields, with their physical lines. */
export type RecordReader = {
  push(text: string): RecordBlock;
  end(): RecordBlock;
  /**
   * Physical line of the next record, where what was read so far are whole lines and at most a part of that one; null
   * in the middle of a quote or of a line that is too long.
   */
  nextLine(): number | null;
};

export type RecordReaderOptions = {
  readonly delimiter: string;
  /** "\n" stands for LF and CRLF; "\r" for files that have nothing but CR. */
  readonly newline: "\n" | "\r";
  /** Fields of a record; null where it isn't known, for the header. */
  readonly columns: number | null;
  /** Physical line that it begins with; 1 without it. */
  readonly firstLine?: number;
};

/**
 * Record reader in the manner of RFC 4180, through papaparse's synchronous parser. Memory is bounded: a line
 * longer than MAX_RECORD_CHARS is reported and skipped; a quote that opens and is not closed within that
 * bound, at the end of the file, or only by swallowing lines to a wrong number of fields is reported for the
 * line on which it opened, and reading goes on with the next physical line.
 */
export function createRecordReader(options: RecordReaderOptions): RecordReader {
  const { delimiter, newline, columns } = options;
  const parser = rowParser({ delimiter, newline, quoteChar: '"' });
  const firstOnly = rowParser({ delimiter, newline, quoteChar: '"', preview: 1 });
  let carry = "";
  let line = options.firstLine ?? 1;
  let skippingLine = false;
  // After an open quote, as far as it was looked for its end, lines are read each by itself: this keeps the
  // work linear whatever stands in the file.
  let singleLineChars = 0;

  function read(text: string, last: boolean): RecordBlock {
    const broken: BrokenRecord[] = [];
    const firstLine = line;
    let input = carry === "" ? text : carry + text;
    carry = "";
    if (skippingLine) {
      const end = input.indexOf(newline);
      if (end === -1) return { rows: [], firstLine, lines: null, broken };
      input = input.slice(end + 1);
      line++;
      skippingLine = false;
    }
    if (!last) {
      const end = input.lastIndexOf(newline);
      carry = input.slice(end + 1);
      input = input.slice(0, end + 1);
    }
    const block = input === "" ? emptyBlock(line, broken) : lineUp(input, last, broken);
    if (carry.length > MAX_RECORD_CHARS && carry.indexOf(newline) === -1) {
      broken.push({ line, code: "row.field-count", text: carry.slice(0, 200) });
      carry = "";
      skippingLine = true;
    }
    return block;
  }

  /** Whole lines: at once where every line turns out to be a record, else record by record. */
  function lineUp(input: string, last: boolean, broken: BrokenRecord[]): RecordBlock {
    const firstLine = line;
    const terminated = input.endsWith(newline);
    const body = terminated ? input.slice(0, -1) : input;
    if (singleLineChars === 0) {
      if (body.indexOf('"') === -1) {
        const { data } = parser(body);
        // An empty body is one blank line; papaparse gives no row for it.
        const rows = data.length === 0 ? [[""]] : data;
        if (newline === "\r" || input.indexOf("\r") === -1 || dropCarriageReturns(rows, columns)) {
          line += rows.length;
          return { rows, firstLine, lines: null, broken };
        }
        line = firstLine;
      } else {
        const { data, errors } = parser(body);
        // In a file of CR a line feed inside of quotes ends a physical line too.
        const oneLineEach = newline === "\n" || body.indexOf("\n") === -1;
        if (oneLineEach && errors.length === 0 && data.length === countLines(body, newline)) {
          if (newline === "\r" || input.indexOf("\r") === -1 || dropCarriageReturns(data, columns)) {
            line += data.length;
            return { rows: data, firstLine, lines: null, broken };
          }
        }
      }
    }
    return oneByOne(input, last, broken);
  }

  function oneByOne(input: string, last: boolean, broken: BrokenRecord[]): RecordBlock {
    const firstLine = line;
    const rows: string[][] = [];
    const lines: number[] = [];
    let at = 0;
    while (at < input.length) {
      const end = lineEnd(input, at, newline);
      const text = input.slice(at, end.text);
      const { data, errors } = text.indexOf('"') === -1 ? parser(text) : firstOnly(text);
      const closed = !errors.some(isMissingQuote);
      if (closed || singleLineChars > 0) {
        if (closed) {
          rows.push(data.length === 0 ? [""] : data[0]);
          lines.push(line);
        } else {
          broken.push({ line, code: "row.open-quote", text: text.slice(0, 200) });
        }
        singleLineChars = Math.max(0, singleLineChars - (end.next - at));
        line++;
        at = end.next;
        continue;
      }
      const rest = input.slice(at);
      const found = firstOnly(rest.slice(0, MAX_RECORD_CHARS));
      const open = found.errors.some(isMissingQuote);
      if (open && !last && rest.length + carry.length <= MAX_RECORD_CHARS) {
        // Its end may come with the next piece of the file.
        carry = rest + carry;
        break;
      }
      const raw = rest.slice(0, open ? MAX_RECORD_CHARS : found.cursor);
      const cells = found.data[0] ?? [""];
      if (open || found.errors.length > 0 || (columns !== null && cells.length !== columns)) {
        broken.push({ line, code: "row.open-quote", text: text.slice(0, 200) });
        singleLineChars = Math.max(0, raw.length - (end.next - at));
        line++;
        at = end.next;
        continue;
      }
      dropCarriageReturn(cells);
      rows.push(cells);
      lines.push(line);
      line += countLineEnds(raw);
      at += raw.length;
    }
    return { rows, firstLine, lines, broken };
  }

  return {
    push: (text) => read(text, false),
    end: () => read("", true),
    nextLine: () => (skippingLine || singleLineChars > 0 || carry.includes(newline) ? null : line),
  };
}

function emptyBlock(firstLine: number, broken: readonly BrokenRecord[]): RecordBlock {
  return { rows: [], firstLine, lines: null, broken };
}

type Parsed = { data: string[][]; errors: { code: string }[]; cursor: number };

function rowParser(config: Papa.ParseConfig): (text: string) => Parsed {
  // The low-level parser: it leaves out papaparse's guessing, header handling and per-row wrapping.
  const Parser = Papa.Parser as unknown as new (
    config: Papa.ParseConfig,
  ) => { parse(text: string): { data: string[][]; errors: { code: string }[]; meta: { cursor: number } } };
  const parser = new Parser(config);
  return (text) => {
    const { data, errors, meta } = parser.parse(text);
    return { data, errors, cursor: meta.cursor };
  };
}

/**
 * Takes the CR of CRLF off the last field of each row. False where a CR stands elsewhere in a row of the
 * wrong size: it ends a line there, and the rows have to be cut again.
 */
function dropCarriageReturns(rows: readonly string[][], columns: number | null): boolean {
  for (const cells of rows) {
    dropCarriageReturn(cells);
    if (columns !== null && cells.length === columns) continue;
    for (const cell of cells) if (cell.indexOf("\r") !== -1) return false;
  }
  return true;
}

function dropCarriageReturn(cells: string[]): void {
  const at = cells.length - 1;
  const cell = cells[at];
  if (cell.charCodeAt(cell.length - 1) === 13) cells[at] = cell.slice(0, -1);
}

/** End of the physical line that begins at `from`, where CRLF, LF and a lone CR each end one. */
function lineEnd(input: string, from: number, newline: "\n" | "\r"): { text: number; next: number } {
  const feed = input.indexOf(newline, from);
  const end = feed === -1 ? input.length : feed;
  if (newline === "\n") {
    const cr = input.slice(from, end).indexOf("\r");
    if (cr !== -1 && from + cr < end - 1) return { text: from + cr, next: from + cr + 1 };
    if (cr !== -1) return { text: from + cr, next: feed === -1 ? end : end + 1 };
  }
  return { text: end, next: feed === -1 ? end : end + 1 };
}

function countLines(text: string, newline: string): number {
  let n = 1;
  for (let at = text.indexOf(newline); at !== -1; at = text.indexOf(newline, at + 1)) n++;
  return n;
}

/** Line ends of a record that is known to span lines: CRLF, LF and a lone CR each count once. */
function countLineEnds(raw: string): number {
  const ends = raw.match(/\r\n|\n|\r/g)?.length ?? 0;
  return /[\r\n]$/.test(raw) ? ends : ends + 1;
}

function isMissingQuote(error: { code: string }): boolean {
  return error.code === "MissingQuotes";
}
