import type { Metadata } from "next";
import Link from "next/link";
import { neighbourMonth } from "../../../../db/queries/local-month";
import { ratingsAt, ratingsPeriods } from "../../../../src/analysis/ratings-in-force";
import { comparePeriods } from "../../../../src/report/compare-periods";
import { comparisonWords, monthNames } from "../../../../src/report/comparison-words";
import { evidenceSentence } from "../../../../src/report/evidence-sentence";
import { clockOf } from "../../../../src/report/format";
import { monthInShort } from "../../../../src/report/month-in-short";
import {
  monthSummary,
  SECTION_TITLES,
  SECTIONS,
  type Statement,
  type Summary,
} from "../../../../src/report/month-summary";
import { noteSentence } from "../../../../src/report/note-sentence";
import { energyByDayOption, isPartly } from "../../../_charts/energy-by-day";
import { energyPicture } from "../../../_charts/energy-by-day-live";
import { evidenceLines } from "../../../_data/evidence-lines";
import { datesOf, type MonthPage, monthPage } from "../../../_data/month-page";
import { adviceLink, statementLink } from "../../../_data/statement-link";
import { isYear } from "../../../_data/year-page";
import { formatCount } from "../../../_format/count";
import { formatDuration } from "../../../_format/duration";
import { keepUnits } from "../../../_format/keep-units";
import { formatInstant, formatMonth } from "../../../_format/local-time";
import { formatPercent } from "../../../_format/percent";
import { formatKw, formatKwh } from "../../../_format/power";
import { Behind } from "../../../_parts/behind";
import { CsvLink } from "../../../_parts/csv-link";
import { DataTable } from "../../../_parts/data-table";
import { Drawing, Key } from "../../../_parts/drawing";
import { Entry } from "../../../_parts/entry";
import { Freshness } from "../../../_parts/freshness";
import { LoadDurationPicture } from "../../../_parts/load-duration-picture";
import { LoadingCalendar } from "../../../_parts/loading-calendar";
import { Empty, Message } from "../../../_parts/message";
import { NotesList } from "../../../_parts/person-notes";
import { Sheet } from "../../../_parts/sheet";
import { Said, Statements } from "../../../_parts/statements";
import { Stop } from "../../../_parts/stop";
import { YearSheet } from "../../../_parts/year-sheet";
import { continuousLoadStretches } from "../../../_tables/continuous-load";
import { dropoutsTable } from "../../../_tables/dropouts";
import { energyByDay, sharesPresent } from "../../../_tables/energy-by-day";
import { imbalanceIntervals } from "../../../_tables/imbalance-intervals";
import { loadDurationByLeg, loadDurationCurve } from "../../../_tables/load-duration";
import { loadingByHour } from "../../../_tables/loading-by-hour";
import { nearLimitByQuantity, nearLimitIntervals } from "../../../_tables/near-limit-intervals";
import { periodComparison } from "../../../_tables/period-comparison";
import { transfersByCause } from "../../../_tables/transfers-by-cause";
import styles from "./month.module.css";

export async function generateMetadata({ params }: PageProps<"/sites/[site]/[month]">): Promise<Metadata> {
  const { month } = await params;
  return { title: isYear(month) ? month : /^\d{4}-\d\d$/.test(month) ? formatMonth(month) : "Not found" };
}

