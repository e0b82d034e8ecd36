import { cellKind } from "./cell-kind";
import { unitRow } from "./unit-row";

/** Where a log's header stands, and what its columns are called. */
export type SniffedHeader = {
  /** Row of the head that is the header; -1 where the log has none. */
  readonly row: number;
  /** First row of figures. */
  readonly firstRow: number;
  /** Trimmed; "1", "2" … where there is no header. */
  readonly names: readonly string[];
  /** Per column all that the header says: the group above it, its name, the unit under it in brackets. */
  readonly titles: readonly string[];
  /** Row of units under the header; -1 for none. */
  readonly unitRow: number;
  /** Row of groups over the header, such as "Battery" over "V" and "A"; -1 for none. */
  readonly groupRow: number;
  readonly confidence: number;
};

/** How far down the first row of figures may stand. */
const SEARCHED_ROWS = 400;

/**
 * Finds where the figures of a log begin, and the header above them: the nearest line of texts about as wide as
 * they are. A row of units under it and a row of groups over it are read along. Lines further up (a title, the
 * logger's name, "key: value", whatever their width) are no records. A log whose figures have no texts above them
 * has no header. Null where there are no figures and no line as wide as `columns`.
 *
 * @param rows the first records
 * @param columns fields in most of them
 * @param known names that a column map gives: the row that has most of them is the header
 * @param given row of the header where the map states its line, -1 for none; null where it doesn't
 */
export function sniffHeader(
  rows: readonly string[][],
  columns: number,
  known: readonly string[],
  given: number | null = null,
): SniffedHeader | null {
  const searched = rows.slice(0, SEARCHED_ROWS);
  const firstRow = firstFigures(searched, columns);
  if (given !== null) return withHeader(searched, given, Math.max(firstRow, given + 1), columns, 1);
  const found = headerOver(searched, firstRow, columns);
  const wanted = new Set(known.map(fold));
  if (found !== null && hasAll(found.names, wanted))
    return { ...found, confidence: wanted.size > 0 ? 1 : found.confidence };
  const named = rowOfNames(searched, wanted);
  return named < 0 ? found : withHeader(searched, named, Math.max(firstRow, named + 1), columns, 1);
}

function headerOver(rows: readonly string[][], firstRow: number, columns: number): SniffedHeader | null {
  if (firstRow < 0) {
    const row = rows.findIndex((cells) => cells.length >= columns);
    return row === -1 ? null : withHeader(rows, row, row + 1, columns, 0.6);
  }
  let row = firstRow - 1;
  while (row >= 0 && isBlank(rows[row])) row--;
  if (row < 0 || !couldBeHeader(rows[row], columns)) return withHeader(rows, -1, firstRow, columns, 0.9);
  if (unitRow(rows[row]) !== null && row > 0 && couldBeHeader(rows[row - 1], columns)) row--;
  const doubtful = rows[row].some((c) => cellKind(c) === "number");
  return withHeader(rows, row, firstRow, columns, doubtful ? 0.8 : 0.95);
}

function hasAll(names: readonly string[], wanted: ReadonlySet<string>): boolean {
  const there = new Set(names.map(fold));
  for (const name of wanted) if (!there.has(name)) return false;
  return true;
}

/** The header at `row`, with the rows of units and groups that belong to it. */
function withHeader(
  rows: readonly string[][],
  row: number,
  firstRow: number,
  columns: number,
  confidence: number,
): SniffedHeader {
  const data = rows.slice(firstRow);
  const width = dataWidth(data, columns);
  if (row < 0) {
    const names = Array.from({ length: width }, (_, i) => String(i + 1));
    return { row: -1, firstRow, names, titles: names, unitRow: -1, groupRow: -1, confidence };
  }
  const names = trimmed(rows[row]);
  // The first column of row numbers may have no name at all, not even an empty one.
  if (names.length === width - 1 && countsUp(data)) names.unshift("");
  while (names.length < width) names.push("");
  let units: string[] | null = null;
  let unitsAt = -1;
  for (let at = row + 1; at < firstRow && units === null; at++) {
    units = isBlank(rows[at]) ? null : unitRow(rows[at]);
    unitsAt = at;
  }
  const groups = row > 0 ? groupsOver(rows[row - 1], names) : null;
  const whole = names.map((name, i) => {
    const group = groups?.[i] ?? "";
    return name === "" || group === "" ? name || group : `${group} ${name}`;
  });
  return {
    row,
    firstRow,
    names: groups === null ? names : names.map((name, i) => name || whole[i]),
    titles: whole.map((title, i) =>
      (units?.[i] ?? "") === "" || /[)\]}]$/.test(title) ? title : `${title} (${units?.[i]})`,
    ),
    unitRow: units === null ? -1 : unitsAt,
    groupRow: groups === null ? -1 : row - 1,
    confidence,
  };
}

/**
 * The first row of figures: of the columns that hold figures further down, it has figures in some and texts in
 * hardly any. -1 where no column holds figures.
 */
