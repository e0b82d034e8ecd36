import Link from "next/link";
import { Fragment } from "react";
import type { Column, Table } from "../_tables/table";
import styles from "./data-table.module.css";
import { OnItsWay } from "./on-its-way";

/** With more columns than these, they stand closer together. */
const MANY_COLUMNS = 9;

/** A table on the page; its caption is read out, and shown where asked for. Wide ones scroll by themselves. */
export function DataTable<Row>({
  table: { caption, columns, rows },
  showCaption = false,
  bars,
  evidence,
  marked,
}: {
  table: Table<Row>;
  showCaption?: boolean;
  /** The figure of a row that is also drawn as a bar, in a column of its own, and its greatest value. */
  bars?: { of: (row: Row) => number; title: string };
  /** What a row stands on, in sentences, folded under it. */
  evidence?: (row: Row) => readonly string[];
  /** The row that the page is about, and the word that says so in it. */
  marked?: { is: (row: Row) => boolean; text: string };
}) {
  const width = columns.length + (bars === undefined ? 0 : 1);
  const dense = columns.length > MANY_COLUMNS;
  const greatest = bars === undefined ? 0 : Math.max(...rows.map(bars.of));
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached without a mouse
    <section className={styles.scroll} aria-label={caption} tabIndex={0}>
      <table className={dense ? `${styles.table} ${styles.dense}` : styles.table}>
        <caption className={showCaption ? styles.caption : "visually-hidden"}>{caption}</caption>
        <thead>
          <tr>
            {columns.map(({ title, unit, unitShown, numeric, wraps }) => (
              <th
                key={`${title} ${unit}`}
                scope="col"
                className={
                  [numeric ? styles.numeric : "", wraps ? styles.wraps : ""].join(" ").trim() || undefined
                }
              >
                {title}
                {unitShown ? <span className={styles.unit}> ({unit})</span> : null}
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
          {rows.map((row, index) => {
            const here = marked?.is(row) === true;
            return (
              // biome-ignore lint/suspicious/noArrayIndexKey: rows never move: the table is made anew as a whole
              <Fragment key={index}>
                <tr
                  className={here ? styles.marked : evidence === undefined ? undefined : styles.evidenced}
                  aria-current={here ? "true" : undefined}
                >
                  {columns.map((column, at) => (
                    <Cell
                      key={`${column.title} ${column.unit}`}
                      column={column}
                      row={row}
                      heads={at === 0}
                      mark={here ? marked?.text : undefined}
                    />
                  ))}
                  {bars === undefined ? null : (
                    <td className={styles.bar} aria-hidden="true">
                      <span style={{ width: `${greatest > 0 ? (bars.of(row) / greatest) * 100 : 0}%` }} />
                    </td>
                  )}
                </tr>
                {evidence === undefined ? null : (
                  <tr>
                    <td colSpan={width} className={styles.evidence}>
                      <details>
                        <summary>
                          What it stands on
                          <span className="visually-hidden">: {columns[0].text(row)}</span>
                        </summary>
                        <ul>
                          {evidence(row).map((sentence) => (
                            <li key={sentence}>{sentence}</li>
                          ))}
                        </ul>
                      </details>
                    </td>
                  </tr>
                )}
              </Fragment>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

function Cell<Row>({
  column,
  row,
  heads,
  mark,
}: {
  column: Column<Row>;
  row: Row;
  heads: boolean;
  mark?: string;
}) {
  const text = column.text(row);
  const href = column.href?.(row);
  const className =
    [column.numeric ? styles.numeric : "", column.wraps ? styles.wraps : ""].join(" ").trim() || undefined;
  const content = href ? (
    <Link href={href} prefetch={false}>
      {text}
      <OnItsWay />
    </Link>
  ) : (
    text
  );
  return heads ? (
    <th scope="row" className={className}>
      {content}
      {mark === undefined ? null : <span className={styles.mark}> {mark}</span>}
    </th>
  ) : (
    <td className={className}>{content}</td>
  );
}