export default async function Month({ params }: PageProps<"/sites/[site]/[month]">) {
  const { site: slug, month } = await params;
  if (isYear(month)) return <YearSheet slug={slug} year={month} />;
  const page = await monthPage(slug, month);
  const { site, months, monthHref, results, before } = page;
  const ratings = ratingsAt(ratingsPeriods(site.site.ratings, clockOf(site.timezone)), results.fromMs);
  const summary = monthSummary(results, month, site.site.ratings, clockOf(site.timezone), before);
  const base = `/sites/${site.slug}/${month}`;
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="month"
      title={formatMonth(month)}
      lead={<p>{keepUnits(summary.headline)}</p>}
      warning={summary.warnings.length === 0 ? undefined : <OpenNeutral page={page} summary={summary} />}
      fields={[
        { label: "Times", value: site.timezone },
        {
          label: "Covered by the log",
          value: summary.coverage === null ? "nothing" : formatPercent(summary.coverage, 1),
        },
        {
          label: "Rating",
          value: `${formatKw(ratings.legLimitW)} a leg, ${formatKw(ratings.totalLimitW)} in all`,
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
      <MonthLinks base={`/sites/${site.slug}`} month={month} months={months} />
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
        <Empty title={`There are no samples of ${formatMonth(month)}.`}>
          <p>
            {months.length === 0 ? (
              <Link href={`/sites/${site.slug}/logs`}>Import the first log</Link>
            ) : (
              <>
                The site has samples from {formatMonth(months[0])} to {formatMonth(months[months.length - 1])}
                . <Link href={`/sites/${site.slug}/logs`}>Import a log</Link> that covers this month too.
              </>
            )}
          </p>
        </Empty>
      ) : (
        <>
          <InShort page={page} summary={summary} />
          <Advice page={page} summary={summary} />
          <Loading page={page} base={base} />
          <Transfers page={page} base={base} />
          <Dropouts page={page} base={base} />
          <Energy page={page} base={base} />
          <Before page={page} base={base} />
          <Duration page={page} base={base} limits={ratings} />
          <NearLimit page={page} base={base} />
          <Imbalance page={page} base={base} />
          <ContinuousLoad page={page} base={base} />
          {page.byPerson.length === 0 ? null : (
            <Entry title="What was written down by hand." id="notes">
              <NotesList slug={site.slug} timezone={site.timezone} notes={page.byPerson} />
            </Entry>
          )}
          <Words page={page} summary={summary} />
          <Notes page={page} />
        </>
      )}
    </Sheet>
  );
}

/** Where the figures of this month's sentences come from. */
function linksOf({ site, results: { month } }: MonthPage) {
  const clock = clockOf(site.timezone);
  return (statement: Statement) => statementLink(statement, { slug: site.slug, month }, clock);
}

function InShort({ page, summary }: { page: MonthPage; summary: Summary }) {
  const linkOf = linksOf(page);
  return (
    <Entry
      title="The month in short."
      aside={
        <>
          <p className="no-print">
            <a href="#words">Every figure in words</a>
          </p>
          <p className="no-print">
            <Link href={`/sites/${page.site.slug}/${page.results.month}/report`}>Report on paper</Link>
          </p>
        </>
      }
    >
      <ul className={styles.short}>
        {monthInShort(summary).map((statement) => (
          <li key={statement.code}>
            <Said text={statement.text} link={linkOf(statement)} />
          </li>
        ))}
      </ul>
    </Entry>
  );
}

function Advice({ page: { site, results }, summary: { advice } }: { page: MonthPage; summary: Summary }) {
  if (advice.length === 0) return null;
  return (
    <Entry
      title="What to do next, with the figure that speaks for it."
      aside={
        <p>
          Work inside the panel, on the battery or on the service is for licensed people under the local code.
          Figures from a log don’t replace a protective device’s rating.
        </p>
      }
    >
      <ol className={styles.advice}>
        {advice.map(({ code, text }) => (
          <li key={code}>
            <Said text={text} link={adviceLink(code, { slug: site.slug, month: results.month })} />
          </li>
        ))}
      </ol>
    </Entry>
  );
}

/** What of a month is held against the month before on its own sheet; the rest stands on Compare. */
const BESIDE_THE_MONTH =
  /^(coverage|transfers|cause-.*|on-utility|dropouts|near-limit-.*|peak-loading|load|solar|solar-fraction)$/;

