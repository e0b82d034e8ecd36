import Link from "next/link";
import { coarserLegs } from "../../../../src/analysis/coarser-legs";
import { SERVICE_RANGE } from "../../../../src/analysis/leg-voltage";
import { ratingsAt, ratingsPeriods } from "../../../../src/analysis/ratings-in-force";
import { clockOf } from "../../../../src/report/format";
import { type LegsSummary, legsSummary } from "../../../../src/report/legs-summary";
import { DENSITY_STEPS, LEG_DENSITY_HEIGHT, legDensityOption } from "../../../_charts/leg-density";
import { legVoltagesOption } from "../../../_charts/leg-voltages";
import { legsByHourOption } from "../../../_charts/legs-by-hour";
import { evidenceLines } from "../../../_data/evidence-lines";
import { type LegsPage, legsPage } from "../../../_data/legs-page";
import { periodSearch, periodWhen, periodWords } from "../../../_data/period-query";
import { dayAtHref } from "../../../_format/day-address";
import { formatDuration } from "../../../_format/duration";
import { keepUnits } from "../../../_format/keep-units";
import { formatInstant, formatMonth } from "../../../_format/local-time";
import { formatPercent } from "../../../_format/percent";
import { formatKw } from "../../../_format/power";
import { Behind } from "../../../_parts/behind";
import { CsvLink } from "../../../_parts/csv-link";
import { DataTable } from "../../../_parts/data-table";
import { Drawing, Key } from "../../../_parts/drawing";
import { Entry } from "../../../_parts/entry";
import { Freshness } from "../../../_parts/freshness";
import { LoadDurationPicture } from "../../../_parts/load-duration-picture";
import { Empty, Message } from "../../../_parts/message";
import { PeriodLinks } from "../../../_parts/period-links";
import { Sheet } from "../../../_parts/sheet";
import { SettingsMeant } from "../../../_parts/statements";
import { imbalanceIntervals } from "../../../_tables/imbalance-intervals";
import { legDensityTable } from "../../../_tables/leg-density";
import { legVoltageByLeg, legVoltages } from "../../../_tables/leg-voltages";
import { legsByHour } from "../../../_tables/legs-by-hour";
import { loadDurationByLeg, loadDurationCurve } from "../../../_tables/load-duration";
import { neutralCurrent } from "../../../_tables/neutral-current";
import styles from "./legs.module.css";

export const metadata = { title: "Legs" };

/** Cells on a side that make one of the table on the page, which people read: the file has them all. */
const COARSE = 10;

/** What every part of the sheet is given. */
type Part = {
  page: LegsPage;
  /** Ratings in force at the end of the period. */
  limits: { legLimitW: number; totalLimitW: number; legNominalV: number };
  fileHref: (table: string) => string;
};

export default async function Legs({ params, searchParams }: PageProps<"/sites/[site]/legs">) {
  const page = await legsPage((await params).site, await searchParams);
  const { site, monthHref, months, period, problem, results } = page;
  const clock = clockOf(site.timezone);
  const periods = ratingsPeriods(site.site.ratings, clock);
  const limits = ratingsAt(periods, results.toMs - 1);
  const changed = ratingsAt(periods, results.fromMs) !== limits;
  const summary = legsSummary(results, periodWhen(period), site.site.ratings, clock);
  const base = `/sites/${site.slug}/legs`;
  const part = {
    page,
    limits,
    fileHref: (table: string) => `${base}/tables/${table}.csv${periodSearch(period)}`,
  };
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="legs"
      title="The two legs"
      lead={<p>{keepUnits(summary.headline)}</p>}
      fields={[
        { label: "Times", value: site.timezone },
        { label: "Period", value: periodWords(period) },
        {
          label: "Both legs known for",
          value: summary.coverage === null ? "nothing" : `${formatPercent(summary.coverage, 1)} of it`,
        },
        {
          label: changed ? "Rating at its end" : "Rating",
          value: `${formatKw(limits.legLimitW)} a leg, ${formatKw(limits.totalLimitW)} in all`,
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
      <PeriodLinks base={base} period={period} months={months} range={results.range} />
      {problem === null ? null : (
        <Message kind="error" title="The period in the address can’t be read.">
          <p>{problem}</p>
        </Message>
      )}
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
        <Empty title="There are no samples in this period.">
          <p>
            {months.length === 0 ? (
              <Link href={`/sites/${site.slug}/logs`}>Import the first log</Link>
            ) : (
              <>
                The site has samples from {formatMonth(months[0])} to {formatMonth(months[months.length - 1])}
                . <Link href={`${base}?period=all`}>Show the whole log</Link>
              </>
            )}
          </p>
        </Empty>
      ) : (
        <>
          <Answers page={page} summary={summary} />
          <Density {...part} />
          <Duration {...part} />
          <ByHour {...part} />
          <Imbalance {...part} />
          <Neutral {...part} />
          <Voltage {...part} />
        </>
      )}
    </Sheet>
  );
}

