import type { MinuteColumn, Minutes } from "../../src/analysis/minutes";
import type { NumericChannel } from "../../src/analysis/series";
import type { Sql } from "../open-database";
import type { TransactionSql } from "./copy-in";
import { channelIndex } from "./sample-columns";

const SIGNATURE_BYTES = 19;

/**
 * Stored minutes of a logger, `fromMs ≤ minute < toMs`, with the given channels, all in memory: some 150 bytes a
 * minute at thirteen channels, so ask for a month at a time.
 */
export async function readMinutes(
  sql: Sql | TransactionSql,
  siteId: number,
  loggerId: number,
  channels: readonly NumericChannel[],
  fromMs: number,
  toMs: number,
): Promise<Minutes> {
  const fields = channels.flatMap((channel) => {
    const place = channelIndex(channel) + 1;
    return [`mean[${place}]`, `min[${place}]`, `max[${place}]`];
  });
  // COPY takes no parameters; numbers only go into the text.
  const statement = `copy (
    select ${["minute_ms", "samples", "held_s", ...fields].join(", ")} from rollup
    where site_id = ${whole(siteId)} and logger_id = ${whole(loggerId)}
      and minute_ms >= ${whole(fromMs)} and minute_ms < ${whole(toMs)}
    order by minute_ms) to stdout (format binary)`;
  const pieces: Buffer[] = [];
  const stream = await sql.unsafe(statement).readable();
  for await (const piece of stream) pieces.push(piece as Buffer);
  // As in readSamples: a stream that was full at its very end would leave the connection paused.
  stream._read(0);
  return decode(Buffer.concat(pieces), channels);
}

/** @throws RangeError for anything but a whole number */
function whole(value: number): string {
  if (!Number.isSafeInteger(value)) throw new RangeError(`readMinutes requires whole numbers, got ${value}`);
  return String(value);
}

function decode(bytes: Buffer, channels: readonly NumericChannel[]): Minutes {
  const least = 2 + 12 + 8 + 8 + channels.length * 12;
  const most = Math.ceil(bytes.length / least);
  const minuteMs = new Float64Array(most);
  const samples = new Int32Array(most);
  const heldS = new Float32Array(most);
  const columns: MinuteColumn[] = channels.map(() => ({
    mean: new Float32Array(most),
    min: new Float32Array(most),
    max: new Float32Array(most),
  }));
  let at = SIGNATURE_BYTES;
  const float4 = (): number => {
    const length = bytes.readInt32BE(at);
    at += 4;
    if (length === -1) return Number.NaN;
    at += 4;
    return bytes.readFloatBE(at - 4);
  };
  let row = 0;
  for (; bytes.readInt16BE(at) !== -1; row++) {
    minuteMs[row] = Number(bytes.readBigInt64BE(at + 6));
    samples[row] = bytes.readInt32BE(at + 18);
    at += 22;
    heldS[row] = float4();
    for (const { mean, min, max } of columns) {
      mean[row] = float4();
      min[row] = float4();
      max[row] = float4();
    }
  }
  const cut = ({ mean, min, max }: MinuteColumn): MinuteColumn => ({
    mean: mean.subarray(0, row),
    min: min.subarray(0, row),
    max: max.subarray(0, row),
  });
  return {
    minuteMs: minuteMs.subarray(0, row),
    samples: samples.subarray(0, row),
    heldS: heldS.subarray(0, row),
    channels: Object.fromEntries(channels.map((channel, index) => [channel, cut(columns[index])])),
  };
}
