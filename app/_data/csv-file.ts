import type { Table } from "../_tables/table";
import { toCsv } from "../_tables/to-csv";

/** The table as a file to be saved; `of` says in its name of what it is. */
export function csvFile<Row>(table: Table<Row>, of: string): Response {
  const name = `${of}-${table.name}.csv`.replaceAll(/[^\w.-]/g, "-");
  return new Response(toCsv(table), {
    headers: {
      "content-type": "text/csv; charset=utf-8",
      "content-disposition": `attachment; filename="${name}"`,
      "cache-control": "no-store",
    },
  });
}
