import { createReadStream, createWriteStream } from "node:fs";
import { join } from "node:path";
import { pipeline } from "node:stream/promises";
import { sniffFile } from "../../src/cli/map-log";
import { fileLogSource } from "../../src/ingest/file-log-source";
import { type BenchLine, median } from "./bench-line";
import { parseOnly } from "./review-bench";

const PAIRS = 7;
/** So that the short log is more than the head that is looked at. */
const SHORT_BYTES = 4 << 20;

/**
 * Settling how a log is read, against papaparse over the whole of it, and against the same of the log's first few
 * megabytes: alternated, medians, after a first round that doesn't count.
 *
 * The limit of 0.03 stands for 0.3 s: papaparse needs some ten seconds on the machine where it was set.
 */
export async function sniffBench(
  path: string,
  folder: string,
  textColumns: ReadonlySet<number>,
): Promise<BenchLine[]> {
  const short = join(folder, "short.csv");
  await pipeline(createReadStream(path, { end: SHORT_BYTES - 1 }), createWriteStream(short));
  const long: number[] = [];
  const shorter: number[] = [];
  for (let pair = 0; pair <= PAIRS; pair++) {
    const longMs = await timed(() => settle(path));
    const shortMs = await timed(() => settle(short));
    if (pair === 0) continue;
    long.push(longMs);
    shorter.push(shortMs);
  }
  const parseMs = await timed(() => parseOnly(path, textColumns));
  const ms = (values: number[]) => values.map((value) => value.toFixed(0)).join(" ");
  return [
    {
      name: "settling how a month is read, against papaparse with Number() over it",
      value: median(long) / parseMs,
      limit: 0.03,
      unit: "×",
      from: `${ms(long)} ms, papaparse ${(parseMs / 1000).toFixed(1)} s`,
    },
    {
      name: "settling how a month is read, against its first four megabytes",
      value: median(long) / median(shorter),
      limit: 1.25,
      unit: "×",
      from: `${ms(long)} ms against ${ms(shorter)} ms`,
    },
  ];
}

async function settle(path: string): Promise<void> {
  const { ask, refusal, evidence } = await sniffFile(await fileLogSource(path), undefined, false);
  if (refusal !== null || evidence.length === 0)
    throw new Error(`the log was not settled: ${JSON.stringify(ask)}`);
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const began = performance.now();
  await work();
  return performance.now() - began;
}