function Before({ page: { site, results, before }, base }: Part) {
  if (before === null) return null;
  const names = monthNames(formatMonth(before.month), formatMonth(results.month));
  const figures = comparePeriods(before, results);
  const words = comparisonWords(figures, names);
  const said = words.filter(({ code }) => !BESIDE_THE_WORDS.has(code));
  const table = periodComparison(
    figures.filter(({ code }) => BESIDE_THE_MONTH.test(code)),
    names,
  );
  return (
    <Entry
      id="before"
      title={`Beside ${names.before}.`}
      aside={
        <p>
          <Link href={`/sites/${site.slug}/compare?a=${before.month}&b=${results.month}`}>
            Both months in full
          </Link>
        </p>
      }
    >
      {said.map(({ code, text }) => (
        <p key={code}>{keepUnits(text)}</p>
      ))}
      <DataTable table={table} />
      <CsvLink table={table} href={`${base}/tables/comparison.csv`} />
    </Entry>
  );
}

/** What the table beside the words has as well. */
const BESIDE_THE_WORDS: ReadonlySet<string> = new Set([
  "on-utility",
  "near-limit-L1",
  "near-limit-L2",
  "near-limit-total",
  "peak-loading",
  "load",
]);

function Words({ page, summary }: { page: MonthPage; summary: Summary }) {
  const linkOf = linksOf(page);
  return (
    <Entry
      id="words"
      title="Every figure in words."
      aside={
        <p>Under each part stands how much of the month its figures know, and the settings they hang on.</p>
      }
    >
      {SECTIONS.map((section) => ({
        section,
        statements: summary.statements.filter((one) => one.section === section),
      })).map(({ section, statements }) =>
        statements.length === 0 ? null : (
          <details key={section} className={styles.words}>
            <summary>
              <h3>{SECTION_TITLES[section]}</h3> {formatCount(statements.length, "sentence")}
            </summary>
            <Statements
              title={SECTION_TITLES[section]}
              statements={statements}
              coverage={summary.coverage}
              linkOf={linkOf}
            />
          </details>
        ),
      )}
    </Entry>
  );
}

