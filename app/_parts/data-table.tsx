import Link from "next/link";
import type { Table } from "../_tables/table";
import styles from "./data-table.module.css";

/** A table on the page; its caption is read out, and shown where asked for. Wide ones scroll by themselves. */
export function DataTable<Row>({
  table: { caption, columns, rows },
  showCaption = false,
  bars,
}: {
  table: Table<Row>;
  showCaption?: boolean;
  /** The figure of a row that is also drawn as a bar, in a column of its own, and its greatest value. */
  bars?: { of: (row: Row) => number; title: string };
}) {
  const greatest = bars === undefined ? 0 : Math.max(...rows.map(bars.of));
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached without a mouse
    <section className={styles.scroll} aria-label={caption} tabIndex={0}>
      <table className={styles.table}>
        <caption className={showCaption ? styles.caption : "visually-hidden"}>{caption}</caption>
        <thead>
          <tr>
            {columns.map(({ title, numeric }) => (
              <th key={title} scope="col" className={numeric ? styles.numeric : undefined}>
                {title}
              </th>
            ))}
            {bars === undefined ? null : (
              <td className={styles.barHead} aria-hidden="true">
                {bars.title}
              </td>
            )}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, index) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: rows never move: the table is made anew as a whole
            <tr key={index}>
              {columns.map((column, at) => {
                const text = column.text(row);
                const href = column.href?.(row);
                const content = href ? <Link href={href}>{text}</Link> : text;
                return at === 0 ? (
                  <th key={column.title} scope="row" className={column.numeric ? styles.numeric : undefined}>
                    {content}
                  </th>
                ) : (
                  <td key={column.title} className={column.numeric ? styles.numeric : undefined}>
                    {content}
                  </td>
                );
              })}
              {bars === undefined ? null : (
                <td className={styles.bar} aria-hidden="true">
                  <span style={{ width: `${greatest > 0 ? (bars.of(row) / greatest) * 100 : 0}%` }} />
                </td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
