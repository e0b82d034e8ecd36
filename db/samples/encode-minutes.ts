import { NUMERIC_CHANNELS, type NumericChannel } from "../../src/analysis/series";
import type { Minute } from "./minute-rollup";
import { channelIndex } from "./sample-columns";

/** Columns of `encodeMinute`, in its order, for the COPY statement. */
export const MINUTE_COLUMNS = "site_id, logger_id, minute_ms, samples, held_s, mean, min, max, on_s";

const FLOAT4 = 700;
/** Fields and scalars, three arrays of all channels, one of sources: more than a row can take. */
const MOST_BYTES = 128 + 3 * (24 + NUMERIC_CHANNELS.length * 8) + 24 + 5 * 8;

/** Encodes minutes as rows of PostgreSQL's binary COPY format. */
export function createMinuteEncoder(
  siteId: number,
  loggerId: number,
  channels: readonly NumericChannel[],
  hasSource: boolean,
): (minute: Minute) => Buffer {
  const places = new Int32Array(NUMERIC_CHANNELS.length).fill(-1);
  for (const [index, channel] of channels.entries()) places[channelIndex(channel)] = index;

  return (minute) => {
    const buffer = Buffer.allocUnsafe(MOST_BYTES);
    let at = 0;
    const int4 = (value: number) => {
      at = buffer.writeInt32BE(value, at);
    };
    const scalarInt4 = (value: number) => {
      int4(4);
      int4(value);
    };
    const array = (values: Float64Array, order: Int32Array | null) => {
      const length = order?.length ?? values.length;
      const lengthAt = at;
      int4(0);
      int4(1);
      int4(1);
      int4(FLOAT4);
      int4(length);
      int4(1);
      for (let index = 0; index < length; index++) {
        const place = order === null ? index : order[index];
        const value = place === -1 ? Number.NaN : values[place];
        if (Number.isNaN(value)) int4(-1);
        else {
          int4(4);
          at = buffer.writeFloatBE(value, at);
        }
      }
      buffer.writeInt32BE(at - lengthAt - 4, lengthAt);
    };
    at = buffer.writeInt16BE(9, at);
    scalarInt4(siteId);
    scalarInt4(loggerId);
    int4(8);
    at = buffer.writeBigInt64BE(BigInt(minute.minuteMs), at);
    scalarInt4(minute.samples);
    int4(4);
    at = buffer.writeFloatBE(minute.heldS, at);
    array(minute.mean, places);
    array(minute.min, places);
    array(minute.max, places);
    if (hasSource) array(minute.onS, null);
    else int4(-1);
    return buffer.subarray(0, at);
  };
}
