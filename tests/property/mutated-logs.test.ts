import { describe, expect, it } from "vitest";
import { ERROR_CATALOGUE } from "../../src/ingest/error-catalogue";
import { readLog } from "../../src/ingest/read-log";
import type { SampleBatch, SampleSink } from "../../src/ingest/sample-sink";
import { SNIFF_BYTES, sniffLog } from "../../src/ingest/sniff-log";
import { type ColumnMap, columnMap } from "../../src/site/column-map";
import { logShapes } from "../corpus/log-shapes";
import { seededRandom } from "../corpus/seeded-random";
import { writeCorpusLog } from "../corpus/write-corpus-log";
import { mutateLog } from "./mutate-log";

// Logs of many shapes, damaged in one to four ways. Whatever they hold: nothing throws, nothing takes long, every
// record is counted once, and what comes out is in order.

/** All 10,000 by MUTATED_LOGS=10000. */
const LOGS = Number(process.env.MUTATED_LOGS ?? 1000);

/** CPU time that sniffing and reading one log may take; they have 300 rows at most, and fields of 120,000 letters. */
const MOST_CPU_MS = 3000;

const SHAPES = 72;

/** Failures that are told before it stops. */
const MOST_FAILURES = 20;

const FIRST_SEED = 40_000;

/** Fields of a hundred thousand blanks, which once took up to a minute: patterns tried each blank anew. */
const ONCE_SLOW = [42_200, 42_760, 44_030, 45_832, 48_853];

describe("a damaged log", { timeout: 1_800_000 }, () => {
  it("is refused, or read with every record counted once and samples in order", async () => {
    const bases = logShapes(77, SHAPES).map((shape, i) => {
      const rows = 20 + ((i * 37) % 280);
      const log = writeCorpusLog({ ...shape, hours: (rows * shape.intervalS) / 3600 });
      return { ...log, map: trueMap(log.bytes, log) };
    });
    const slowest = { cpuMs: 0, seed: 0, how: "" };
    const failures: string[] = [];
    let refused = 0;
    let read = 0;
    let sorted = 0;
    const seeds = Array.from({ length: LOGS }, (_, n) => FIRST_SEED + n);
    for (const seed of new Set([...seeds, ...ONCE_SLOW])) {
      const base = bases[(seed - FIRST_SEED) % bases.length];
      const { bytes, how } = mutateLog(base.bytes, seed);
      const where = `seed ${seed}, ${base.name}: ${how}`;
      const before = process.cpuUsage();
      try {
        const sniffed = sniffLog(bytes.subarray(0, SNIFF_BYTES), null, {
          name: "damaged.csv",
          strict: false,
        });
        for (const map of [sniffed.map, base.map]) {
          if (map === null) continue;
          const { verdict, restarts } = await readChecked(bytes, map, seed, where);
          sorted += restarts;
          if (verdict.refused) refused++;
          else read++;
        }
        const { user, system } = process.cpuUsage(before);
        const cpuMs = (user + system) / 1000;
        expect(cpuMs, "CPU ms").toBeLessThan(MOST_CPU_MS);
        if (cpuMs > slowest.cpuMs) Object.assign(slowest, { cpuMs, seed, how });
      } catch (error) {
        failures.push(`${where}: ${(error as Error).stack?.slice(0, 700)}`);
        if (failures.length >= MOST_FAILURES) break;
      }
    }
    console.log(
      `${LOGS} damaged logs: ${read} readings, ${sorted} of them sorted, ${refused} refusals; slowest ` +
        `${slowest.cpuMs.toFixed(0)} ms (seed ${slowest.seed}: ${slowest.how})`,
    );
    expect(failures).toEqual([]);
    // Damage that nearly always makes a log unreadable would leave the reader untried.
    expect(read).toBeGreaterThan(0.25 * LOGS);
    expect(sorted).toBeGreaterThan(0.02 * LOGS);
  });
});

function trueMap(bytes: Uint8Array, { truth }: ReturnType<typeof writeCorpusLog>): ColumnMap {
  const { names } = sniffLog(bytes, null, { name: "whole.csv", strict: false });
  const map = columnMap(truth.map((column) => names[column] || column + 1));
  if (map === null) throw new Error("the truth has no time column");
  return map;
}

async function readChecked(bytes: Uint8Array, map: ColumnMap, seed: number, where: string) {
  const random = seededRandom(seed);
  const chunkBytes = random.pick([1, 7, 64, 1000, 65_536]);
  const sink = checkingSink(where);
  const verdict = await readLog(
    {
      name: "damaged.csv",
      sizeBytes: bytes.length,
      async *open() {
        // Pieces of a byte only for a short log: they make a long one slow.
        const step = bytes.length > 20_000 ? Math.max(chunkBytes, 1000) : chunkBytes;
        for (let at = 0; at < bytes.length; at += step) yield bytes.subarray(at, at + step);
      },
    },
    map,
    { siteZone: "America/Denver", receivedAtMs: Date.UTC(2026, 11, 1) },
    sink,
  );
  if (verdict.refused) {
    expect(Object.keys(ERROR_CATALOGUE), where).toContain(verdict.problem.code);
    expect(verdict.problem.what.length, where).toBeGreaterThan(10);
    return { verdict, restarts: sink.restarts };
  }
  const { records, taken, duplicates, conflicts, rejected, skipped } = verdict.counts;
  const counts = [records, taken, duplicates, conflicts, rejected, skipped];
  expect(
    counts.every((c) => Number.isInteger(c) && c >= 0),
    `${where}: ${counts}`,
  ).toBe(true);
  expect(taken + duplicates + conflicts + rejected + skipped, where).toBe(records);
  expect(sink.samples, where).toBe(taken);
  expect(verdict.codes["series.conflict"] ?? 0, `${where}: conflicts by code`).toBe(conflicts);
  const rows = Object.entries(verdict.codes).filter(
    ([code]) =>
      code !== "series.conflict" &&
      ERROR_CATALOGUE[code as keyof typeof ERROR_CATALOGUE].severity === "rejected",
  );
  expect(
    rows.reduce((sum, [, n]) => sum + (n ?? 0), 0),
    `${where}: rejected by code ${JSON.stringify(verdict.codes)} ${counts}`,
  ).toBe(rejected);
  for (const reject of verdict.rejects) {
    expect(reject.text.length, where).toBeLessThanOrEqual(200);
    expect(reject.line, where).toBeGreaterThan(0);
  }
  return { verdict, restarts: sink.restarts };
}

function checkingSink(where: string): SampleSink & { samples: number; restarts: number } {
  let last = Number.NEGATIVE_INFINITY;
  const sink = {
    samples: 0,
    restarts: 0,
    async begin() {},
    async batch({ timesMs, channels, lines }: SampleBatch) {
      for (let i = 0; i < timesMs.length; i++) {
        if (!(timesMs[i] > last) || !Number.isFinite(timesMs[i])) {
          throw new Error(`time ${timesMs[i]} after ${last} on line ${lines[i]}`);
        }
        last = timesMs[i];
      }
      for (const values of Object.values(channels)) {
        expect(values.length, where).toBe(timesMs.length);
        if (values.some((v) => v === Number.POSITIVE_INFINITY || v === Number.NEGATIVE_INFINITY)) {
          throw new Error("a value is infinite");
        }
      }
      sink.samples += timesMs.length;
    },
    async restart() {
      last = Number.NEGATIVE_INFINITY;
      sink.samples = 0;
      sink.restarts++;
    },
    async end() {
      return { duplicates: 0, conflicts: 0, conflictLines: [] };
    },
  };
  return sink;
}
