import type { NumericChannel, Series } from "../../src/analysis/series";
import { sampleColumn } from "./sample-columns";

/** Which samples, and which columns of the table they fill. */
export type SampleLayout = {
  siteId: number;
  loggerId: number;
  channels: readonly NumericChannel[];
  hasSource: boolean;
  hasFault: boolean;
  /** Added to every fault other than 0, which is none. */
  faultBase: number;
};

/** The columns of `encodeSamples`, in its order, for the COPY statement. */
export function encodedColumns(layout: SampleLayout): string {
  return [
    "site_id",
    "logger_id",
    "at_ms",
    ...layout.channels.map(sampleColumn),
    ...(layout.hasSource ? ["source"] : []),
    ...(layout.hasFault ? ["fault"] : []),
  ].join(", ");
}

/**
 * Rows `from` to `to` − 1 of a series as rows of PostgreSQL's binary COPY format (PostgreSQL manual, COPY,
 * "Binary Format"), without signature and trailer. NaN, which is a missing value, becomes NULL.
 *
 * @param lines where given, a last column of the physical lines, int4
 */
export function encodeSamples(
  series: Series,
  from: number,
  to: number,
  layout: SampleLayout,
  lines: Uint32Array | null = null,
): Buffer {
  const columns = layout.channels.map((channel) => series.channels[channel]!);
  const count = columns.length;
  const sources = layout.hasSource ? series.sources : null;
  const faults = layout.hasFault ? series.faults : null;
  const fields =
    3 + count + (sources === null ? 0 : 1) + (faults === null ? 0 : 1) + (lines === null ? 0 : 1);
  const rowBytes = 30 + count * 8 + 6 + 8 + 8;
  const buffer = Buffer.allocUnsafeSlow((to - from) * rowBytes);
  const view = new DataView(buffer.buffer, buffer.byteOffset, buffer.length);
  const { siteId, loggerId, faultBase } = layout;
  const { timesMs } = series;
  let at = 0;
  for (let row = from; row < to; row++) {
    view.setInt16(at, fields);
    view.setInt32(at + 2, 4);
    view.setInt32(at + 6, siteId);
    view.setInt32(at + 10, 4);
    view.setInt32(at + 14, loggerId);
    view.setInt32(at + 18, 8);
    const ms = timesMs[row];
    const high = Math.floor(ms / 4_294_967_296);
    view.setInt32(at + 22, high);
    view.setUint32(at + 26, ms - high * 4_294_967_296);
    at += 30;
    for (let column = 0; column < count; column++) {
      const value = columns[column][row];
      if (Number.isNaN(value)) {
        view.setInt32(at, -1);
        at += 4;
      } else {
        view.setInt32(at, 4);
        view.setFloat32(at + 4, value);
        at += 8;
      }
    }
    if (sources !== null) {
      view.setInt32(at, 2);
      view.setInt16(at + 4, sources[row]);
      at += 6;
    }
    if (faults !== null) {
      const fault = faults[row];
      view.setInt32(at, 4);
      view.setInt32(at + 4, fault === 0 ? 0 : fault + faultBase);
      at += 8;
    }
    if (lines !== null) {
      view.setInt32(at, 4);
      view.setInt32(at + 4, lines[row]);
      at += 8;
    }
  }
  return buffer.subarray(0, at);
}
