import Link from "next/link";
import { localMonth } from "../../db/queries/local-month";
import { clockOf } from "../../src/report/format";
import { monthsOfDays } from "../../src/report/months-of-days";
import { yearSummary } from "../../src/report/year-summary";
import { energyByDayOption, isPartly } from "../_charts/energy-by-day";
import { energyPicture } from "../_charts/energy-by-day-live";
import { type YearPage, yearPage } from "../_data/year-page";
import { keepUnits } from "../_format/keep-units";
import { formatInstant } from "../_format/local-time";
import { formatPercent } from "../_format/percent";
import { formatKwh } from "../_format/power";
import { sharesPresent } from "../_tables/energy-by-day";
import { yearDays } from "../_tables/year-days";
import { yearMonths } from "../_tables/year-months";
import { Behind } from "./behind";
import { CsvLink } from "./csv-link";
import { DataTable } from "./data-table";
import { Drawing, Key } from "./drawing";
import { Entry } from "./entry";
import { Freshness } from "./freshness";
import { Empty } from "./message";
import { Sheet } from "./sheet";
import { YearCalendar } from "./year-calendar";
import styles from "./year-sheet.module.css";

/** A year at a glance: a calendar of its days, its months, and the way from there to a day and to the second. */
export async function YearSheet({ slug, year }: { slug: string; year: string }) {
  const page = await yearPage(slug, year);
  const { site, monthHref, results } = page;
  const lengthDays = Math.round((results.toMs - results.fromMs) / 86_400_000);
  const [headline, ...rest] = yearSummary(year, results.days, lengthDays, clockOf(site.timezone));
  const heldS = results.days.reduce((sum, day) => sum + day.heldS, 0);
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="month"
      title={year}
      lead={<p>{keepUnits(headline)}</p>}
      fields={[
        { label: "Times", value: site.timezone },
        {
          label: "Covered by the log",
          value:
            results.days.length === 0
              ? "nothing"
              : formatPercent(heldS / ((results.toMs - results.fromMs) / 1000), 1),
        },
        {
          label: "Results",
          value:
            results.revision === null
              ? "none yet"
              : `revision ${results.revision}, ${formatInstant(site.resultsComputedAtMs, site.timezone, false)}`,
        },
      ]}
    >
      <YearLinks page={page} />
      <Freshness
        slug={site.slug}
        timezone={site.timezone}
        revision={{
          samplesRevision: results.samplesRevision,
          resultsRevision: results.revision,
          resultsComputedAtMs: site.resultsComputedAtMs,
        }}
      />
      {results.days.length === 0 ? (
        <Empty title={`There are no samples of ${year}.`}>
          <p>
            <Link href={`/sites/${site.slug}/logs`}>Import a log</Link> that covers a part of it.
          </p>
        </Empty>
      ) : (
        <>
          <Calendar page={page} rest={rest} />
          <Months page={page} />
        </>
      )}
    </Sheet>
  );
}

function YearLinks({ page: { site, months, results } }: { page: YearPage }) {
  const years = [...new Set(months.map((month) => month.slice(0, 4)))];
  const before = years.findLast((year) => year < results.year);
  const after = years.find((year) => year > results.year);
  if (before === undefined && after === undefined) return null;
  return (
    <nav className={`${styles.years} no-print`} aria-label="Years">
      {before === undefined ? <span /> : <Link href={`/sites/${site.slug}/${before}`}>← {before}</Link>}
      {after === undefined ? <span /> : <Link href={`/sites/${site.slug}/${after}`}>{after} →</Link>}
    </nav>
  );
}

function Calendar({ page: { site, results }, rest }: { page: YearPage; rest: readonly string[] }) {
  return (
    <Entry
      title="How near the loads came to the rating, day by day."
      aside={
        <>
          {rest.map((sentence) => (
            <p key={sentence}>{keepUnits(sentence)}</p>
          ))}
          <p>
            The shade is the day’s greatest loading of L1, L2 or the total. A day leads to its sheet, and from
            there to the second.
          </p>
        </>
      }
    >
      <YearCalendar slug={site.slug} year={results.year} days={results.days} />
      <Behind
        table={yearDays(results.days, site.slug, site.timezone)}
        csvHref={`/sites/${site.slug}/${results.year}/tables/days.csv`}
      />
    </Entry>
  );
}

const MARKS = {
  solar: "plain",
  battery: "slanted",
  grid: "level",
  generator: "spots",
  unknown: "slanted",
} as const;

function Months({ page: { site, results } }: { page: YearPage }) {
  const months = monthsOfDays(results.days);
  const table = yearMonths(months, site.slug, site.timezone);
  const bars = months.map((month) => ({
    ...month,
    ...localMonth(site.timezone, month.month),
    date: month.month,
  }));
  const places = Array.from({ length: 12 }, (_, at) => `${results.year}-${String(at + 1).padStart(2, "0")}`);
  return (
    <Entry
      title="Where the energy of the loads came from, month by month."
      aside={
        <>
          <p>Each bar is a month’s load; the figure on top is its sum in kWh.</p>
          {bars.some(isPartly) ? (
            <p>* The energy of a part of this month isn’t known: a value or the log is missing there.</p>
          ) : null}
        </>
      }
    >
      <Drawing
        label="A bar a month, stacked by where the load’s energy came from; the table under it has the figures."
        height={300}
        narrowHeight={240}
        option={(narrow) => energyByDayOption(bars, places, narrow)}
        live={{ picture: "energy-by-day", data: energyPicture(site.slug, bars, places) }}
        legend={sharesPresent(months).map(({ key, title, colour }) => (
          <Key key={key} mark={MARKS[colour]} colour={`var(--${colour})`}>
            {title} {formatKwh(months.reduce((sum, { shares }) => sum + shares[key], 0))}
          </Key>
        ))}
      />
      <DataTable table={table} />
      <CsvLink table={table} href={`/sites/${site.slug}/${results.year}/tables/months.csv`} />
    </Entry>
  );
}
