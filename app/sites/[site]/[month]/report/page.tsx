import type { Metadata } from "next";
import Link from "next/link";
import { ratingsAt, ratingsPeriods } from "../../../../../src/analysis/ratings-in-force";
import { cantShowLines } from "../../../../../src/report/cant-show-lines";
import { equipmentInPeriod } from "../../../../../src/report/equipment-in-period";
import { clockOf } from "../../../../../src/report/format";
import { monthSummary, SECTION_TITLES, SECTIONS } from "../../../../../src/report/month-summary";
import { noteSentence } from "../../../../../src/report/note-sentence";
import { personNoteSentence } from "../../../../../src/report/person-note-sentence";
import { CAUTIONS } from "../../../../../src/report/report-page";
import { energyByDayOption } from "../../../../_charts/energy-by-day";
import { datesOf, type MonthPage, monthPage } from "../../../../_data/month-page";
import { PAPERS, type Paper, pageRule, paperOf } from "../../../../_data/paper";
import { formatCount } from "../../../../_format/count";
import { keepUnits } from "../../../../_format/keep-units";
import { formatInstant, formatMonth } from "../../../../_format/local-time";
import { formatPercent } from "../../../../_format/percent";
import { formatKwh } from "../../../../_format/power";
import { DataTable } from "../../../../_parts/data-table";
import { Drawing, Key } from "../../../../_parts/drawing";
import { LoadDurationPicture } from "../../../../_parts/load-duration-picture";
import { LoadingCalendar } from "../../../../_parts/loading-calendar";
import { NeutralStop } from "../../../../_parts/neutral-stop";
import { dropoutsTable } from "../../../../_tables/dropouts";
import { sharesPresent } from "../../../../_tables/energy-by-day";
import { loadDurationByLeg } from "../../../../_tables/load-duration";
import { loadingByHour } from "../../../../_tables/loading-by-hour";
import { settingsTable } from "../../../../_tables/settings";
import { transfersAppendix } from "../../../../_tables/transfers-appendix";
import { transfersByCause } from "../../../../_tables/transfers-by-cause";
import styles from "./report.module.css";

/** Transfers that the appendix lists; of more their number is given. */
const MAX_LISTED = 1000;

export async function generateMetadata({
  params,
}: PageProps<"/sites/[site]/[month]/report">): Promise<Metadata> {
  const { month } = await params;
  return { title: /^\d{4}-\d\d$/.test(month) ? `Report of ${formatMonth(month)}` : "Not found" };
}