function firstFigures(rows: readonly string[][], columns: number): number {
  const same = rows.filter((r) => r.length === columns);
  // The lower half is free of what stands above a table, and a footer is short.
  const lower = same.slice(Math.floor(same.length / 2));
  const figures: number[] = [];
  for (let c = 0; c < columns; c++) {
    let filled = 0;
    let figure = 0;
    for (const cells of lower) {
      const kind = cellKind(cells[c]);
      if (kind === "empty") continue;
      filled++;
      if (kind !== "text") figure++;
    }
    if (figure > 0 && figure >= 0.6 * filled) figures.push(c);
  }
  if (figures.length === 0) return -1;
  const inRow = rows.map((cells) => figuresIn(cells, figures, columns));
  return inRow.findIndex(
    // One figure in a line, such as a date over the table, is a row of the table where the next line is one too.
    (n, row) => n >= Math.min(2, figures.length) || (n > 0 && (inRow[row + 1] ?? 0) > 0),
  );
}

/** How many of the columns have a figure in the row; 0 where more than a few have a text. */
function figuresIn(cells: readonly string[], figures: readonly number[], columns: number): number {
  if (cells.length < columns || trimmed(cells).length > columns) return 0;
  let figure = 0;
  let text = 0;
  for (const c of figures) {
    const kind = cellKind(cells[c] ?? "");
    if (kind === "text") text++;
    else if (kind !== "empty") figure++;
  }
  return text <= 0.25 * (figure + text) ? figure : 0;
}

/** Row that has most of the names, one at least; of equal ones the first. -1 for none. */
function rowOfNames(rows: readonly string[][], wanted: ReadonlySet<string>): number {
  let best = -1;
  let most = 0;
  for (let row = 0; row < rows.length; row++) {
    const found = new Set(rows[row].map(fold).filter((c) => wanted.has(c))).size;
    if (found > most) {
      most = found;
      best = row;
    }
  }
  return best;
}

function couldBeHeader(cells: readonly string[], columns: number): boolean {
  if (cells.length < 2 || cells.length < 0.6 * columns) return false;
  const filled = cells.filter((c) => c.trim() !== "");
  if (filled.length < Math.max(1, 0.5 * Math.min(cells.length, columns))) return false;
  const kinds = filled.map(cellKind);
  const texts = kinds.filter((kind) => kind === "text" || kind === "empty").length;
  // Columns may be numbered: then every one has a name.
  if (cells.length === columns && filled.length === columns && texts > 0 && !kinds.includes("time"))
    return true;
  return texts > 0.5 * filled.length;
}

/**
 * The group of each column, where the row over the header is one of groups: as wide as the header, each text
 * standing over one column or over several, of which the others are empty or say it again. Null where it is none.
 */
function groupsOver(cells: readonly string[], names: readonly string[]): string[] | null {
  const row = trimmed(cells);
  if (cells.length < names.length - 1 || row.length < 2 || cells.some((c) => cellKind(c) === "number"))
    return null;
  const texts = row.filter((c) => c !== "");
  const distinct = new Set(texts);
  const merged = row.some((c, i) => i > 0 && (c === "" || c === row[i - 1]));
  const namesRepeat = new Set(names).size < names.length;
  // A line above the table begins in the first column; what stands over the time is mostly nothing.
  const beginsLeft = row[0] !== "" && names[0] !== "" && !namesRepeat;
  if (beginsLeft && (texts.length < 3 || texts.some((c) => c.endsWith(":")))) return null;
  if (
    texts.length < 2 ||
    !merged ||
    // Over the time mostly nothing stands: then so many texts are groups all the same.
    (row[0] !== "" && !namesRepeat && distinct.size === texts.length && texts.length > names.length / 2)
  )
    return null;
  if (unitRow(cells) !== null) return null;
  let group = "";
  return names.map((_, i) => {
    const own = row[i] ?? "";
    if (own !== "") group = own;
    return group;
  });
}

/** Fields of the rows without those at the end that are always empty. */
function dataWidth(rows: readonly string[][], columns: number): number {
  let width = 0;
  for (const cells of rows) {
    if (cells.length > columns) continue;
    for (let i = cells.length - 1; i >= width; i--) {
      if (cells[i].trim() !== "") {
        width = i + 1;
        break;
      }
    }
  }
  return Math.max(2, width);
}

/** Whether the first cells are whole numbers that go up by one. */
function countsUp(rows: readonly string[][]): boolean {
  const numbers = rows
    .slice(0, 20)
    .map((cells) => (/^\s*\d+\s*$/.test(cells[0] ?? "") ? Number(cells[0]) : Number.NaN));
  return numbers.length > 1 && numbers.every((n, i) => i === 0 || n === numbers[i - 1] + 1);
}

function isBlank(cells: readonly string[]): boolean {
  return cells.every((c) => c.trim() === "");
}

/** Without the empty fields at the end, which trailing delimiters make. */
function trimmed(cells: readonly string[]): string[] {
  const names = cells.map((c) => c.trim());
  while (names.length > 1 && names[names.length - 1] === "") names.pop();
  return names;
}

function fold(name: string): string {
  return name.trim().replace(/\s+/g, " ").toLowerCase();
}
