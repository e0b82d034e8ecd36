import type { FaultWord, NumericChannel } from "../../../src/analysis/series";
import type { LogSource } from "../../../src/ingest/log-source";
import type { LogVerdict } from "../../../src/ingest/log-verdict";
import { type ReadLogOptions, readLog } from "../../../src/ingest/read-log";
import type { LogShape, SampleSink } from "../../../src/ingest/sample-sink";
import { columnMap } from "../../../src/site/column-map";
import { parseColumnMap } from "../../../src/site/parse-column-map";

/** A log in memory, in chunks of so many bytes. */
export function memoryLog(content: string | Uint8Array, chunkBytes = 65_536, name = "test.csv"): LogSource {
  const bytes = typeof content === "string" ? new TextEncoder().encode(content) : content;
  return {
    name,
    sizeBytes: bytes.length,
    async *open() {
      for (let at = 0; at < bytes.length; at += chunkBytes) yield bytes.subarray(at, at + chunkBytes);
    },
  };
}

export type Sample = {
  readonly timeMs: number;
  readonly line: number;
  readonly source: number | null;
  readonly fault: number | null;
} & { readonly [C in NumericChannel]?: number };

/** A sink that keeps copies of what it gets. */
export function collectingSink(): SampleSink & {
  samples: Sample[];
  faultWords: FaultWord[];
  restarts: number;
  shape: LogShape | null;
} {
  const sink = {
    samples: [] as Sample[],
    faultWords: [] as FaultWord[],
    restarts: 0,
    shape: null as LogShape | null,
    async begin(shape: LogShape) {
      sink.shape = shape;
    },
    async batch(batch: Parameters<SampleSink["batch"]>[0]) {
      for (let i = 0; i < batch.timesMs.length; i++) {
        const values = Object.entries(batch.channels).map(([c, v]) => [c, v[i]]);
        sink.samples.push({
          timeMs: batch.timesMs[i],
          line: batch.lines[i],
          source: batch.sources === null ? null : batch.sources[i],
          fault: batch.faults === null ? null : batch.faults[i],
          ...Object.fromEntries(values),
        });
      }
    },
    async restart() {
      sink.samples.length = 0;
      sink.restarts++;
    },
    async end(words: readonly FaultWord[]) {
      sink.faultWords = [...words];
      return { duplicates: 0, conflicts: 0, conflictLines: [] };
    },
  };
  return sink;
}

export const RECEIVED_AT_MS = Date.UTC(2026, 10, 20);

/** Reads a log from memory by a columns.json given as an object without its version. */
export async function readMemoryLog(
  content: string | Uint8Array,
  columns: object,
  options: Partial<ReadLogOptions> & { chunkBytes?: number } = {},
): Promise<{ verdict: LogVerdict; sink: ReturnType<typeof collectingSink> }> {
  const parsed = parseColumnMap({ version: 1, ...columns });
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
  const map = columnMap(parsed.map);
  if (map === null) throw new Error("the map has no time column");
  const sink = collectingSink();
  const { chunkBytes, ...rest } = options;
  const verdict = await readLog(
    memoryLog(content, chunkBytes),
    map,
    { siteZone: "America/Denver", receivedAtMs: RECEIVED_AT_MS, ...rest },
    sink,
  );
  return { verdict, sink };
}

/** Counts of a verdict that took the log. */
export function countsOf(verdict: LogVerdict) {
  if (verdict.refused) throw new Error(`refused: ${JSON.stringify(verdict.problem)}`);
  return verdict.counts;
}
