import type { QualityFinding } from "../../src/report/quality-findings";
import type { Table } from "./table";

/** What is doubtful in a period's logs, and which results it touches. */
export function qualityFindingsTable(rows: readonly QualityFinding[]): Table<QualityFinding> {
  return {
    name: "doubtful",
    caption: "What is doubtful, and which results it touches",
    rows,
    columns: [
      { title: "What", text: (row) => row.sentence, value: (row) => row.sentence },
      { title: "Touches", text: (row) => row.touches, value: (row) => row.touches },
      { title: "Logger", text: (row) => row.logger, value: (row) => row.logger },
    ],
  };
}
