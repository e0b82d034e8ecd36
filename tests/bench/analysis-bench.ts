import { createReview } from "../../src/analysis/review";
import { NUMERIC_CHANNELS, type NumericChannel, type Series } from "../../src/analysis/series";
import type { Site } from "../../src/site/parse-site";
import { type BenchLine, median } from "./bench-line";

const PAIRS = 5;

/**
 * The analysis of a month from columns in memory, in passes: one pass sums every column once. Alternated
 * pairs, median of the ratios; the first pair warms up and doesn't count. What it made is kept until the end: compiled
 * code dies with the last object of the shapes that it was compiled for, and the figure is of the warm analysis.
 */
export function analysisBench(series: Series, site: Site): BenchLine[] {
  const channels = NUMERIC_CHANNELS.filter((channel) => series.channels[channel] !== undefined);
  const ratios: number[] = [];
  const passes: number[] = [];
  const analyses: number[] = [];
  const warm: unknown[] = [];
  for (let pair = 0; pair <= PAIRS; pair++) {
    const passMs = timed(() => sumEveryColumn(series, channels));
    const analysisMs = timed(() => {
      const review = createReview({
        zone: site.timezone,
        ratings: site.ratings,
        settings: site.settings,
        channels,
        hasSource: series.sources !== null,
        hasFault: series.faults !== null,
      });
      review.push(series);
      const { result } = review.finish([]);
      if (pair === 0) warm.push(review, result);
      return result.coverage.samples;
    });
    if (pair === 0) continue;
    passes.push(passMs);
    analyses.push(analysisMs);
    ratios.push(analysisMs / passMs);
  }
  if (warm.length === 0) throw new Error("the bench didn't warm up");
  const all = (values: number[]) => values.map((ms) => ms.toFixed(0)).join(" ");
  return [
    {
      name: "analysis in passes over the columns",
      value: median(ratios),
      limit: 10,
      unit: "×",
      from: `analysis ${all(analyses)} ms, a pass ${all(passes)} ms, ${series.timesMs.length} rows`,
    },
  ];
}

function timed(work: () => number): number {
  globalThis.gc?.();
  const began = performance.now();
  if (!Number.isFinite(work())) throw new Error("the bench's work gave no figure");
  return performance.now() - began;
}

function sumEveryColumn(series: Series, channels: readonly NumericChannel[]): number {
  let sum = sumOf(series.timesMs);
  for (const channel of channels) sum += sumOf(series.channels[channel] as Float32Array);
  if (series.sources !== null) sum += sumOf(series.sources);
  if (series.faults !== null) sum += sumOf(series.faults);
  return sum;
}

/** Missing values are passed over, as every reducer does. */
function sumOf(column: Float64Array | Float32Array | Uint8Array | Uint16Array): number {
  let sum = 0;
  for (let i = 0; i < column.length; i++) {
    const value = column[i];
    if (!Number.isNaN(value)) sum += value;
  }
  return sum;
}
