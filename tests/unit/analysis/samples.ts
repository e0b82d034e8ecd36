import type { Ratings } from "../../../src/analysis/ratings";
import type { ReviewResult } from "../../../src/analysis/results";
import { createReview } from "../../../src/analysis/review";
import { type NumericChannel, type Series, SOURCE_CODE, type Source } from "../../../src/analysis/series";
import { DEFAULT_SETTINGS, type Settings } from "../../../src/analysis/settings";

/** The inverter of the tests: 4 kW a leg, 8 kW in all. */
export const RATINGS: Ratings = {
  from: "2026-01-01",
  legLimitW: 4000,
  totalLimitW: 8000,
  legLimitVa: 4000,
  totalLimitVa: 8000,
  legNominalV: 120,
  overload: [
    { upToRatio: 1.25, forS: 30 },
    { upToRatio: 2, forS: 1 },
  ],
  derate: [],
  hundredPercentRated: [],
  returnDelayS: 180,
  battery: {
    nominalV: 51.2,
    capacityAh: 400,
    maxDischargeA: 200,
    lowSocPct: 20,
    resumeSocPct: 30,
    lowV: 48,
  },
};

/** One sample as a test writes it: seconds since the beginning, channels, source. */
export type Sample = { s: number; source?: Source; fault?: number } & { [C in NumericChannel]?: number };

/** 2026-05-14 00:00 in Denver. */
export const START_MS = Date.UTC(2026, 4, 14, 6);

/** Samples as columns; a channel that any sample names is a channel of the log, NaN where it is left out. */
export function seriesOf(samples: readonly Sample[], startMs = START_MS): Series {
  const names = new Set<NumericChannel>();
  for (const sample of samples) {
    for (const key of Object.keys(sample)) {
      if (key !== "s" && key !== "source" && key !== "fault") names.add(key as NumericChannel);
    }
  }
  const channels: { [C in NumericChannel]?: Float32Array } = {};
  for (const name of names) channels[name] = Float32Array.from(samples, (one) => one[name] ?? Number.NaN);
  return {
    timesMs: Float64Array.from(samples, (one) => startMs + one.s * 1000),
    channels,
    sources: samples.some((one) => one.source !== undefined)
      ? Uint8Array.from(samples, (one) => SOURCE_CODE[one.source ?? "unknown"])
      : null,
    faults: samples.some((one) => one.fault !== undefined)
      ? Uint16Array.from(samples, (one) => one.fault ?? 0)
      : null,
  };
}

/** The review of a series in chunks of `chunk` rows. */
export function review(
  series: Series,
  options: {
    ratings?: readonly Ratings[];
    settings?: Partial<Settings>;
    chunk?: number;
    zone?: string;
    faultWords?: Parameters<ReturnType<typeof createReview>["finish"]>[0];
    firstSocPct?: number | null;
  } = {},
): ReviewResult {
  return reviewWithState(series, options).result;
}

/** As `review`, with what `finish` says beside the result. */
export function reviewWithState(series: Series, options: Parameters<typeof review>[1] = {}) {
  const running = createReview({
    zone: options.zone ?? "America/Denver",
    ratings: options.ratings ?? [RATINGS],
    settings: { ...DEFAULT_SETTINGS, ...options.settings },
    channels: Object.keys(series.channels) as NumericChannel[],
    hasSource: series.sources !== null,
    hasFault: series.faults !== null,
    firstSocPct: options.firstSocPct ?? null,
  });
  const chunk = options.chunk ?? series.timesMs.length;
  for (let from = 0; from < series.timesMs.length; from += chunk) {
    running.push(slice(series, from, Math.min(from + chunk, series.timesMs.length)));
  }
  return running.finish(options.faultWords ?? []);
}

/** Rows `from` to `to` of a series, as copies. */
export function slice(series: Series, from: number, to: number): Series {
  const channels: { [C in NumericChannel]?: Float32Array } = {};
  for (const [name, column] of Object.entries(series.channels)) {
    channels[name as NumericChannel] = column.slice(from, to);
  }
  return {
    timesMs: series.timesMs.slice(from, to),
    channels,
    sources: series.sources?.slice(from, to) ?? null,
    faults: series.faults?.slice(from, to) ?? null,
  };
}

/** Samples at a constant interval with the same values. */
export function steady(count: number, intervalS: number, values: Omit<Sample, "s">, fromS = 0): Sample[] {
  return Array.from({ length: count }, (_, i) => ({ s: fromS + i * intervalS, ...values }));
}