/** A month on paper: the Month's figures for whoever gets them handed over, black and white as well as in colour. */
export default async function Report({ params, searchParams }: PageProps<"/sites/[site]/[month]/report">) {
  const { site: slug, month } = await params;
  const page = await monthPage(slug, month);
  const paper = paperOf((await searchParams).paper);
  const { site, results, before } = page;
  const clock = clockOf(site.timezone);
  const summary = monthSummary(results, month, site.site.ratings, clock, before);
  const current = results.revision === results.samplesRevision;
  return (
    <div className={`page ${styles.report}`}>
      <style>{pageRule(paper, `${site.name}, ${formatMonth(month)}`)}</style>
      <Ways month={month} slug={site.slug} siteName={site.name} paper={paper} />
      <NeutralStop slug={site.slug} />
      <header className={styles.head}>
        <p className={styles.site}>{site.name}</p>
        <h1>Report of {formatMonth(month)}</h1>
        <p className={styles.answer}>{keepUnits(summary.headline)}</p>
        <dl className={styles.facts}>
          <Fact label="Covered by the log">
            {summary.coverage === null ? "nothing" : `${formatPercent(summary.coverage, 1)} of the month`}
          </Fact>
          <Fact label="Times">those of {site.timezone}</Fact>
          <Fact label="Sampled">
            {results.nominalS === null ? "no samples" : `every ${results.nominalS} s`}
          </Fact>
          <Fact label="Computed">
            {results.revision === null
              ? "not yet"
              : `${formatInstant(site.resultsComputedAtMs, site.timezone, false)}, revision ${results.revision}`}
          </Fact>
        </dl>
        {current ? null : (
          <p className={styles.stale}>
            Newer samples are there and being computed: these figures stand on older ones.
          </p>
        )}
      </header>
      {results.days.length === 0 ? (
        <p>
          There is nothing to report. <Link href={`/sites/${site.slug}/logs`}>Import a log</Link> that covers
          this month.
        </p>
      ) : (
        <>
          {summary.advice.length === 0 ? null : (
            <section className={styles.part}>
              <h2>What to do next, with the figure that speaks for it</h2>
              <ol className={styles.advice}>
                {summary.advice.map(({ code, text }) => (
                  <li key={code}>{keepUnits(text)}</li>
                ))}
              </ol>
            </section>
          )}
          <Pictures page={page} />
          <section className={styles.part}>
            <h2>The month in figures</h2>
            <p className={styles.small}>
              From what the log covers, {formatPercent(summary.coverage, 1)} of the month, where nothing else
              is said.
            </p>
            {SECTIONS.map((section) => ({
              section,
              statements: summary.statements.filter((one) => one.section === section),
            })).map(({ section, statements }) =>
              statements.length === 0 ? null : (
                <section key={section} className={styles.figures}>
                  <h3>{SECTION_TITLES[section]}</h3>
                  <ul>
                    {statements.map(({ code, text }) => (
                      <li key={code}>{keepUnits(text)}</li>
                    ))}
                  </ul>
                </section>
              ),
            )}
          </section>
          <section className={styles.part}>
            <h2>The equipment as rated</h2>
            {equipmentInPeriod(results, site.site.ratings).map(({ from, lines }) => (
              <section key={from} className={styles.figures}>
                <h3>From {from}</h3>
                <ul>
                  {lines.map((line) => (
                    <li key={line}>{keepUnits(line)}</li>
                  ))}
                </ul>
              </section>
            ))}
          </section>
          <Lines
            title="What was written down by hand"
            lines={page.byPerson.map((note) => personNoteSentence(note, clock))}
          />
          <Lines title="What the log can’t show" lines={cantShowLines(results, clock)} />
          <Lines
            title="What else is to be known of these figures"
            lines={results.notes.map((note) => noteSentence(note, clock))}
          />
        </>
      )}
      <Lines title="Cautions" lines={CAUTIONS} />
      <p className={styles.sign}>
        <span>Read and found right</span>
        <span>License</span>
        <span>Date</span>
      </p>
      {results.days.length === 0 ? null : (
        <>
          <Appendix page={page} />
          <section className={`${styles.part} ${styles.listed}`}>
            <h2>Appendix B: settings that the results were computed with</h2>
            <DataTable table={settingsTable(results.settings)} />
          </section>
        </>
      )}
    </div>
  );
}

/** What is not printed: how it gets on paper, and the way back. */
function Ways({
  slug,
  siteName,
  month,
  paper,
}: {
  slug: string;
  siteName: string;
  month: string;
  paper: Paper | null;
}) {
  const here = `/sites/${slug}/${month}`;
  return (
    <nav className={`${styles.ways} no-print`} aria-label={siteName}>
      <Link href={here}>Back to {formatMonth(month)}</Link>
      <p>
        Print it from the browser’s menu (Ctrl-P, or ⌘P), or save it as PDF there. It fits A4 and Letter; if
        the browser takes the wrong one, set{" "}
        {Object.entries(PAPERS).map(([key, { name }], at) => (
          <span key={key}>
            {at === 0 ? "" : " or "}
            <Link href={`${here}/report?paper=${key}`} aria-current={paper === key ? "true" : undefined}>
              {name}
            </Link>
          </span>
        ))}
        . On the command line:{" "}
        <code>
          npm run -s legroom -- report --site "{siteName}" --month {month} --out report.pdf
        </code>
      </p>
    </nav>
  );
}

function Fact({ label, children }: { label: string; children: React.ReactNode }) {
  return (
    <div>
      <dt>{label}</dt>
      <dd>{children}</dd>
    </div>
  );
}