function Answers({ page: { site, results }, summary }: { page: LegsPage; summary: LegsSummary }) {
  const clock = clockOf(site.timezone);
  const settings = Object.assign({}, ...summary.statements.map((one) => one.settings));
  const known = formatPercent(summary.coverage, 1);
  return (
    <Entry
      title="Which leg is full, in words."
      aside={
        <p>
          A load on utility counts as what was asked for. Between two samples nothing is known
          {results.nominalS === null
            ? ""
            : `, and there is one every ${formatDuration(results.nominalS)}: a short peak can have been higher`}
          .
        </p>
      }
    >
      <ol className={styles.answers}>
        {summary.statements.map(({ code, text, coverage, timesMs }) => (
          <li key={code}>
            {keepUnits(text)}
            {coverage === null && timesMs.length === 0 ? null : (
              <span className={styles.from}>
                {coverage === null || formatPercent(coverage, 1) === known
                  ? null
                  : `Known for ${formatPercent(coverage, 1)} of the period. `}
                {[...new Set(timesMs)].map((atMs, index) => (
                  <span key={atMs}>
                    {index === 0 ? "See " : " and "}
                    <Link href={dayAtHref(site.slug, atMs, clock)} prefetch={false}>
                      {formatInstant(atMs, site.timezone, false)}
                    </Link>
                  </span>
                ))}
              </span>
            )}
          </li>
        ))}
      </ol>
      <details>
        <summary>How this is reckoned</summary>
        <p>
          From what the log covers, {known} of the period with both legs, where nothing else is said. A leg is
          full at a loading of 1.00 or more; its headroom is the rating less the load.
        </p>
        <SettingsMeant settings={settings} />
      </details>
      {summary.coverage === null ? null : (
        <Message kind="caution">
          <p>
            Moving a circuit to the other leg is work inside the panel: it is for licensed people under the
            local code. Figures from a log don’t replace a protective device’s rating and are no code
            calculation.
          </p>
        </Message>
      )}
    </Entry>
  );
}

function Density({ page: { results }, limits, fileHref }: Part) {
  const { density } = results.legs;
  const { nearLimitEnter } = results.settings;
  return (
    <Entry
      title="What L1 and L2 carried together, and how long."
      aside={
        density === null ? undefined : (
          <>
            <p>
              Each square is a pair of loads. The dashed box is the rating; the tinted strips along it begin
              at a loading of {nearLimitEnter.toFixed(2)}. On the dotted line the legs are balanced: what lies
              under it is load that L1 has more of.
            </p>
            <p>Hollow squares: the inverter never carried it, the loads asked for it on utility.</p>
          </>
        )
      }
    >
      {density === null ? (
        <Empty title="What each leg carries is not in this log.">
          <p>It takes the load of L1 and of L2, in W or in A.</p>
        </Empty>
      ) : (
        <>
          <Drawing
            label={`Held time by the load of both legs. The greatest load of L1 was ${formatKw(density.peaks.l1.l1W)}, of L2 ${formatKw(density.peaks.l2.l2W)}, beside a rating of ${formatKw(limits.legLimitW)} a leg; the table behind it has every cell.`}
            height={LEG_DENSITY_HEIGHT.wide}
            narrowHeight={LEG_DENSITY_HEIGHT.narrow}
            option={(narrow) => legDensityOption(density, { ...limits, nearLimit: nearLimitEnter }, narrow)}
            legend={DENSITY_STEPS.map(({ ink, title }) => (
              <Key
                key={title}
                mark="plain"
                colour={`color-mix(in srgb, var(--ink) ${ink * 100}%, var(--paper))`}
              >
                {title}
              </Key>
            ))}
          />
          <p className={styles.caution}>
            The table here has cells of {formatKw(density.cellW * COARSE)}, the file those of {density.cellW}{" "}
            W.
          </p>
          <Behind table={legDensityTable(coarserLegs(density, COARSE))} csvHref={fileHref("leg-density")} />
        </>
      )}
    </Entry>
  );
}

