import { channelsPresent } from "../../../src/analysis/channels-present";
import { createDeriveCounts, deriveColumns } from "../../../src/analysis/derive-columns";
import { appendRows, createFrame, type Frame } from "../../../src/analysis/frame";
import { createHoldState, settleHolds } from "../../../src/analysis/holds";
import type { Ratings } from "../../../src/analysis/ratings";
import type { NumericChannel } from "../../../src/analysis/series";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { createSourceState, settleSources } from "../../../src/analysis/settle-sources";
import { RATINGS, type Sample, seriesOf } from "./samples";

/** A frame of the samples, derived and ready for the detectors. */
export function frameOf(samples: readonly Sample[], ratings: Ratings = RATINGS): Frame {
  const series = seriesOf(samples);
  const channels = Object.keys(series.channels) as NumericChannel[];
  const present = channelsPresent(channels, series.sources !== null, series.faults !== null);
  const frame = createFrame(channels, Math.max(1, samples.length));
  appendRows(frame, series, 0, samples.length);
  settleHolds(frame, createHoldState(), true);
  settleSources(frame, createSourceState(), present, () => ratings, DEFAULT_SETTINGS, true);
  deriveColumns(frame, present, ratings, DEFAULT_SETTINGS, createDeriveCounts(), 0, frame.sourced);
  return frame;
}
