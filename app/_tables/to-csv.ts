import Papa from "papaparse";
import type { Table } from "./table";

/** The table as CSV (RFC 4180) with a header line; units stand in the header. */
export function toCsv<Row>({ columns, rows }: Table<Row>): string {
  const fields = columns.map(({ title, unit }) => (unit === undefined ? title : `${title} (${unit})`));
  const data = rows.map((row) => columns.map((column) => column.value(row)));
  return `${Papa.unparse({ fields, data }, { escapeFormulae: FORMULA })}\r\n`;
}

/**
 * Texts of a log come from outside: one that a spreadsheet would run as a formula is given an apostrophe.
 * A negative number is none.
 */
const FORMULA = /^[=+@\t\r].*$|^-(?!\d+(?:\.\d+)?$).*$/s;
