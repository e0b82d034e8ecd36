import { expect, test } from "vitest";
import { foldNominalMs } from "../../../src/ingest/fold-nominal";

const every = (stepMs: number, samples: number, fromMs = 0) =>
  Array.from({ length: samples }, (_, i) => fromMs + i * stepMs);

test("no log, and logs with one stamp between them, have no interval", () => {
  expect(foldNominalMs([])).toBeNull();
  expect(foldNominalMs([[5000]])).toBeNull();
  expect(foldNominalMs([[5000], [5000]])).toBeNull();
});

test("it is the median of the differences of all logs' stamps, each instant once", () => {
  expect(foldNominalMs([every(10, 50)])).toBe(10);
  expect(foldNominalMs([every(10, 50), every(10, 50, 200)])).toBe(10);
  expect(foldNominalMs([every(10, 50), every(60, 51, 1000)])).toBe(60);
  expect(foldNominalMs([[0, 1000, 2001]])).toBe(1000.5);
});

test("stamps between one another count, whatever the order of the logs", () => {
  const a = every(60, 100);
  const b = every(60, 100, 30);
  expect(foldNominalMs([a, b])).toBe(30);
  expect(foldNominalMs([b, a])).toBe(30);
});

test("only the first 1,000 of all count", () => {
  expect(foldNominalMs([every(60, 1000, 100_000), every(10, 1000)])).toBe(10);
  expect(foldNominalMs([every(10, 1000), every(1, 1000, 1_000_000)])).toBe(10);
});
