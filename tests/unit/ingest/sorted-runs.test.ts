import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createSampleColumns } from "../../../src/ingest/sample-columns";
import { createSortedRuns } from "../../../src/ingest/sorted-runs";

const SHAPE = { channels: ["loadL1W", "gridW"], hasSource: true, hasFault: true } as const;

function sorted(times: readonly number[], runSamples: number, dir?: string) {
  const runs = createSortedRuns(SHAPE, dir, runSamples);
  try {
    const columns = createSampleColumns(SHAPE, 16, 0);
    times.forEach((t, i) => {
      columns.timesMs[0] = t;
      columns.lines[0] = i;
      columns.values[0][0] = t / 3;
      columns.values[1][0] = Number.NaN;
      columns.sources[0] = i % 5;
      columns.faults[0] = i % 60_000;
      columns.n = 1;
      runs.add(columns);
    });
    const out: number[][] = [];
    for (let more = true; more; ) {
      columns.n = 0;
      more = runs.fill(columns, 7);
      for (let i = 0; i < columns.n; i++) {
        out.push([
          columns.timesMs[i],
          columns.lines[i],
          columns.values[0][i],
          columns.values[1][i],
          columns.sources[i],
          columns.faults[i],
        ]);
      }
    }
    return out;
  } finally {
    runs.close();
  }
}

describe("createSortedRuns", () => {
  it("gives nothing for nothing", () => {
    expect(sorted([], 4)).toEqual([]);
  });

  it("sorts stably, in memory and through runs on disk alike", () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 40 }), { maxLength: 80 }),
        fc.integer({ min: 1, max: 30 }),
        (times, run) => {
          const expected = times
            .map((t, i) => [t, i, Math.fround(t / 3), Number.NaN, i % 5, i])
            .sort((a, b) => a[0] - b[0] || a[1] - b[1]);
          expect(sorted(times, run)).toEqual(expected);
        },
      ),
      { numRuns: 200 },
    );
  });

  it("leaves nothing in the folder, also where it is closed half-way", () => {
    const dir = mkdtempSync(join(tmpdir(), "legroom-test-"));
    try {
      sorted([3, 2, 1, 5, 4], 2, dir);
      expect(readdirSync(dir)).toEqual([]);
    } finally {
      rmSync(dir, { recursive: true, force: true });
    }
  });
});
