import Link from "next/link";
import { currentDuration } from "../../../../src/analysis/current-duration";
import {
  BATTERY_SECTION_TITLES,
  BATTERY_SECTIONS,
  batterySummary,
} from "../../../../src/report/battery-summary";
import { equipmentLines } from "../../../../src/report/equipment-lines";
import { evidenceSentence } from "../../../../src/report/evidence-sentence";
import { clockOf, formatLocalTime } from "../../../../src/report/format";
import { type CurrentLimit, currentDurationOption } from "../../../_charts/current-duration";
import { dcAgainstAcOption } from "../../../_charts/dc-against-ac";
import { socByHourOption } from "../../../_charts/soc-by-hour";
import { type BatteryPage, batteryPage } from "../../../_data/battery-page";
import { periodSearch, periodWhen, periodWords } from "../../../_data/period-query";
import { dayAtHref } from "../../../_format/day-address";
import { keepUnits } from "../../../_format/keep-units";
import { formatInstant } from "../../../_format/local-time";
import { formatPercent } from "../../../_format/percent";
import { transferId } from "../../../_format/transfer-id";
import { Behind } from "../../../_parts/behind";
import { CsvLink } from "../../../_parts/csv-link";
import { DataTable } from "../../../_parts/data-table";
import { Drawing, Key } from "../../../_parts/drawing";
import { Entry } from "../../../_parts/entry";
import { Freshness } from "../../../_parts/freshness";
import { Empty, Message } from "../../../_parts/message";
import { PeriodLinks } from "../../../_parts/period-links";
import { Sheet } from "../../../_parts/sheet";
import { Statements } from "../../../_parts/statements";
import { batteryTransfersTable } from "../../../_tables/battery-transfers";
import { currentDurationTable } from "../../../_tables/current-duration";
import { dcAgainstAcTable } from "../../../_tables/dc-against-ac";
import { socByHourTable } from "../../../_tables/soc-by-hour";
import styles from "./battery.module.css";

export const metadata = { title: "Battery" };

const TITLE = "Are bank, cables and fuse big enough?";

/** Amperes in a row of the table on the page; the file has every single one. */
const ROW_A = 10;

