import Papa from "papaparse";
import type { LocalClock } from "../analysis/local-time";
import { localIso } from "./format";
import { SPREADSHEET_FORMULA } from "./spreadsheet-formula";

type Value = number | string | null;

type Conflict = {
  readonly line: number;
  readonly atMs: number;
  readonly stands: readonly Value[];
  readonly came: readonly Value[];
  readonly fromLog: string;
};

/** The header of a file of conflicts: each channel as it stands and as it came, in base units. */
export function conflictsHeader(channels: readonly string[]): string {
  const names = channels.flatMap((channel) => [`${channel} stands`, `${channel} came`]);
  return `${["line", "time", ...names, "stands from log"].join(",")}\r\n`;
}

/** Rows of a file of conflicts (RFC 4180): ISO times with the site's offset; texts that are no formula to a spreadsheet. */
export function conflictsCsv(rows: readonly Conflict[], clock: LocalClock): string {
  if (rows.length === 0) return "";
  const data = rows.map(({ line, atMs, stands, came, fromLog }) => [
    line,
    localIso(atMs, clock),
    ...stands.flatMap((value, at) => [shortest(value), shortest(came[at])]),
    fromLog,
  ]);
  return `${Papa.unparse(data, { escapeFormulae: SPREADSHEET_FORMULA })}\r\n`;
}

/** The shortest number that reads back as the same float32. */
function shortest(value: Value | undefined): string | number {
  if (typeof value !== "number") return value ?? "";
  for (let digits = 6; digits < 9; digits++) {
    const short = Number(value.toPrecision(digits));
    if (Math.fround(short) === value) return short;
  }
  return Number(value.toPrecision(9));
}
