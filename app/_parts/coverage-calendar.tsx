import type { NumericChannel } from "../../src/analysis/series";
import { channelName } from "../../src/report/channel-name";
import { capital } from "../../src/report/format";
import { weekdayOf } from "../_format/local-time";
import { formatPercent } from "../_format/percent";
import styles from "./coverage-calendar.module.css";

/**
 * Coverage as a table of channels and days: filled as far as the day has values, hatched where it has none. The
 * figures are in the table behind it.
 */
export function CoverageCalendar({
  caption,
  channels,
  dates,
  coverage,
}: {
  caption: string;
  channels: readonly NumericChannel[];
  dates: readonly string[];
  coverage: ReadonlyMap<string, Partial<Record<NumericChannel, number>>>;
}) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached without a mouse
    <section className={styles.scroll} aria-label={caption} tabIndex={0}>
      <table className={styles.calendar}>
        <caption className="visually-hidden">{caption}</caption>
        <thead>
          <tr>
            <th scope="col">
              <span className="visually-hidden">Channel</span>
            </th>
            {dates.map((date) => (
              <th key={date} scope="col" className={weekdayOf(date) === 0 ? styles.monday : undefined}>
                <span className={Number(date.slice(8)) % 5 === 0 ? undefined : "visually-hidden"}>
                  {Number(date.slice(8))}
                </span>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {channels.map((channel) => (
            <tr key={channel}>
              <th scope="row">{capital(channelName(channel))}</th>
              {dates.map((date) => (
                <Cell key={date} share={coverage.get(date)?.[channel] ?? 0} monday={weekdayOf(date) === 0} />
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

function Cell({ share, monday }: { share: number; monday: boolean }) {
  const says = formatPercent(share);
  return (
    <td className={monday ? styles.monday : undefined} title={says}>
      <span className={styles.none}>
        <span className={styles.part} style={{ height: `${Math.round(share * 100)}%` }} />
      </span>
      <span className="visually-hidden">{says}</span>
    </td>
  );
}
