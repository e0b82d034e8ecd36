import { expect, test } from "vitest";
import { SOURCE_CODE } from "../../../src/analysis/series";
import { sourceRuns } from "../../../src/analysis/source-runs";

const { inverter: I, utility: U, unknown: X } = SOURCE_CODE;
const runs = (times: number[], holds: number[], sources: number[], fromMs: number, toMs: number) =>
  sourceRuns(times, holds, sources, fromMs, toMs).map(({ fromMs: from, toMs: to, source }) => [
    from,
    to,
    source,
  ]);

test("nothing at all is one gap", () => {
  expect(runs([], [], [], 0, 1000)).toEqual([[0, 1000, "gap"]]);
});

test("neighbours of one source are one stretch, without a hole from the first to the last", () => {
  expect(runs([0, 1000, 2000, 3000], [1, 1, 1, 1], [I, I, U, I], 0, 4000)).toEqual([
    [0, 2000, "inverter"],
    [2000, 3000, "utility"],
    [3000, 4000, "inverter"],
  ]);
});

test("what no sample stands for is a gap, at the beginning, between and at the end", () => {
  expect(runs([1000, 5000], [1, 1], [I, I], 0, 9000)).toEqual([
    [0, 1000, "gap"],
    [1000, 2000, "inverter"],
    [2000, 5000, "gap"],
    [5000, 6000, "inverter"],
    [6000, 9000, "gap"],
  ]);
});

test("samples outside count for what of them reaches in", () => {
  expect(runs([-3000, -1000, 4000, 9000], [2, 5, 5, 5], [U, X, I, U], 0, 6000)).toEqual([
    [0, 4000, "unknown"],
    [4000, 6000, "inverter"],
  ]);
});
