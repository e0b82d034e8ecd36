import { and, desc, eq, lte } from "drizzle-orm";
import { createLocalClock } from "../../src/analysis/local-time";
import { ratingsAt, ratingsPeriods } from "../../src/analysis/ratings-in-force";
import type { NumericChannel, Series } from "../../src/analysis/series";
import type { Settings } from "../../src/analysis/settings";
import { type SettledSeries, settledSeries } from "../../src/analysis/settled-series";
import { type SourceRun, sourceRuns } from "../../src/analysis/source-runs";
import type { Site } from "../../src/site/parse-site";
import type { Database } from "../open-database";
import { createMinuteRollup } from "../samples/minute-rollup";
import { type SampledLogger, sampledLoggers } from "../samples/sampled-loggers";
import { intervalChange } from "../schema/results";
import { type MinuteValues, minutesOfSite } from "./minutes-of-site";
import { samplesBetween } from "./samples-between";

/** What a stretch of a site is shown by. */
export const STRETCH_CHANNELS = [
  "loadL1W",
  "loadL2W",
  "loadW",
  "solarW",
  "batteryA",
  "batteryW",
  "batterySocPct",
  "gridW",
] as const satisfies readonly NumericChannel[];

export type StretchChannel = (typeof STRETCH_CHANNELS)[number];

/** A stretch of a site's history: its samples, or minutes of them where there are many. */
export type SiteStretch = {
  fromMs: number;
  toMs: number;
  /** Of minutes each value is the mean, with the least and the greatest; of samples the three are one. */
  kind: "samples" | "minutes";
  /** Ascending. The first can lie before `fromMs`, where it stands into the stretch. */
  timesMs: Float64Array;
  /** How long each stands, seconds; 60 for minutes. */
  holdS: Float64Array;
  /** Absent where the site has no such channel nor what it derives from (definitions D2); NaN where missing. */
  channels: Partial<Record<StretchChannel, MinuteValues>>;
  /** What carried the loads, without a hole; null where the log can't tell. */
  sources: SourceRun[] | null;
  /** Interval of the log in force there, s; null under two samples. */
  nominalS: number | null;
  /** True where the log has more samples there than are read: the stretch then ends early. */
  cut: boolean;
};

/** Up to so many samples a stretch is shown by its samples, above by its minutes. */
const MOST_SAMPLES = 7200;

/** Samples that are read at most to make minutes of, where what is shown has to be derived: a day at ten a second. */
const MOST_DERIVED = 900_000;

/**
 * A stretch of a site's samples for a picture. Minutes are the stored ones where every channel shown is measured
 * itself; where one has to be derived from others they are made of the samples, since no mean of amperes and mean of
 * volts gives the mean of the power. Null where the site has no samples.
 *
 * @param range within one local day: one entry of the ratings counts through it
 */
export async function stretchOfSite(
  database: Database,
  siteId: number,
  site: Pick<Site, "ratings" | "timezone">,
  settings: Settings,
  range: { fromMs: number; toMs: number },
): Promise<SiteStretch | null> {
  const { loggers } = await sampledLoggers(database.sql, siteId);
  if (loggers.length === 0) return null;
  const { fromMs, toMs } = range;
  const nominalMs = await nominalAt(database, siteId, loggers, fromMs);
  const nominalS = nominalMs === null ? null : nominalMs / 1000;
  const ratings = ratingsAt(ratingsPeriods(site.ratings, createLocalClock(site.timezone)), fromMs);
  // What stands into the stretch, and what an unknown state lies between.
  const aroundMs = Math.ceil(Math.max(settings.unknownFillS * 1000, 3 * (nominalMs ?? 0)));
  const read = async (only: readonly NumericChannel[] | undefined, limit: number) => {
    const found = await samplesBetween(database, siteId, fromMs - aroundMs, toMs + aroundMs, limit, only);
    return found === null
      ? null
      : { series: settledSeries(found.series, nominalMs, ratings, settings), cut: found.cut };
  };
  const few = nominalMs === null || (toMs - fromMs) / nominalMs <= MOST_SAMPLES;
  const measured = !few && areMeasured(loggers);
  const found = await read(
    measured ? [] : undefined,
    measured || !few ? MOST_DERIVED : 2 * MOST_SAMPLES + Math.ceil((2 * aroundMs) / (nominalMs ?? 1000)),
  );
  if (found === null) return null;
  const { series, cut } = found;
  const sources =
    series.sources === null ? null : sourceRuns(series.timesMs, series.holdS, series.sources, fromMs, toMs);
  const rest = { fromMs, toMs, sources, nominalS, cut };
  if (few) return { ...rest, kind: "samples", ...samplesIn(series, fromMs, toMs) };
  const minutes = measured
    ? await minutesOfSite(database, siteId, fromMs, toMs)
    : minutesIn(series, nominalMs, fromMs, toMs);
  if (minutes === null) return null;
  const channels: SiteStretch["channels"] = {};
  for (const channel of STRETCH_CHANNELS) {
    const column = minutes.channels[channel];
    if (column !== undefined) channels[channel] = column;
  }
  const holdS = new Float64Array(minutes.timesMs.length).fill(60);
  return { ...rest, kind: "minutes", timesMs: minutes.timesMs, holdS, channels };
}

