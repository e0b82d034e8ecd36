import Link from "next/link";
import { type Period, periodSearch } from "../_data/period-query";
import { formatMonth } from "../_format/local-time";
import { Field } from "./field";
import styles from "./period-links.module.css";

/**
 * The ways from a sheet's period to another one: the months beside it, the whole log, or days of one's own.
 *
 * @param base address of the sheet without its query
 * @param months with samples, ascending
 * @param range the days that the sheet shows; null where there are none
 */
export function PeriodLinks({
  base,
  period,
  months,
  range,
}: {
  base: string;
  period: Period;
  months: readonly string[];
  range: { firstDate: string; lastDate: string } | null;
}) {
  if (months.length === 0) return null;
  const at = period.kind === "month" ? months.indexOf(period.month) : -1;
  const link = (to: Period, text: string) => <Link href={`${base}${periodSearch(to)}`}>{text}</Link>;
  const month = (index: number, before: string, after: string) =>
    months[index] === undefined
      ? null
      : link({ kind: "month", month: months[index] }, `${before}${formatMonth(months[index])}${after}`);
  return (
    <nav className={`${styles.period} no-print`} aria-label="Period">
      {at >= 0 ? (
        <>
          {month(at - 1, "← ", "")}
          {month(at + 1, "", " →")}
        </>
      ) : (
        month(months.length - 1, "", "")
      )}
      {period.kind === "all" ? null : link({ kind: "all" }, "The whole log")}
      <form action={base} key={periodSearch(period)}>
        <Field label="From" name="from" type="date" defaultValue={range?.firstDate} required />
        <Field label="To" name="to" type="date" defaultValue={range?.lastDate} required />
        <button type="submit">Show these days</button>
      </form>
    </nav>
  );
}
