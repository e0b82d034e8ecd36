import { createRecordReader } from "../record-reader";

/** How the text of a log is cut into fields, and how its numbers are written. */
export type Dialect = {
  readonly delimiter: "," | ";" | "\t" | "|";
  /** "\n" stands for LF and CRLF. */
  readonly newline: "\n" | "\r";
  readonly decimalMark: "." | ",";
  /** Fields in most rows. */
  readonly columns: number;
  readonly delimiterConfidence: number;
  readonly decimalConfidence: number;
  readonly figures: { readonly [name: string]: number | string };
};

const DELIMITERS = [",", ";", "\t", "|"] as const;
const ROWS = 400;

/**
 * Settles delimiter, line end and decimal mark from the first lines of a log. A delimiter is as good as the
 * part of rows that have the same number of fields, times the part of fields that are a number, a time, a
 * word or nothing. Null where no delimiter gives two columns and no single column looks like data.
 */
export function sniffDialect(head: string): Dialect | null {
  const newline = head.indexOf("\n") === -1 && head.indexOf("\r") !== -1 ? "\r" : "\n";
  let best: { delimiter: Dialect["delimiter"]; score: number; columns: number; rows: string[][] } | null =
    null;
  let secondScore = 0;
  for (const delimiter of DELIMITERS) {
    const rows = firstRows(head, delimiter, newline);
    const columns = commonCount(rows);
    if (columns < 2) continue;
    const same = rows.filter((r) => r.length === columns);
    let plain = 0;
    let fields = 0;
    for (const row of same) {
      for (const cell of row) {
        fields++;
        if (isPlainField(cell, delimiter)) plain++;
      }
    }
    const score = (same.length / rows.length) * (plain / fields);
    if (best === null || score > best.score + 1e-9) {
      secondScore = best?.score ?? 0;
      best = { delimiter, score, columns, rows: same };
    } else if (score > secondScore) {
      secondScore = score;
    }
  }
  if (best === null) return null;
  const decimal = decimalMark(best.rows, best.delimiter);
  return {
    delimiter: best.delimiter,
    newline,
    decimalMark: decimal.mark,
    columns: best.columns,
    delimiterConfidence: Math.min(1, best.score * (1 - secondScore / 2)),
    decimalConfidence: decimal.confidence,
    figures: {
      rows: best.rows.length,
      columns: best.columns,
      score: round(best.score),
      secondScore: round(secondScore),
      withPoint: decimal.points,
      withComma: decimal.commas,
    },
  };
}

function firstRows(head: string, delimiter: string, newline: "\n" | "\r"): string[][] {
  let end = 0;
  for (let n = 0; n < ROWS; n++) {
    const next = head.indexOf(newline, end);
    if (next === -1) break;
    end = next + 1;
  }
  const reader = createRecordReader({ delimiter, newline, columns: null });
  const text = end === 0 ? head : head.slice(0, end);
  const rows = [...reader.push(text).rows, ...reader.end().rows];
  return rows.filter((r) => r.length > 1 || r[0].trim() !== "");
}

function commonCount(rows: readonly string[][]): number {
  const counts = new Map<number, number>();
  for (const row of rows) counts.set(row.length, (counts.get(row.length) ?? 0) + 1);
  let best = 0;
  let most = 0;
  for (const [count, n] of counts) {
    if (n > most || (n === most && count > best)) {
      best = count;
      most = n;
    }
  }
  return best;
}

function isPlainField(cell: string, delimiter: string): boolean {
  const text = cell.trim();
  for (const other of DELIMITERS) {
    if (other === delimiter || other === ",") continue;
    if (text.includes(other)) return false;
  }
  if (!text.includes(",")) return text.length <= 60;
  return /^[-+]?[\d.,\s]+%?$/.test(text);
}

function decimalMark(
  rows: readonly string[][],
  delimiter: string,
): { mark: "." | ","; confidence: number; points: number; commas: number } {
  let points = 0;
  let commas = 0;
  // Numbers that can only be read one way.
  let surePoints = 0;
  let sureCommas = 0;
  let bare = 0;
  for (const row of rows) {
    for (const cell of row) {
      const text = cell.trim().replace(/^[-+]/, "");
      if (/^\d{1,3}$/.test(text)) bare++;
      if (!/^\d[\d.,]*\d$|^[.,]\d+$/.test(text)) continue;
      const lastPoint = text.lastIndexOf(".");
      const lastComma = text.lastIndexOf(",");
      if (lastPoint === -1 && lastComma === -1) continue;
      if (lastPoint !== -1 && lastComma !== -1) {
        if (lastPoint > lastComma) surePoints++;
        else sureCommas++;
        continue;
      }
      const isPoint = lastPoint !== -1;
      const at = isPoint ? lastPoint : lastComma;
      const once = text.indexOf(isPoint ? "." : ",") === at;
      if (!once) {
        // 1,234,567: a mark that comes twice marks thousands.
        if (isPoint) sureCommas++;
        else surePoints++;
        continue;
      }
      if (isPoint) points++;
      else commas++;
      if (text.length - at - 1 !== 3 || at > 3 || at === 0 || text[0] === "0") {
        if (isPoint) surePoints++;
        else sureCommas++;
      }
    }
  }
  if (surePoints !== sureCommas) {
    const mark = surePoints > sureCommas ? "." : ",";
    const share = Math.max(surePoints, sureCommas) / (surePoints + sureCommas);
    return { mark, confidence: share, points, commas };
  }
  if (points === 0 && commas === 0) return { mark: ".", confidence: 1, points, commas };
  // Only groups of three after the mark: where small whole numbers stand beside them it marks thousands.
  if (commas > points && delimiter !== ",") {
    return { mark: bare > 0 ? "." : ",", confidence: 0.6, points, commas };
  }
  if (points >= commas) return { mark: ".", confidence: 0.8, points, commas };
  return { mark: ".", confidence: 0.6, points, commas };
}

function round(value: number): number {
  return Math.round(value * 1000) / 1000;
}
