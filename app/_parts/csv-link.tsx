import type { Table } from "../_tables/table";
import styles from "./csv-link.module.css";

/** Where a table that stands on the page is had as a file. */
export function CsvLink<Row>({ table, href }: { table: Table<Row>; href: string }) {
  return (
    <p className={`${styles.file} no-print`}>
      <a href={href} download>
        Download as CSV<span className="visually-hidden">: {table.caption}</span>
      </a>
    </p>
  );
}
