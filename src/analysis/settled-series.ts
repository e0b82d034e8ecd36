import { channelsPresent } from "./channels-present";
import { createDeriveCounts, deriveColumns } from "./derive-columns";
import { appendRows, createFrame } from "./frame";
import { createHoldState, settleHolds } from "./holds";
import { gridAt } from "./power-at";
import type { Ratings } from "./ratings";
import type { NumericChannel, Series } from "./series";
import type { Settings } from "./settings";
import { createSourceState, settleSources } from "./settle-sources";

/** Samples with how long each stands, and with what definitions D2 derive in the place of what isn't measured. */
export type SettledSeries = Series & {
  /** How long the sample stands, seconds. */
  readonly holdS: Float64Array;
  /** 1 where a gap or the end of the stretch follows. */
  readonly gapAfter: Uint8Array;
};

/**
 * A stretch of samples as the analysis sees it (definitions D1, D2, D5): `loadL1W`, `loadL2W`, `loadW`, `solarW` and
 * `gridW` measured, else derived from what the log has; the source settled, or derived from the grid's power where
 * the log has no source column. A channel that can't be derived either stays absent; a missing value is NaN.
 *
 * A stretch of `unknown` takes the state around it only where both ends of it lie in the stretch: read ten minutes
 * more on each side where that matters.
 *
 * @param nominalMs interval of the logger in force at the beginning; null under two samples
 * @param ratings in force through the whole stretch
 */
export function settledSeries(
  series: Series,
  nominalMs: number | null,
  ratings: Ratings,
  settings: Settings,
): SettledSeries {
  const count = series.timesMs.length;
  const channels = Object.keys(series.channels) as NumericChannel[];
  const present = channelsPresent(channels, series.sources !== null, series.faults !== null);
  const frame = createFrame(channels, Math.max(1, count));
  appendRows(frame, series, 0, count);
  const known = nominalMs === null ? {} : { nominalMs, segmentMs: nominalMs };
  settleHolds(frame, { ...createHoldState(), ...known }, true);
  settleSources(frame, createSourceState(), present, () => ratings, settings, true);
  deriveColumns(frame, present, ratings, settings, createDeriveCounts(), 0, frame.sourced);
  const filled: Partial<Record<NumericChannel, Float32Array>> = { ...series.channels };
  const { l1W, l2W, totalW, solarPartW } = frame.derived;
  const fill = (channel: NumericChannel, isPresent: boolean, column: ArrayLike<number>) => {
    if (isPresent) filled[channel] = Float32Array.from({ length: count }, (_, row) => column[row]);
  };
  fill("loadL1W", present.legs || filled.loadL1W !== undefined, l1W);
  fill("loadL2W", present.legs || filled.loadL2W !== undefined, l2W);
  fill("loadW", present.load, totalW);
  fill("solarW", present.solar, solarPartW);
  if (present.grid) {
    filled.gridW = Float32Array.from({ length: count }, (_, row) => gridAt(frame, row, ratings.legNominalV));
  }
  return {
    timesMs: series.timesMs,
    channels: filled,
    sources: present.source || present.grid ? frame.source.slice(0, count) : null,
    faults: series.faults,
    holdS: frame.holdS.slice(0, count),
    gapAfter: frame.gapAfter.slice(0, count),
  };
}
