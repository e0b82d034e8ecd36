import Link from "next/link";
import type { YearDay } from "../../db/queries/year-of-site";
import { datesOf } from "../_data/month-page";
import { formatCount } from "../_format/count";
import { dayHref } from "../_format/day-address";
import { formatMonth, WEEKDAYS, weekdayOf } from "../_format/local-time";
import { formatLoading } from "../_format/percent";
import { QUANTITY_WORDS } from "../_format/words";
import { LoadingLegend, loadingStep } from "./loading-steps";
import steps from "./loading-steps.module.css";
import styles from "./year-calendar.module.css";

/**
 * A year as twelve small calendars: each day shaded by its greatest loading, with a corner where a transfer began, and
 * leading to its sheet; each month's name leads to its own.
 */
export function YearCalendar({ slug, year, days }: { slug: string; year: string; days: readonly YearDay[] }) {
  const byDate = new Map(days.map((day) => [day.date, day]));
  const months = Array.from({ length: 12 }, (_, at) => `${year}-${String(at + 1).padStart(2, "0")}`);
  return (
    <div className={styles.frame}>
      <div className={styles.months}>
        {months.map((month) => (
          <Month key={month} slug={slug} month={month} byDate={byDate} />
        ))}
      </div>
      <LoadingLegend transfer="a transfer began on the day: a corner" />
    </div>
  );
}

function Month({
  slug,
  month,
  byDate,
}: {
  slug: string;
  month: string;
  byDate: ReadonlyMap<string, YearDay>;
}) {
  const dates = datesOf(month);
  const has = dates.some((date) => byDate.has(date));
  const name = formatMonth(month);
  // Weeks begin on Monday: so many places before the first stay empty.
  const before = weekdayOf(dates[0]);
  const weeks = Array.from({ length: Math.ceil((before + dates.length) / 7) }, (_, week) =>
    Array.from({ length: 7 }, (_, weekday) => dates[week * 7 + weekday - before] ?? null),
  );
  return (
    <section className={styles.month}>
      <h3>{has ? <Link href={`/sites/${slug}/${month}`}>{name}</Link> : name}</h3>
      <table>
        <caption className="visually-hidden">Greatest loading of every day of {name}</caption>
        <thead>
          <tr>
            {WEEKDAYS.map((weekday) => (
              <th key={weekday} scope="col">
                <abbr title={weekday}>{weekday[0]}</abbr>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {weeks.map((week) => (
            <tr key={week.find((date) => date !== null)}>
              {week.map((date, weekday) =>
                date === null ? (
                  // biome-ignore lint/suspicious/noArrayIndexKey: the index is the weekday
                  <td key={weekday} />
                ) : (
                  <Day key={date} slug={slug} date={date} day={byDate.get(date)} />
                ),
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

function Day({ slug, date, day }: { slug: string; date: string; day: YearDay | undefined }) {
  const number = Number(date.slice(8));
  if (day === undefined) {
    return (
      <td className={steps.none}>
        <span className={styles.number}>{number}</span>
        <span className="visually-hidden">: no data</span>
      </td>
    );
  }
  const { peakLoading, peakQuantity, transfers, dropouts } = day;
  const says = [
    peakLoading === null
      ? "loading not known"
      : `loading ${formatLoading(peakLoading)}${peakQuantity === null ? "" : `, ${QUANTITY_WORDS[peakQuantity]}`}`,
    ...(transfers > 0 ? [formatCount(transfers, "transfer")] : []),
    ...(dropouts > 0 ? [formatCount(dropouts, "dropout")] : []),
  ].join(", ");
  return (
    <td className={steps[loadingStep(peakLoading)]} title={says}>
      <Link href={dayHref(slug, date)} prefetch={false} className={styles.number}>
        {number}
        <span className="visually-hidden">: {says}</span>
      </Link>
      {transfers > 0 ? <span className={steps.corner} aria-hidden="true" /> : null}
    </td>
  );
}
