import type { RejectRow } from "../../db/queries/rejects-of";
import { ERROR_CATALOGUE } from "../../src/ingest/error-catalogue";
import type { Table } from "./table";

/** Rows and cells of a log that could not be taken. */
export function rejectsTable(rejects: readonly RejectRow[]): Table<RejectRow> {
  return {
    name: "rejects",
    caption: "What could not be taken",
    rows: rejects,
    columns: [
      { title: "Line", numeric: true, text: (row) => String(row.line ?? "–"), value: (row) => row.line },
      {
        title: "Column",
        text: (row) => row.columnName ?? (row.columnNo === null ? "–" : `column ${row.columnNo}`),
        value: (row) => row.columnName ?? row.columnNo,
      },
      { title: "What", text: (row) => errorTitle(row.code), value: (row) => row.code },
      { title: "Text", text: (row) => row.text ?? "", value: (row) => row.text },
      {
        title: "Rule",
        text: (row) => (row.guessed ? "guessed" : "given"),
        value: (row) => (row.guessed ? "guessed" : "given"),
      },
    ],
  };
}

/** The catalogue's title of a code; the code itself where the catalogue no longer has it. */
export function errorTitle(code: string): string {
  return code in ERROR_CATALOGUE ? ERROR_CATALOGUE[code as keyof typeof ERROR_CATALOGUE].title : code;
}
