import type { Readable } from "node:stream";
import { finished } from "node:stream/promises";
import type { NumericChannel, Series } from "../../src/analysis/series";
import type { Sql } from "../open-database";
import type { TransactionSql } from "./copy-in";
import { sampleColumn } from "./sample-columns";
import type { SampledLogger } from "./sampled-loggers";

/** Which samples to read: `fromMs ≤ t < toMs`, all where absent. */
export type SampleRange = {
  siteId: number;
  logger: Pick<SampledLogger, "loggerId" | "channels" | "hasSource" | "hasFault" | "faultIndex">;
  fromMs?: number;
  toMs?: number;
  limit?: number;
};

/** Samples a batch. */
const BATCH = 16_384;
/** Samples of the first batch: of a day at one minute there are no more. */
const FIRST_BATCH = 1536;

/**
 * Stored samples in ascending time, as series of at most 16,384 samples with the channels that the logger
 * has; memory stays the same however many there are. A batch's arrays are the caller's only until it asks
 * for the next one. Faults are indices into the logger's fault words.
 */
export async function* readSamples(sql: Sql | TransactionSql, range: SampleRange): AsyncGenerator<Series> {
  const { logger } = range;
  // COPY takes no parameters; numbers only go into the text. The limit is a sub-select as in `nominalOf`.
  const statement = `copy (
    select ${["at_ms", ...logger.channels.map(sampleColumn), ...(logger.hasSource ? ["source"] : []), ...(logger.hasFault ? ["fault"] : [])].join(", ")}
    from sample
    where site_id = ${integer(range.siteId)} and logger_id = ${integer(logger.loggerId)}
      ${range.fromMs === undefined ? "" : `and at_ms >= ${integer(range.fromMs)}`}
      ${range.toMs === undefined ? "" : `and at_ms < ${integer(range.toMs)}`}
    order by at_ms ${range.limit === undefined ? "" : `limit (select ${integer(range.limit)}::int)`}
  ) to stdout (format binary)`;
  const stream: Readable = await sql.unsafe(statement).readable();
  const open = (size: number) => openBatch(logger.channels, logger.hasSource, logger.hasFault, size);
  let batch = open(FIRST_BATCH);
  const decode = createDecoder(logger.channels.length, logger.faultIndex);
  let ended = false;
  try {
    for await (const bytes of stream.iterator({ destroyOnReturn: false })) {
      for (let rest: Buffer | null = bytes as Buffer; rest !== null; ) {
        rest = decode(rest, batch);
        if (batch.count === batch.size) {
          yield batch.series(batch.size);
          if (batch.size < BATCH) batch = open(BATCH);
          batch.count = 0;
        }
      }
    }
    ended = true;
    if (batch.count > 0) yield batch.series(batch.count);
  } finally {
    // A caller that stops early leaves rows under way; the connection is of use again once they are through.
    if (!ended && !stream.destroyed) await finished(stream.resume());
    // The driver pauses its socket when the stream is full and goes on at the next read; of a stream that is
    // full at its very end there is none, and the connection would stay paused.
    if (stream.errored === null) stream._read(0);
  }
}

/** Whole number as text, for statements that take no parameters. @throws RangeError for anything else */
function integer(value: number): string {
  if (!Number.isSafeInteger(value)) throw new RangeError(`readSamples requires whole numbers, got ${value}`);
  return String(value);
}

type Batch = {
  readonly size: number;
  count: number;
  timesMs: Float64Array;
  columns: Float32Array[];
  sources: Uint8Array | null;
  faults: Uint16Array | null;
  series(count: number): Series;
};

function openBatch(
  channels: readonly NumericChannel[],
  hasSource: boolean,
  hasFault: boolean,
  size: number,
): Batch {
  const timesMs = new Float64Array(size);
  const columns = channels.map(() => new Float32Array(size));
  const sources = hasSource ? new Uint8Array(size) : null;
  const faults = hasFault ? new Uint16Array(size) : null;
  return {
    size,
    count: 0,
    timesMs,
    columns,
    sources,
    faults,
    series: (count) => ({
      timesMs: timesMs.subarray(0, count),
      channels: Object.fromEntries(
        channels.map((channel, index) => [channel, columns[index].subarray(0, count)]),
      ),
      sources: sources?.subarray(0, count) ?? null,
      faults: faults?.subarray(0, count) ?? null,
    }),
  };
}

const SIGNATURE_BYTES = 19;

/**
 * Decodes binary COPY rows of so many channels into a batch. A call takes bytes as they come and decodes until they end or the
 * batch is full; then it returns the rest, to be given to the next call. A row that is cut is kept for it.
 */
function createDecoder(
  count: number,
  faultIndex: Uint16Array,
): (bytes: Buffer, batch: Batch) => Buffer | null {
  let kept: Buffer | null = null;
  let begun = false;
  const mostBytes = 2 + 12 + count * 8 + 14;

  return (given, batch) => {
    const { size, timesMs, columns, sources, faults } = batch;
    const bytes: Buffer = kept === null ? given : Buffer.concat([kept, given]);
    kept = null;
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
    let at = 0;
    if (!begun) {
      if (bytes.length < SIGNATURE_BYTES) {
        kept = bytes;
        return null;
      }
      at = SIGNATURE_BYTES;
      begun = true;
    }
    let row = batch.count;
    while (row < size) {
      if (bytes.length - at < mostBytes && !wholeRow(view, at)) break;
      if (view.getInt16(at) === -1) {
        batch.count = row;
        return null;
      }
      timesMs[row] = view.getInt32(at + 6) * 4_294_967_296 + view.getUint32(at + 10);
      at += 14;
      for (let column = 0; column < count; column++) {
        if (view.getInt32(at) === -1) {
          columns[column][row] = Number.NaN;
          at += 4;
        } else {
          columns[column][row] = view.getFloat32(at + 4);
          at += 8;
        }
      }
      if (sources !== null) {
        if (view.getInt32(at) === -1) {
          sources[row] = 0;
          at += 4;
        } else {
          sources[row] = view.getInt16(at + 4);
          at += 6;
        }
      }
      if (faults !== null) {
        if (view.getInt32(at) === -1) {
          faults[row] = 0;
          at += 4;
        } else {
          faults[row] = faultIndex[view.getInt32(at + 4)];
          at += 8;
        }
      }
      row++;
    }
    batch.count = row;
    const rest = bytes.subarray(at);
    if (row === size) return rest;
    kept = Buffer.from(rest);
    return null;
  };
}

/** Whether a whole row, or the trailer, begins at `at`. */
function wholeRow(view: DataView, at: number): boolean {
  const end = view.byteLength;
  if (at + 2 > end) return false;
  const fields = view.getInt16(at);
  let next = at + 2;
  for (let field = 0; field < fields; field++) {
    if (next + 4 > end) return false;
    next += 4 + Math.max(0, view.getInt32(next));
  }
  return next <= end;
}
