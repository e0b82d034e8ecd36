import Link from "next/link";
import type { LocalClock } from "../../src/analysis/local-time";
import { clockOf } from "../../src/report/format";
import { formatCount } from "../_format/count";
import { dayBoundsAt, dayHref, stretchHref } from "../_format/day-address";
import { localTime, WEEKDAYS, weekdayOf } from "../_format/local-time";
import { formatLoading } from "../_format/percent";
import { transferId } from "../_format/transfer-id";
import { causeTitle, QUANTITY_WORDS } from "../_format/words";
import type { LoadingHour } from "../_tables/loading-by-hour";
import styles from "./loading-calendar.module.css";
import { LoadingLegend, loadingStep } from "./loading-steps";
import steps from "./loading-steps.module.css";

const HOURS = Array.from({ length: 24 }, (_, hour) => hour);
const twoDigits = (value: number) => String(value).padStart(2, "0");

/**
 * A month as a table of days and hours: the greatest loading of each hour, shaded by how near the
 * limit it is; hours with a transfer carry a mark that leads to it, the others lead to their day, as its name does. An
 * hour that the clock repeats shares its cell and shows the greater of the two.
 */
export function LoadingCalendar({
  hours,
  dates,
  timezone,
  slug,
}: {
  hours: readonly LoadingHour[];
  dates: readonly string[];
  timezone: string;
  /** Of the site, for the addresses of days and transfers. */
  slug: string;
}) {
  const clock = clockOf(timezone);
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
                <DayName date={date} href={cells.has(date) ? dayHref(slug, date) : null} />
              </th>
              {HOURS.map((hour) => (
                <Cell
                  key={hour}
                  hours={cells.get(`${date} ${hour}`) ?? []}
                  slug={slug}
                  clock={clock}
                  quarter={hour % 6 === 0}
                />
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      <LoadingLegend transfer="a transfer began: a corner; other hours lead to their day" />
    </div>
  );
}

/** A day's weekday and number, which lead to its sheet where it has samples. */
function DayName({ date, href }: { date: string; href: string | null }) {
  const weekday = WEEKDAYS[weekdayOf(date)];
  const name = (
    <>
      <abbr title={weekday} className={styles.weekday}>
        {weekday.slice(0, 2)}
      </abbr>{" "}
      {Number(date.slice(8))}
    </>
  );
  if (href === null) return name;
  return (
    <Link href={href} prefetch={false} className={styles.day}>
      {name}
    </Link>
  );
}

function Cell({
  hours,
  slug,
  clock,
  quarter,
}: {
  hours: readonly LoadingHour[];
  slug: string;
  clock: LocalClock;
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
      <td className={`${steps.none} ${edge}`}>
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
  const step = loadingStep(loading);
  return (
    <td className={`${steps[step]} ${step === "over" ? styles.greatest : ""} ${edge}`} title={says}>
      {loading === null || first === undefined ? null : (
        <span className={styles.figure}>{formatLoading(loading)}</span>
      )}
      {first === undefined ? (
        // The day is reached by its row; a link an hour would be seven hundred stops of the keyboard.
        <a href={hourHref(slug, hours, clock)} className={styles.hourInDay} tabIndex={-1}>
          <span className="visually-hidden">The hour in its day: </span>
          <span className={styles.figure}>{formatLoading(loading)}</span>
        </a>
      ) : (
        <>
          <Link
            prefetch={false}
            href={`/sites/${slug}/transfers/${transferId(first.atMs)}`}
            className={styles.transfer}
            aria-label={transferWords(transfers)}
          >
            <span className={steps.corner} aria-hidden="true" />
          </Link>
          <span className={styles.marked}>
            <span className={steps.corner} aria-hidden="true" />
            <span className="visually-hidden">{transferWords(transfers)}</span>
          </span>
        </>
      )}
    </td>
  );
}

function transferWords(transfers: LoadingHour["transfers"]): string {
  return `${formatCount(transfers.length, "transfer")}: ${transfers.map(({ cause }) => causeTitle(cause)).join(", ")}`;
}

/** The hour, or both where the clock shows it twice, in its day. */
function hourHref(slug: string, hours: readonly LoadingHour[], clock: LocalClock): string {
  const { fromMs } = hours[0];
  return stretchHref(slug, dayBoundsAt(fromMs, clock), fromMs, hours[hours.length - 1].toMs, clock);
}