function Duration({ page: { results }, limits, fileHref }: Part) {
  const { loadDuration } = results.figures;
  return (
    <Entry
      title="How much load for how long, beside the rating."
      aside={
        <p>
          Load that was reached or exceeded for a part of the time logged. A leg has headroom for as long as
          its curve runs under its rating.
        </p>
      }
    >
      {loadDuration === null ? (
        <Empty title="There is no load in this log." />
      ) : (
        <>
          <LoadDurationPicture curves={loadDuration} limits={limits} />
          <DataTable table={loadDurationByLeg(loadDuration, limits)} />
          <Behind table={loadDurationCurve(loadDuration)} csvHref={fileHref("load-duration")} />
        </>
      )}
    </Entry>
  );
}

function ByHour({ page: { results }, fileHref }: Part) {
  const { hours } = results.legs;
  if (hours.every(({ l1W, l2W }) => l1W === null && l2W === null)) return null;
  return (
    <Entry
      title="At what hour of the day each leg carries most, in the mean."
      aside={
        <p>
          L1 stands up, L2 hangs down: where the one reaches further than the other, that is the heavier leg
          at that hour. These are means over all days; peaks are in the pictures above.
        </p>
      }
    >
      <Drawing
        label="Mean load of L1, upwards, and of L2, downwards, by hour of the day; the table behind it has the figures."
        height={300}
        narrowHeight={260}
        option={(narrow) => legsByHourOption(hours, narrow)}
        live={{ picture: "legs-by-hour", data: hours }}
        legend={
          <>
            <Key mark="plain" colour="var(--l1)">
              L1
            </Key>
            <Key mark="slanted" colour="var(--l2)">
              L2
            </Key>
          </>
        }
      />
      <Behind table={legsByHour(hours)} csvHref={fileHref("legs-by-hour")} />
    </Entry>
  );
}

function Imbalance({ page: { site, results }, fileHref }: Part) {
  const { imbalance } = results.figures;
  if (imbalance === null) return null;
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
      {imbalance.intervals.length === 0 ? (
        <Empty title="The legs never differed so, as far as the log covers the period." />
      ) : (
        <Behind
          table={imbalanceIntervals(imbalance.intervals, site.timezone)}
          csvHref={fileHref("imbalance-intervals")}
          evidence={evidenceLines(site.timezone, results.nominalS)}
          open
        />
      )}
    </Entry>
  );
}

function Neutral({ page: { results }, fileHref }: Part) {
  const { neutral } = results.legs;
  if (neutral === null) return null;
  const table = neutralCurrent(neutral);
  return (
    <Entry
      title="What the neutral carried back."
      aside={
        <p>
          The difference of the legs’ currents, as it is for loads in phase: where power factors differ the
          neutral carries more. Known for{" "}
          {formatPercent(neutral.heldS / ((results.toMs - results.fromMs) / 1000), 1)} of the period.
        </p>
      }
    >
      <DataTable table={table} bars={{ of: (at) => neutral.exceededA[at], title: "" }} />
      <CsvLink table={table} href={fileHref("neutral-current")} />
    </Entry>
  );
}

function Voltage({ page: { site, results }, limits, fileHref }: Part) {
  const { voltage: bins } = results.legs;
  const { voltage } = results.figures;
  const scale = limits.legNominalV / SERVICE_RANGE.nominalV;
  const range = { lowV: SERVICE_RANGE.lowV * scale, highV: SERVICE_RANGE.highV * scale };
  return (
    <Entry
      title="Where each leg’s voltage lies."
      aside={
        <p>
          The service range drawn in, {range.lowV} to {range.highV} V, is that of one state rule (COMAR
          20.50.07.02); limits elsewhere differ.
        </p>
      }
    >
      {bins === null || voltage === null ? (
        <Empty title="The voltage of the legs is not in this log.">
          <p>With it this sheet would show sag under load, and could warn of an open neutral.</p>
        </Empty>
      ) : (
        <>
          <Drawing
            label="How many of each leg's samples lie at which voltage, with the service range; the tables have the figures."
            height={300}
            narrowHeight={260}
            option={(narrow) => legVoltagesOption(bins, range, narrow)}
            legend={
              <>
                {bins.l1.length === 0 ? null : (
                  <Key mark="solid" colour="var(--l1)">
                    L1
                  </Key>
                )}
                {bins.l2.length === 0 ? null : (
                  <Key mark="dashed" colour="var(--l2)">
                    L2
                  </Key>
                )}
              </>
            }
          />
          <DataTable table={legVoltageByLeg(voltage, site.timezone)} />
          <CsvLink table={legVoltageByLeg(voltage, site.timezone)} href={fileHref("leg-voltage-by-leg")} />
          <Behind table={legVoltages(bins)} csvHref={fileHref("leg-voltages")} />
        </>
      )}
    </Entry>
  );
}
