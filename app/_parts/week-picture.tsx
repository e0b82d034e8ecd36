import Link from "next/link";
import { formatCount } from "../_format/count";
import { WEEKDAYS } from "../_format/local-time";
import type { Table } from "../_tables/table";
import type { WeekdayRow } from "../_tables/transfers-by-hour-of-week";
import styles from "./week-picture.module.css";

/** A week as a table of weekdays and hours: the number of transfers, the more the darker. It is its own table. */
export function WeekPicture({
  table,
  hrefOf,
}: {
  table: Table<WeekdayRow>;
  /** Address of the transfers of one weekday (0 = Monday) and hour. */
  hrefOf: (weekday: number, hour: number) => string;
}) {
  const greatest = Math.max(1, ...table.rows.flatMap(({ byHour }) => byHour));
  return (
    <table className={styles.week}>
      <caption className="visually-hidden">{table.caption}</caption>
      <thead>
        <tr>
          <td />
          {Array.from({ length: 24 }, (_, hour) => String(hour).padStart(2, "0")).map((hour, at) => (
            <th key={hour} scope="col" className={at % 6 === 0 ? styles.quarter : undefined}>
              <span>{hour}</span>
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {table.rows.map(({ weekday, byHour }) => (
          <tr key={weekday}>
            <th scope="row">
              {WEEKDAYS[weekday].slice(0, 3)}
              <span className="visually-hidden">{WEEKDAYS[weekday].slice(3)}</span>
            </th>
            {byHour.map((count, hour) => (
              <td
                // biome-ignore lint/suspicious/noArrayIndexKey: the index is the hour
                key={hour}
                className={hour % 6 === 0 ? styles.quarter : undefined}
                style={
                  count === 0
                    ? undefined
                    : {
                        background: `color-mix(in oklab, var(--loading-3) ${20 + (80 * count) / greatest}%, var(--paper))`,
                      }
                }
              >
                {count === 0 ? (
                  <span className="visually-hidden">0</span>
                ) : (
                  <>
                    <span className={styles.small}>{count}</span>
                    <Link
                      href={hrefOf(weekday, hour)}
                      prefetch={false}
                      aria-label={`${formatCount(count, "transfer")}, ${WEEKDAYS[weekday]} ${String(hour).padStart(2, "0")}:00`}
                    >
                      {count}
                    </Link>
                  </>
                )}
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}
