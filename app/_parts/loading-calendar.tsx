import Link from "next/link";
import { formatCount } from "../_format/count";
import { localTime, WEEKDAYS, weekdayOf } from "../_format/local-time";
import { formatLoading } from "../_format/percent";
import { transferId } from "../_format/transfer-id";
import { causeTitle, QUANTITY_WORDS } from "../_format/words";
import type { LoadingHour } from "../_tables/loading-by-hour";
import styles from "./loading-calendar.module.css";

const HOURS = Array.from({ length: 24 }, (_, hour) => hour);
const twoDigits = (value: number) => String(value).padStart(2, "0");

/**
 * A month as a table of days and hours: the greatest loading of each hour, shaded by how near the
 * limit it is; hours with a transfer carry a mark that leads to it. An hour that the clock repeats shares its
 * cell and shows the greater of the two.
 */
export function LoadingCalendar({
  hours,
  dates,
  timezone,
  transfersHref,
  dayHref,
}: {
  hours: readonly LoadingHour[];
  dates: readonly string[];
  timezone: string;
  /** Address of a day's sheet. */
  dayHref: (date: string) => string;
  /** Base of the addresses of transfers. */
  transfersHref: string;
}) {
  const cells = new Map<string, LoadingHour[]>();
  for (const hour of hours) {
    const at = localTime(hour.fromMs, timezone);
    const key = `${at.date} ${at.hour}`;
    cells.set(key, [...(cells.get(key) ?? []), hour]);
    if (!cells.has(at.date)) cells.set(at.date, []);
  }
  return (
    <div className={styles.frame}>
      <table className={styles.calendar}>
        <caption className="visually-hidden">
          Greatest loading of every hour, a row a day; 1.00 is at the rating. A mark stands for a transfer.
        </caption>
        <thead>
          <tr>
            <th scope="col">
              <span className="visually-hidden">Day</span>
            </th>
            {HOURS.map((hour) => (
              <th key={hour} scope="col" className={hour % 6 === 0 ? styles.quarter : undefined}>
                <span className={styles.hour}>{twoDigits(hour)}</span>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {dates.map((date) => (
            <tr key={date} className={weekdayOf(date) === 6 ? styles.weekEnd : undefined}>
              <th scope="row">
                <DayName date={date} href={cells.has(date) ? dayHref(date) : null} />
              </th>
              {HOURS.map((hour) => (
                <Cell
                  key={hour}
                  hours={cells.get(`${date} ${hour}`) ?? []}
                  transfersHref={transfersHref}
                  quarter={hour % 6 === 0}
                />
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      <Legend />
    </div>
  );
}

/** A day's weekday and number, which lead to its sheet where it has samples. */
function DayName({ date, href }: { date: string; href: string | null }) {
  const weekday = WEEKDAYS[weekdayOf(date)];
  const name = (
    <>
      <span className={styles.weekday}>{weekday.slice(0, 2)}</span> {Number(date.slice(8))}
    </>
  );
  if (href === null) return name;
  return (
    <Link
      href={href}
      prefetch={false}
      className={styles.day}
      aria-label={`${weekday} ${Number(date.slice(8))}`}
    >
      {name}
    </Link>
  );
}

function Cell({
  hours,
  transfersHref,
  quarter,
}: {
  hours: readonly LoadingHour[];
  transfersHref: string;
  quarter: boolean;
}) {
  const edge = quarter ? styles.quarter : "";
  const known = hours.filter((hour) => hour.peakLoading !== null);
  const greatest = known.reduce<LoadingHour | null>(
    (best, hour) => (best === null || hour.peakLoading! > best.peakLoading! ? hour : best),
    null,
  );
  const transfers = hours.flatMap((hour) => hour.transfers);
  if (greatest === null && transfers.length === 0) {
    return (
      <td className={`${styles.none} ${edge}`}>
        <span className="visually-hidden">no data</span>
      </td>
    );
  }
  const loading = greatest?.peakLoading ?? null;
  const says =
    loading === null
      ? "loading not known"
      : `loading ${formatLoading(loading)}, ${QUANTITY_WORDS[greatest!.peakQuantity!]}`;
  const first = transfers.at(0);
  return (
    <td className={`${styles[stepOf(loading)]} ${edge}`} title={says}>
      {loading === null ? null : <span className={styles.figure}>{loading.toFixed(2)}</span>}
      {first === undefined ? null : (
        <Link
          prefetch={false}
          href={`${transfersHref}/${transferId(first.atMs)}`}
          className={styles.transfer}
          aria-label={`${formatCount(transfers.length, "transfer")}: ${transfers.map(({ cause }) => causeTitle(cause)).join(", ")}`}
        >
          <span className={styles.corner} aria-hidden="true" />
        </Link>
      )}
    </td>
  );
}

const STEPS = [
  [1, "over", "1.00 and more: at or above the rating"],
  [0.9, "near", "0.90 to 0.99: near it"],
  [0.7, "step3", "0.70 to 0.89"],
  [0.5, "step2", "0.50 to 0.69"],
  [0.25, "step1", "0.25 to 0.49"],
  [0, "step0", "under 0.25"],
] as const;

function stepOf(loading: number | null): string {
  return STEPS.find(([from]) => (loading ?? 0) >= from)?.[1] ?? "step0";
}

function Legend() {
  return (
    <ul className={styles.legend} aria-label="Shades: loading, 1.00 is at the rating">
      {STEPS.toReversed().map(([, step, text]) => (
        <li key={step}>
          <span className={`${styles.sample} ${styles[step]}`} aria-hidden="true" />
          {text}
        </li>
      ))}
      <li>
        <span className={`${styles.sample} ${styles.step1}`} aria-hidden="true">
          <span className={styles.corner} />
        </span>
        a transfer began: a black corner, which leads to it
      </li>
      <li>
        <span className={`${styles.sample} ${styles.none}`} aria-hidden="true" />
        no data
      </li>
    </ul>
  );
}