export default async function Battery({ params, searchParams }: PageProps<"/sites/[site]/battery">) {
  const page = await batteryPage((await params).site, await searchParams);
  const { site, months, monthHref } = page;
  const sheet = { slug: site.slug, siteName: site.name, monthHref, here: "battery", title: TITLE } as const;
  const { period, problem, results, ratings } = page;
  const base = `/sites/${site.slug}/battery`;
  const lengthS = (results.toMs - results.fromMs) / 1000;
  const clock = clockOf(site.timezone);
  const summary = batterySummary(results, ratings, periodWhen(period), clock);
  const coverage = results.heldS > 0 ? results.heldS / lengthS : null;
  return (
    <Sheet
      {...sheet}
      lead={
        <>
          <p>{keepUnits(summary.headline)}</p>
          {summary.rated === null ? null : <p>{keepUnits(summary.rated)}</p>}
        </>
      }
      fields={[
        { label: "Times", value: site.timezone },
        { label: "Period", value: periodWords(period) },
        { label: "Covered by the log", value: coverage === null ? "nothing" : formatPercent(coverage, 1) },
        {
          label: "Battery",
          value: keepUnits(batteryLine(ratings)),
        },
        {
          label: "Results",
          value:
            results.revision === null
              ? "none yet"
              : `revision ${results.revision}, ${formatInstant(results.computedAtMs, site.timezone, false)}`,
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
          resultsComputedAtMs: results.computedAtMs,
        }}
      />
      {results.heldS > 0 ? (
        <>
          <Entry
            title="The battery in words."
            aside={
              <p>
                Times above a rating are held against the ratings in force at the time; arithmetic is done
                with those at the period’s end.
              </p>
            }
          >
            {BATTERY_SECTIONS.map((section) => ({
              section,
              statements: summary.statements.filter((one) => one.section === section),
            })).map(({ section, statements }) =>
              statements.length === 0 ? null : (
                <Statements
                  key={section}
                  title={BATTERY_SECTION_TITLES[section]}
                  statements={statements}
                  coverage={coverage}
                  of="the period"
                  linkOf={({ atMs }) =>
                    atMs === null
                      ? null
                      : {
                          href: dayAtHref(site.slug, atMs, clock),
                          text: `that moment, ${formatLocalTime(atMs, clock)}`,
                        }
                  }
                />
              ),
            )}
            {Object.keys(ratings.battery).length > 0 ? null : (
              <p>
                <Link href={`/sites/${site.slug}/settings`}>Tell the ratings of battery, fuse and cable</Link>{" "}
                to hold these figures against them.
              </p>
            )}
            {results.nominalS === null ? null : (
              <p>
                {keepUnits(
                  evidenceSentence(
                    { code: "interval-hides", figures: { intervalS: results.nominalS } },
                    clock,
                  ),
                )}
              </p>
            )}
          </Entry>
          <Cautions />
          {results.battery === null ? (
            <Entry title="What the pictures would need.">
              <Empty title="Nothing of the battery is in this log.">
                <p>
                  Battery current shows how it is held against battery and fuse, its power the energy and what
                  the inverter takes, its state of charge how full it is over the day. If the log has such
                  columns, <Link href={`/sites/${site.slug}/logs`}>look at how they are read</Link>.
                </p>
              </Empty>
            </Entry>
          ) : (
            <>
              <Current page={page} base={base} />
              <StateOfCharge page={page} base={base} />
              <Model page={page} base={base} />
            </>
          )}
          <Transfers page={page} base={base} />
        </>
      ) : (
        <Empty title="There are no samples in this period.">
          <p>
            {months.length === 0 ? (
              <Link href={`/sites/${site.slug}/logs`}>Import the first log</Link>
            ) : (
              <Link href={`${base}?period=all`}>Show the whole log</Link>
            )}
          </p>
        </Empty>
      )}
    </Sheet>
  );
}

type Part = { page: BatteryPage; base: string };

function Cautions() {
  return (
    <Entry title="Before anyone opens the battery side.">
      <Message kind="caution">
        <ul className={styles.caution}>
          <li>
            The battery’s terminals stay live with the disconnect open. Its fault current is thousands of
            amperes, and a DC arc does not go out by itself.
          </li>
          <li>
            The fuse needs an interrupting rating for that fault current and for the battery’s voltage, and
            goes close to the battery; its amperes alone don’t make it the right one.
          </li>
          <li>
            Work on the battery, its cables and its fuse is for licensed people under the local code and the
            makers’ instructions. Figures from a log don’t replace a protective device’s rating.
          </li>
        </ul>
      </Message>
    </Entry>
  );
}

function Current({ page: { results, ratings, period }, base }: Part) {
  const current = results.battery?.current ?? null;
  const { maxDischargeA, maxChargeA, fuseA } = ratings.battery;
  const limits: CurrentLimit[] = [
    { amps: maxDischargeA, name: "may give" },
    { amps: maxChargeA, name: "may take" },
    { amps: fuseA === undefined ? undefined : 0.8 * fuseA, name: "80 % of the fuse" },
    { amps: fuseA, name: "fuse" },
  ].flatMap(({ amps, name }) => (amps === undefined ? [] : [{ amps, name }]));
  return (
    <Entry
      title="How long the battery gave or took each current, beside its ratings."
      aside={<p>Where a curve crosses a rating, the scale says how long the current was that or more.</p>}
    >
      {current === null ? (
        <Empty title="The battery’s current is not in this log." />
      ) : (
        <>
          <Drawing
            label="Time at or above each battery current, discharging and charging, with the ratings as upright lines; the table behind it has the figures."
            height={340}
            narrowHeight={280}
            option={(narrow) => currentDurationOption(currentDuration(current.bins, 1), limits, narrow)}
            live={{ picture: "current-duration", data: { steps: currentDuration(current.bins, 1), limits } }}
            legend={
              <>
                <Key mark="solid" colour="var(--battery)">
                  Discharging
                </Key>
                <Key mark="dashed" colour="var(--battery)">
                  Charging
                </Key>
                {limits.length === 0 ? null : (
                  <Key mark="dotted" colour="var(--alert)">
                    Ratings
                  </Key>
                )}
              </>
            }
          />
          <Behind
            table={currentDurationTable(currentDuration(current.bins, ROW_A))}
            csvHref={`${base}/tables/battery-current.csv${periodSearch(period)}`}
          />
        </>
      )}
    </Entry>
  );
}

function StateOfCharge({ page: { results, ratings, period }, base }: Part) {
  const hours = results.battery?.socByHour ?? null;
  return (
    <Entry
      title="How full the battery was over the day."
      aside={<p>Each day counts with its mean in that clock hour.</p>}
    >
      {hours === null ? (
        <Empty title="The state of charge is not in this log." />
      ) : (
        <>
          <Drawing
            label="State of charge by hour of the day: median of the days, half of the days around it, least and greatest; the table behind it has the figures."
            height={300}
            narrowHeight={260}
            option={(narrow) => socByHourOption(hours, ratings.battery.lowSocPct ?? null, narrow)}
            live={{ picture: "soc-by-hour", data: { hours, lowSocPct: ratings.battery.lowSocPct ?? null } }}
            legend={
              <>
                <Key mark="solid" colour="var(--battery)">
                  Median of the days
                </Key>
                <Key mark="plain" colour="color-mix(in srgb, var(--battery) 25%, transparent)">
                  Half of the days
                </Key>
                <Key mark="dotted" colour="var(--battery)">
                  Least and greatest
                </Key>
              </>
            }
          />
          <Behind
            table={socByHourTable(hours)}
            csvHref={`${base}/tables/state-of-charge-by-hour.csv${periodSearch(period)}`}
          />
        </>
      )}
    </Entry>
  );
}

function Model({ page: { results, period }, base }: Part) {
  const power = results.battery?.power ?? null;
  return (
    <Entry
      title="What the battery gives for what the loads get."
      aside={<p>On inverter without sun. Where the line meets the left edge is the idle power.</p>}
    >
      {power === null ? (
        <Empty title="The battery’s power is not in this log." />
      ) : power.points.length === 0 ? (
        <Empty title="No sample is on inverter without sun." />
      ) : (
        <>
          <Drawing
            label="Mean battery power at each AC power with its standard deviation, and the fitted line; the table behind it has the figures."
            height={340}
            narrowHeight={280}
            option={(narrow) => dcAgainstAcOption(power.points, power.model, narrow)}
            legend={
              <>
                <Key mark="solid" colour="var(--battery)">
                  Mean in steps of 100 W, ± a standard deviation
                </Key>
                {power.model === null ? null : (
                  <Key mark="dashed" colour="var(--ink)">
                    Fitted line
                  </Key>
                )}
              </>
            }
          />
          <Behind
            table={dcAgainstAcTable(power.points)}
            csvHref={`${base}/tables/dc-against-ac.csv${periodSearch(period)}`}
          />
        </>
      )}
    </Entry>
  );
}

function Transfers({ page: { site, results, period }, base }: Part) {
  const { transfers } = results;
  if (transfers.length === 0) return null;
  const table = batteryTransfersTable(
    transfers,
    site.timezone,
    ({ atMs }) => `/sites/${site.slug}/transfers/${transferId(atMs)}`,
  );
  return (
    <Entry title="Where the loads went to the utility because of the battery.">
      <DataTable table={table} />
      <CsvLink table={table} href={`${base}/tables/battery-transfers.csv${periodSearch(period)}`} />
    </Entry>
  );
}

/** The battery and its devices as the settings give them. */
function batteryLine(ratings: BatteryPage["ratings"]): string {
  return (
    equipmentLines({ ...ratings, passThroughA: undefined, serviceA: undefined, solarPeakW: undefined })[1] ??
    "not in the site’s settings"
  );
}
