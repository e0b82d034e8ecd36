import { describe, expect, it } from "vitest";
import { monthInShort } from "../../../src/report/month-in-short";
import type { Statement, Summary } from "../../../src/report/month-summary";

function summary(codes: readonly string[], coverage: number | null): Summary {
  const statements = codes.map(
    (code): Statement => ({
      code,
      section: "coverage",
      text: code,
      sentence: code,
      basis: "",
      settings: {},
      atMs: null,
    }),
  );
  return { warnings: [], headline: "", coverage, statements, advice: [] };
}

const codes = (codesOf: readonly string[], coverage: number | null) =>
  monthInShort(summary(codesOf, coverage)).map(({ code }) => code);

const ALL = [
  "carried",
  "coverage",
  "transfers",
  "cause-overload",
  "cause-low-battery",
  "cause-fault",
  "avoidable",
  "month-before",
  "peak-loading",
  "energy",
  "solar-fraction",
];

describe("a month in short", () => {
  it("has the two most frequent causes, what could be spared, the peak, the sun and the month before", () => {
    expect(codes(ALL, 0.995)).toEqual([
      "cause-overload",
      "cause-low-battery",
      "avoidable",
      "peak-loading",
      "solar-fraction",
      "month-before",
    ]);
  });

  it("begins with how little is known where the log covers less than 99 %", () => {
    expect(codes(ALL, 0.76)[0]).toBe("coverage");
    expect(codes(ALL, null)[0]).toBe("coverage");
  });

  it("says where the energy came from where there is no sun to speak of", () => {
    expect(codes(["energy"], 1)).toEqual(["energy"]);
    expect(codes([], 1)).toEqual([]);
  });
});
