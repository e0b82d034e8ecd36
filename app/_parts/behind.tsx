import { formatCount } from "../_format/count";
import type { Table } from "../_tables/table";
import styles from "./behind.module.css";
import { DataTable } from "./data-table";

/** Rows of a table that a page carries at most; the file has them all. */
const MAX_ROWS = 400;

/** The table behind a picture, folded, with its file. */
export function Behind<Row>({ table, csvHref }: { table: Table<Row>; csvHref: string }) {
  const cut = table.rows.length > MAX_ROWS;
  return (
    <div className={`${styles.behind} no-print`}>
      <details>
        <summary>The table behind it ({formatCount(table.rows.length, "row")})</summary>
        {cut ? (
          <p className={styles.note}>The first {MAX_ROWS} rows stand here; the file has them all.</p>
        ) : null}
        <div className={styles.tall}>
          <DataTable table={cut ? { ...table, rows: table.rows.slice(0, MAX_ROWS) } : table} />
        </div>
      </details>
      <a href={csvHref} download>
        Download as CSV<span className="visually-hidden">: {table.caption}</span>
      </a>
    </div>
  );
}
