import { formatCount } from "../_format/count";
import type { Table } from "../_tables/table";
import styles from "./behind.module.css";
import { DataTable } from "./data-table";

/** Rows of a table that a page carries at most, where nothing else is asked for; the file has them all. */
const MAX_ROWS = 400;

/** The table behind a picture, folded, with its file. An address that ends in # and `id` unfolds it. */
export function Behind<Row>({
  table,
  csvHref,
  evidence,
  marked,
  id,
  open = false,
  mostRows = MAX_ROWS,
}: {
  table: Table<Row>;
  csvHref: string;
  evidence?: (row: Row) => readonly string[];
  /** The row that the page is about; where not all rows stand here, those about it do. */
  marked?: { is: (row: Row) => boolean; text: string };
  id?: string;
  /** Where there is no picture before it. */
  open?: boolean;
  /** Fewer where each has many columns. */
  mostRows?: number;
}) {
  const cut = table.rows.length > mostRows;
  const markedAt = marked === undefined ? -1 : table.rows.findIndex(marked.is);
  const first = Math.max(0, Math.min(markedAt - Math.floor(mostRows / 2), table.rows.length - mostRows));
  return (
    <div className={`${styles.behind} no-print`}>
      <details open={open}>
        <summary>
          {open ? "The table" : "The table behind it"} ({formatCount(table.rows.length, "row")})
        </summary>
        {cut ? (
          <p className={styles.note}>
            {first === 0 ? `The first ${mostRows} rows` : `${mostRows} of the rows`} stand here; the file has
            them all.
          </p>
        ) : null}
        <div className={styles.tall} id={id}>
          <DataTable
            table={cut ? { ...table, rows: table.rows.slice(first, first + mostRows) } : table}
            evidence={evidence}
            marked={marked}
          />
        </div>
      </details>
      <a href={csvHref} download>
        Download as CSV<span className="visually-hidden">: {table.caption}</span>
      </a>
    </div>
  );
}
