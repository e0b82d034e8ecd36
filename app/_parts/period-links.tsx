import Link from "next/link";
import { neighbourMonth } from "../../db/queries/local-month";
import { capital } from "../../src/report/format";
import { type Period, periodDays, periodName, periodSearch } from "../_data/period-query";
import { formatMonth } from "../_format/local-time";
import styles from "./period-links.module.css";

/** The period of a sheet and the ways to another one: the months beside it, everything, or days of one's own. */
export function PeriodLinks({
  base,
  period,
  months,
  timezone,
}: {
  /** Address of the sheet without its query. */
  base: string;
  period: Period;
  /** Local months with results, ascending, at least one. */
  months: readonly string[];
  timezone: string;
}) {
  const { fromDate, toDate } = periodDays(period, months, timezone);
  const lastDate = new Date(Date.parse(`${toDate}T00:00:00Z`) - 86_400_000).toISOString().slice(0, 10);
  const earlier = neighbourMonth(fromDate.slice(0, 7), period.kind === "month" ? -1 : 0);
  const later = neighbourMonth(lastDate.slice(0, 7), period.kind === "month" ? 1 : 0);
  const links: { to: Period; text: string }[] = [];
  if (period.kind === "month") {
    if (months.includes(earlier))
      links.push({ to: { kind: "month", month: earlier }, text: `← ${formatMonth(earlier)}` });
    if (months.includes(later))
      links.push({ to: { kind: "month", month: later }, text: `${formatMonth(later)} →` });
  } else {
    const latest = months[months.length - 1];
    links.push({ to: { kind: "month", month: latest }, text: formatMonth(latest) });
  }
  if (period.kind !== "all" && months.length > 1)
    links.push({ to: { kind: "all" }, text: "All that was logged" });
  return (
    <nav aria-label="Period" className={`${styles.period} no-print`}>
      <p className={styles.now}>{capital(periodName(period))}</p>
      {links.map(({ to, text }) => (
        <Link key={text} href={`${base}${periodSearch(to)}`}>
          {text}
        </Link>
      ))}
      <form action={base} className={styles.days} aria-label="Other days">
        <label htmlFor="period-from">From</label>
        <input
          id="period-from"
          type="date"
          name="from"
          defaultValue={fromDate}
          key={`from-${fromDate}`}
          required
        />
        <label htmlFor="period-to">to</label>
        <input id="period-to" type="date" name="to" defaultValue={lastDate} key={`to-${lastDate}`} required />
        <button type="submit">Show these days</button>
      </form>
    </nav>
  );
}
