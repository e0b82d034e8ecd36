import Papa from "papaparse";
import { SPREADSHEET_FORMULA } from "../../src/report/spreadsheet-formula";
import type { Table } from "./table";

/**
 * The table as CSV (RFC 4180) with a header line; units stand in the header. Texts of a log come from outside: one
 * that a spreadsheet would run as a formula is given an apostrophe.
 */
export function toCsv<Row>({ columns, rows }: Table<Row>): string {
  const fields = columns.map(
    ({ title, unit, inFile }) => inFile ?? (unit === undefined ? title : `${title} (${unit})`),
  );
  const data = rows.map((row) => columns.map((column) => column.value(row)));
  return `${Papa.unparse({ fields, data }, { escapeFormulae: SPREADSHEET_FORMULA })}\r\n`;
}
