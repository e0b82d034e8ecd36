import type { FaultWord, NumericChannel, Series } from "../analysis/series";
import type { SampleBatch, SampleSink } from "../ingest/sample-sink";

/** Conflicts of one log whose lines are kept; all are counted. */
const MAX_CONFLICT_LINES = 10_000;
const SERIES_ROWS = 8192;

/** First and last instant of a period that a log replaces; null for its own first or last sample. */
export type ReplacedPeriod = { fromMs: number | null; toMs: number | null };

/** Samples of several logs of one logger, folded in memory in the order of the logs. */
export type Fold = {
  /** The sink of the next log; within the period that it replaces, what came before goes. */
  sink(replace?: ReplacedPeriod | null): SampleSink;
  /** The folded samples in ascending time, in pieces. */
  series(): Generator<Series>;
  faultWords(): readonly FaultWord[];
};

/** One sample: its channel values, source and fault, in that order. */
type Row = { atMs: number; values: Float32Array; source: number; fault: number };

/**
 * A fold of logs that may overlap: of samples at the same instant the first one stands, equal ones are
 * duplicates, others conflicts.
 *
 * @param channels channels of any of the logs, in storage order
 */
export function createFold(channels: readonly NumericChannel[], hasSource: boolean, hasFault: boolean): Fold {
  const rows = new Map<number, Row>();
  const words: FaultWord[] = [];

  function createSink(replace: ReplacedPeriod | null = null): SampleSink {
    let own: Row[] = [];
    let lines: number[] = [];
    let has: Has = { channels: [], source: false, fault: false };
    return {
      begin: async (shape) => {
        has = {
          channels: shape.channels.map((channel) => channels.indexOf(channel)),
          source: shape.hasSource,
          fault: shape.hasFault,
        };
      },
      batch: async (batch) => {
        for (let i = 0; i < batch.timesMs.length; i++) {
          own.push(rowOf(batch, i, channels));
          lines.push(batch.lines[i]);
        }
      },
      restart: async () => {
        own = [];
        lines = [];
      },
      end: async (faultWords) => {
        if (replace !== null && own.length > 0) {
          const fromMs = replace.fromMs ?? own[0].atMs;
          const toMs = replace.toMs ?? own[own.length - 1].atMs;
          for (const atMs of rows.keys()) if (atMs >= fromMs && atMs <= toMs) rows.delete(atMs);
        }
        const fault = faultWords.map((word) => indexOf(words, word));
        let duplicates = 0;
        let conflicts = 0;
        const conflictLines: number[] = [];
        own.forEach((row, i) => {
          if (row.fault > 0) row.fault = fault[row.fault - 1];
          const there = rows.get(row.atMs);
          if (there === undefined) rows.set(row.atMs, row);
          else if (equal(there, row, has, words)) duplicates++;
          else {
            conflicts++;
            if (conflictLines.length < MAX_CONFLICT_LINES) conflictLines.push(lines[i]);
          }
        });
        return { duplicates, conflicts, conflictLines };
      },
    };
  }

  return {
    sink: createSink,
    faultWords: () => words,
    *series() {
      const sorted = [...rows.values()].sort((a, b) => a.atMs - b.atMs);
      for (let from = 0; from < sorted.length; from += SERIES_ROWS) {
        const piece = sorted.slice(from, from + SERIES_ROWS);
        const columns: { [C in NumericChannel]?: Float32Array } = {};
        channels.forEach((channel, c) => {
          columns[channel] = Float32Array.from(piece, (row) => row.values[c]);
        });
        yield {
          timesMs: Float64Array.from(piece, (row) => row.atMs),
          channels: columns,
          sources: hasSource ? Uint8Array.from(piece, (row) => row.source) : null,
          faults: hasFault ? Uint16Array.from(piece, (row) => row.fault) : null,
        };
      }
    },
  };
}

function rowOf(batch: SampleBatch, i: number, channels: readonly NumericChannel[]): Row {
  const values = new Float32Array(channels.length);
  channels.forEach((channel, c) => {
    values[c] = batch.channels[channel]?.[i] ?? Number.NaN;
  });
  return { atMs: batch.timesMs[i], values, source: batch.sources?.[i] ?? 0, fault: batch.faults?.[i] ?? 0 };
}

/** Which values a log has: its channels by their places. */
type Has = { channels: readonly number[]; source: boolean; fault: boolean };

/** Whether a log says what stands already: in the channels that it has, faults by their code. */
function equal(there: Row, given: Row, has: Has, words: readonly FaultWord[]): boolean {
  return (
    (!has.source || there.source === given.source) &&
    (!has.fault || words[there.fault - 1]?.code === words[given.fault - 1]?.code) &&
    has.channels.every(
      (c) => Object.is(there.values[c], given.values[c]) || there.values[c] === given.values[c],
    )
  );
}

function indexOf(words: FaultWord[], word: FaultWord): number {
  const at = words.findIndex((one) => one.code === word.code && one.meaning === word.meaning);
  if (at >= 0) return at + 1;
  words.push(word);
  return words.length;
}