function OpenNeutral({ page: { site, results }, summary }: { page: MonthPage; summary: Summary }) {
  const lines = evidenceLines(site.timezone, results.nominalS);
  return (
    <Stop title="Stop: the neutral may be open or bad.">
      {summary.warnings.map(({ code, text }) => (
        <p key={code}>{keepUnits(text)}</p>
      ))}
      <ol>
        <li>Switch off what is sensitive: with a bad neutral a leg can go far above its voltage.</li>
        <li>Call an electrician now. The panel, the inverter and the service are for licensed people.</li>
      </ol>
      <details>
        <summary>What this stands on</summary>
        <ul>
          {(results.openNeutral ?? []).flatMap(lines).map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      </details>
    </Stop>
  );
}

function MonthLinks({ base, month, months }: { base: string; month: string; months: readonly string[] }) {
  const [earlier, later] = [neighbourMonth(month, -1), neighbourMonth(month, 1)];
  const link = (to: string, text: string) =>
    months.includes(to) ? <Link href={`${base}/${to}`}>{text}</Link> : <span />;
  return (
    <nav className={styles.months} aria-label="Months">
      {link(earlier, `← ${formatMonth(earlier)}`)}
      <Link href={`${base}/${month.slice(0, 4)}`}>The year {month.slice(0, 4)}</Link>
      {link(later, `${formatMonth(later)} →`)}
    </nav>
  );
}

type Part = { page: MonthPage; base: string };

function Loading({ page: { site, results }, base }: Part) {
  const table = loadingByHour(results.hours, results.transfers, site.timezone);
  return (
    <Entry
      title="How near the loads came to the rating, hour by hour."
      aside={
        <p>
          The figure is the hour’s greatest loading of L1, L2 or the total: 1.00 is at the rating. Hours near
          it are underlined, hours above it ruled twice.
        </p>
      }
    >
      {results.hours.some(({ peakLoading }) => peakLoading !== null) ? (
        <LoadingCalendar
          hours={table.rows}
          dates={datesOf(results.month)}
          timezone={site.timezone}
          slug={site.slug}
        />
      ) : (
        <Empty title="There is no load in this log.">
          <p>Loading needs the load of the legs or of both together.</p>
        </Empty>
      )}
      <Behind table={table} csvHref={`${base}/tables/loading-by-hour.csv`} />
    </Entry>
  );
}

function Transfers({ page: { site, results }, base }: Part) {
  const transfersHref = `/sites/${site.slug}/transfers`;
  const table = transfersByCause(
    results.transfers,
    (cause) => `${transfersHref}?month=${results.month}&cause=${cause}`,
  );
  return (
    <Entry
      title="Why the loads went over to the utility."
      aside={
        results.transfers.length === 0 ? undefined : (
          <p>
            <Link href={`${transfersHref}?month=${results.month}`}>All transfers of the month</Link>
          </p>
        )
      }
    >
      {results.transfers.length === 0 ? (
        <Empty title="No transfer began in this month, as far as the log covers it." />
      ) : (
        <>
          <DataTable table={table} bars={{ of: (row) => row.transfers, title: "transfers" }} />
          <CsvLink table={table} href={`${base}/tables/transfers-by-cause.csv`} />
        </>
      )}
    </Entry>
  );
}

function Dropouts({ page: { site, results }, base }: Part) {
  if (results.dropouts.length === 0) return null;
  const table = dropoutsTable(results.dropouts, site.timezone);
  return (
    <Entry id="dropouts" title="When the loads lost supply.">
      <DataTable table={table} evidence={evidenceLines(site.timezone, results.nominalS)} />
      <CsvLink table={table} href={`${base}/tables/dropouts.csv`} />
    </Entry>
  );
}

function NearLimit({ page: { site, results }, base }: Part) {
  const byQuantity = nearLimitByQuantity(results.nearLimit);
  const { nearLimitEnter, nearLimitLeave } = results.settings;
  return (
    <Entry
      id="near-limit"
      title="How long each leg ran near its limit."
      aside={
        <p>
          Near the limit is a loading of {nearLimitEnter.toFixed(2)} or more, until it falls under{" "}
          {nearLimitLeave.toFixed(2)}.
        </p>
      }
    >
      {byQuantity.rows.length === 0 ? (
        <Empty
          title={
            results.figures.loadDuration === null
              ? "There is no load in this log."
              : "Nothing ran near its limit, as far as the log covers the month."
          }
        />
      ) : (
        <DataTable table={byQuantity} bars={{ of: (row) => row.durationS, title: "near the limit" }} />
      )}
      <Behind
        table={nearLimitIntervals(results.nearLimit, site.timezone)}
        csvHref={`${base}/tables/near-limit-intervals.csv`}
        evidence={evidenceLines(site.timezone, results.nominalS)}
      />
    </Entry>
  );
}

function Duration({
  page: { results },
  base,
  limits,
}: Part & { limits: { legLimitW: number; totalLimitW: number } }) {
  const { loadDuration } = results.figures;
  return (
    <Entry
      title="How much load for how long, beside the rating."
      aside={
        <p>
          Load that was reached or exceeded for a part of the time logged, on inverter and on utility alike.
          The rating is that of the month’s first day.
        </p>
      }
    >
      {loadDuration === null ? (
        <Empty title="There is no load in this log." />
      ) : (
        <>
          <LoadDurationPicture curves={loadDuration} limits={limits} />
          <DataTable table={loadDurationByLeg(loadDuration, limits)} />
          {loadDuration.l1 === null || loadDuration.l2 === null ? (
            <p className={styles.caution}>The load of each leg is not in this log.</p>
          ) : null}
          <Behind table={loadDurationCurve(loadDuration)} csvHref={`${base}/tables/load-duration.csv`} />
        </>
      )}
    </Entry>
  );
}

function Imbalance({ page: { site, results }, base }: Part) {
  const { imbalance } = results.figures;
  const { imbalanceEnter, imbalanceLoadEnter, imbalanceMinS } = results.settings;
  return (
    <Entry
      title="When the legs differed far and long."
      aside={
        <p>
          From {formatPercent(imbalanceEnter)} of a leg’s limit between them, with one leg at a loading of{" "}
          {imbalanceLoadEnter.toFixed(2)} or more, for {formatDuration(imbalanceMinS)} or longer.
        </p>
      }
    >
      {imbalance === null ? (
        <Empty title="What each leg carries is not in this log." />
      ) : imbalance.intervals.length === 0 ? (
        <Empty title="The legs never differed so, as far as the log covers the month." />
      ) : (
        <Behind
          table={imbalanceIntervals(imbalance.intervals, site.timezone)}
          csvHref={`${base}/tables/imbalance-intervals.csv`}
          evidence={evidenceLines(site.timezone, results.nominalS)}
        />
      )}
    </Entry>
  );
}

function ContinuousLoad({ page: { site, results }, base }: Part) {
  if (results.continuousLoad.length === 0) return null;
  const table = continuousLoadStretches(results.continuousLoad, site.timezone);
  return (
    <Entry
      title="Where a protective device carried continuous load."
      aside={<p>80 % of its rating or more for three hours or longer. This is no code calculation.</p>}
    >
      <DataTable table={table} evidence={evidenceLines(site.timezone, results.nominalS)} />
      <CsvLink table={table} href={`${base}/tables/continuous-load.csv`} />
    </Entry>
  );
}

function Energy({ page: { site, results }, base }: Part) {
  const { days, total } = results;
  const table = energyByDay(days);
  const marks = {
    solar: "plain",
    battery: "slanted",
    grid: "level",
    generator: "spots",
    unknown: "slanted",
  } as const;
  return (
    <Entry
      id="energy"
      title="Where the energy of the loads came from, day by day."
      aside={
        <>
          <p>Each bar is a day’s load; the figure on top is its sum in kWh.</p>
          {days.some(isPartly) ? (
            <p>* The energy of a part of this day isn’t known: a value or the log is missing there.</p>
          ) : null}
        </>
      }
    >
      <Drawing
        label="A bar a day, stacked by where the load’s energy came from; the table behind it has the figures."
        height={300}
        narrowHeight={240}
        option={(narrow) => energyByDayOption(days, datesOf(results.month), narrow)}
        live={{ picture: "energy-by-day", data: energyPicture(site.slug, days, datesOf(results.month)) }}
        legend={sharesPresent(days).map(({ key, title, colour }) => (
          <Key key={key} mark={marks[colour]} colour={`var(--${colour})`}>
            {title} {formatKwh(total?.[key])}
          </Key>
        ))}
      />
      <Behind table={table} csvHref={`${base}/tables/energy-by-day.csv`} />
    </Entry>
  );
}

/** More notes than these are folded. */
const NOTES_UNFOLDED = 5;

function Notes({ page: { site, results } }: { page: MonthPage }) {
  const clock = clockOf(site.timezone);
  const { notes, nominalS } = results;
  const list = (
    <ul className={styles.notes}>
      {notes
        .map((note) => noteSentence(note, clock))
        .map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
    </ul>
  );
  return (
    <Entry title="What these figures stand on.">
      {nominalS === null ? null : (
        <p>{evidenceSentence({ code: "interval-hides", figures: { intervalS: nominalS } }, clock)}</p>
      )}
      {notes.length === 0 ? null : notes.length <= NOTES_UNFOLDED ? (
        list
      ) : (
        <details className={styles.words}>
          <summary>{formatCount(notes.length, "note")} on channels, meters and days</summary>
          {list}
        </details>
      )}
      {results.gaps.length === 0 ? null : (
        <Message title="Gaps of the log">
          <ul className={styles.notes}>
            {results.gaps.map(({ fromMs, toMs }) => (
              <li key={fromMs}>
                {formatInstant(fromMs, site.timezone)} to {formatInstant(toMs, site.timezone)}
              </li>
            ))}
          </ul>
        </Message>
      )}
    </Entry>
  );
}