/** The interval in force at an instant, ms: that of the logger with the load, where it never changed. */
async function nominalAt(
  database: Database,
  siteId: number,
  loggers: readonly SampledLogger[],
  atMs: number,
): Promise<number | null> {
  const [change] = await database.orm
    .select({ nominalMs: intervalChange.nominalMs })
    .from(intervalChange)
    .where(and(eq(intervalChange.siteId, siteId), lte(intervalChange.fromMs, atMs)))
    .orderBy(desc(intervalChange.fromMs))
    .limit(1);
  if (change !== undefined) return change.nominalMs;
  const ofLoad = loggers.find(({ channels }) => channels.some((channel) => channel.startsWith("load")));
  return (ofLoad ?? loggers[0]).nominalMs;
}

/** Whether every channel shown is measured itself, or can't be derived either. */
function areMeasured(loggers: readonly SampledLogger[]): boolean {
  const has = (...channels: NumericChannel[]) =>
    channels.some((channel) => loggers.some((logger) => logger.channels.includes(channel)));
  const legs = has("loadL1W") && has("loadL2W");
  const noLegs = !has("loadL1W", "loadL2W", "loadL1A", "loadL2A") && has("loadW");
  const solar = has("solarW") || !has("solar1W", "solar2W", "solar3W", "solar4W");
  const grid = has("gridW") || !has("gridL1W", "gridL2W", "gridL1A", "gridL2A");
  const source = loggers.some(({ hasSource }) => hasSource) || !has("gridW");
  return (legs || noLegs) && solar && grid && source;
}

/** The samples that stand in the stretch. */
function samplesIn(
  { timesMs, holdS, channels }: SettledSeries,
  fromMs: number,
  toMs: number,
): Pick<SiteStretch, "timesMs" | "holdS" | "channels"> {
  let first = 0;
  while (first < timesMs.length && timesMs[first] + holdS[first] * 1000 <= fromMs) first += 1;
  let end = first;
  while (end < timesMs.length && timesMs[end] < toMs) end += 1;
  const kept: SiteStretch["channels"] = {};
  for (const channel of STRETCH_CHANNELS) {
    const column = channels[channel];
    if (column === undefined) continue;
    const values = Float64Array.from(column.subarray(first, end));
    kept[channel] = { mean: values, min: values, max: values };
  }
  return { timesMs: timesMs.slice(first, end), holdS: holdS.slice(first, end), channels: kept };
}

/** Minutes of the stretch, made of its samples. */
function minutesIn(
  series: Series,
  nominalMs: number | null,
  fromMs: number,
  toMs: number,
): { timesMs: Float64Array; channels: Partial<Record<NumericChannel, MinuteValues>> } {
  const channels = STRETCH_CHANNELS.filter((channel) => series.channels[channel] !== undefined);
  const times: number[] = [];
  const columns = channels.map(() => ({ mean: [] as number[], min: [] as number[], max: [] as number[] }));
  const rollup = createMinuteRollup(
    channels,
    ({ minuteMs, mean, min, max }) => {
      if (minuteMs < fromMs || minuteMs >= toMs) return;
      times.push(minuteMs);
      for (const [at, column] of columns.entries()) {
        column.mean.push(mean[at]);
        column.min.push(min[at]);
        column.max.push(max[at]);
      }
    },
    nominalMs === null ? null : { nominalMs, segmentMs: nominalMs },
  );
  rollup.push(series);
  rollup.finish(null);
  return {
    timesMs: Float64Array.from(times),
    channels: Object.fromEntries(
      channels.map((channel, at) => [
        channel,
        {
          mean: Float64Array.from(columns[at].mean),
          min: Float64Array.from(columns[at].min),
          max: Float64Array.from(columns[at].max),
        },
      ]),
    ),
  };
}