function Pictures({ page: { site, results } }: { page: MonthPage }) {
  const clock = clockOf(site.timezone);
  const ratings = ratingsAt(ratingsPeriods(site.site.ratings, clock), results.fromMs);
  const dates = datesOf(results.month);
  const { loadDuration } = results.figures;
  return (
    <>
      {results.hours.some(({ peakLoading }) => peakLoading !== null) ? (
        <section className={`${styles.part} ${styles.picture}`}>
          <h2>How near the loads came to the rating, hour by hour</h2>
          <p className={styles.small}>
            The hour’s greatest loading of L1, L2 or the total: 1.00 is at the rating. Hours near it are
            underlined, hours above it ruled twice; a corner marks a transfer.
          </p>
          <LoadingCalendar
            hours={loadingByHour(results.hours, results.transfers, site.timezone).rows}
            dates={dates}
            timezone={site.timezone}
            slug={site.slug}
          />
        </section>
      ) : null}
      <section className={`${styles.part} ${styles.picture}`}>
        <h2>Why the loads went over to the utility</h2>
        {results.transfers.length === 0 ? (
          <p>No transfer began in this month, as far as the log covers it.</p>
        ) : (
          <DataTable
            table={transfersByCause(results.transfers)}
            bars={{ of: (row) => row.transfers, title: "transfers" }}
          />
        )}
        {results.dropouts.length === 0 ? null : (
          <>
            <h3>When the loads lost supply</h3>
            <DataTable table={dropoutsTable(results.dropouts, site.timezone)} />
          </>
        )}
      </section>
      <section className={`${styles.part} ${styles.picture}`}>
        <h2>Where the energy of the loads came from, day by day</h2>
        <Drawing
          label="A bar a day, stacked by where the load’s energy came from, with the sums."
          height={260}
          option={(narrow) => energyByDayOption(results.days, dates, narrow)}
          legend={sharesPresent(results.days).map(({ key, title, colour }) => (
            <Key key={key} mark={ENERGY_MARKS[colour]} colour={`var(--${colour})`}>
              {title} {formatKwh(results.total?.[key])}
            </Key>
          ))}
        />
      </section>
      {loadDuration === null ? null : (
        <section className={`${styles.part} ${styles.picture}`}>
          <h2>How much load for how long, beside the rating</h2>
          <p className={styles.small}>
            Load that was reached or exceeded for a part of the time logged, on inverter and on utility alike.
            The rating is that of the month’s first day.
          </p>
          <LoadDurationPicture curves={loadDuration} limits={ratings} />
          <DataTable table={loadDurationByLeg(loadDuration, ratings)} />
        </section>
      )}
    </>
  );
}

const ENERGY_MARKS = {
  solar: "plain",
  battery: "slanted",
  grid: "level",
  generator: "spots",
  unknown: "slanted",
} as const;

function Lines({ title, lines }: { title: string; lines: readonly string[] }) {
  if (lines.length === 0) return null;
  return (
    <section className={`${styles.part} ${styles.figures}`}>
      <h2>{title}</h2>
      <ul>
        {lines.map((line) => (
          <li key={line}>{keepUnits(line)}</li>
        ))}
      </ul>
    </section>
  );
}

function Appendix({ page: { site, results } }: { page: MonthPage }) {
  const { transfers } = results;
  return (
    <section className={`${styles.part} ${styles.appendix}`}>
      <h2>Appendix A: transfers of the month</h2>
      {transfers.length === 0 ? (
        <p>None began in this month, as far as the log covers it.</p>
      ) : (
        <DataTable table={transfersAppendix(transfers.slice(0, MAX_LISTED), site.timezone)} />
      )}
      {transfers.length > MAX_LISTED ? (
        <p className={styles.small}>
          The first {MAX_LISTED} of {formatCount(transfers.length, "transfer")}; the file of the Transfers
          sheet has them all.
        </p>
      ) : null}
    </section>
  );
}
