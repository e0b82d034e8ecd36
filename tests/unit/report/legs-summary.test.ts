import { describe, expect, it } from "vitest";
import { legFigures } from "../../../src/analysis/leg-figures";
import { createLocalClock } from "../../../src/analysis/local-time";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { type LegsSubject, legsSummary } from "../../../src/report/legs-summary";
import { RATINGS, review, type Sample, START_MS, seriesOf, steady } from "../analysis/samples";

const CLOCK = createLocalClock("America/Denver");

/** The legs of a local day, 14 May 2026, in words. */
function summaryOf(samples: readonly Sample[]) {
  const result = review(seriesOf(samples));
  const subject: LegsSubject = {
    ...result,
    gaps: result.coverage.gaps,
    fromMs: START_MS,
    toMs: START_MS + 86_400_000,
    nominalS: 60,
    settings: DEFAULT_SETTINGS,
    legs: legFigures(result.days),
  };
  return legsSummary(subject, "On 14 May 2026", [RATINGS], CLOCK);
}

const on = (source: Sample["source"], loadL1W: number, loadL2W: number) => ({ source, loadL1W, loadL2W });
const textOf = (samples: readonly Sample[], code: string) =>
  summaryOf(samples).statements.find((one) => one.code === code)?.text;

// L1 full for five minutes, two of them on inverter; L2 with (2 · 3000 + 3 · 2500) / 5 = 2700 W of headroom.
const FULL: Sample[] = [
  ...steady(55, 60, on("inverter", 1000, 500)),
  ...steady(2, 60, on("inverter", 4000, 1000), 55 * 60),
  ...steady(3, 60, on("utility", 4500, 1500), 57 * 60),
];

describe("the legs in words", () => {
  it("say that there are no samples, and nothing else", () => {
    expect(summaryOf([])).toEqual({
      headline: "On 14 May 2026 there are no samples.",
      coverage: null,
      statements: [],
    });
  });

  it("say what a log without legs would take, and claim nothing of them", () => {
    const { headline, coverage, statements } = summaryOf(steady(60, 60, { loadW: 1500, source: "inverter" }));
    expect(headline).toBe(
      "What each leg carries is not in this log: it takes the load of L1 and L2 apart, in W or in A. With the total alone nobody can say which leg is full.",
    );
    expect(coverage).toBeNull();
    expect(statements.map(({ text }) => text)).toEqual([
      "What each leg carries: not in this log.",
      "Leg voltage, and with it an open neutral: not in this log.",
    ]);
  });

  it("answer which leg is full, for how long, and what the other had left", () => {
    const { headline, coverage } = summaryOf(FULL);
    expect(headline).toBe(
      "On 14 May 2026 L1 was full for 5 min while L2 had 2.70 kW of headroom in the mean: what runs at those times belongs on L2.",
    );
    expect(coverage).toBeCloseTo(3600 / 86_400, 12);
    const swapped = FULL.map(({ loadL1W, loadL2W, ...rest }) => ({
      ...rest,
      loadL1W: loadL2W,
      loadL2W: loadL1W,
    }));
    expect(summaryOf(swapped).headline).toBe(
      "On 14 May 2026 L2 was full for 5 min while L1 had 2.70 kW of headroom in the mean: what runs at those times belongs on L1.",
    );
  });

  it("don't send load to a leg that has no headroom, where the grid carries a part of it", () => {
    const blending = { ...on("inverter", 4000, 4000), gridL1W: 0, gridL2W: 500 };
    expect(summaryOf(steady(60, 60, blending)).headline).toBe(
      "On 14 May 2026 L1 was full for 1 h, and L2 had no headroom meanwhile: moving load wouldn't help.",
    );
  });

  it("call both legs full where one is by its VA", () => {
    const samples = steady(60, 60, { ...on("inverter", 3900, 4000), loadL1Va: 4200 });
    expect(summaryOf(samples).headline).toBe(
      "On 14 May 2026 both legs were full, one as long as the other: L1 for 1 h with 0 W of headroom on L2 in the mean, L2 for 1 h with 100 W on L1.",
    );
  });

  it("say which of two full legs was full the longer", () => {
    const samples = [
      ...steady(50, 60, on("inverter", 4100, 1000)),
      ...steady(10, 60, on("inverter", 2000, 4000), 3000),
    ];
    expect(summaryOf(samples).headline).toBe(
      "On 14 May 2026 both legs were full, L1 the longer: L1 for 50 min with 3.00 kW of headroom on L2 in the mean, L2 for 10 min with 2.00 kW on L1.",
    );
  });

  it("say how near they came where neither was full", () => {
    const samples = steady(60, 60, on("inverter", 3500, 1000));
    expect(summaryOf(samples).headline).toBe(
      "On 14 May 2026 neither leg was full: L1 came to 87.5 % of its limit at most, L2 to 25 %.",
    );
    const va = steady(60, 60, { ...on("inverter", 3000, 1000), loadL1Va: 3900 });
    expect(summaryOf(va).headline).toContain("L1 came to 97.5 % of its limit at most");
    expect(textOf(samples, "full-L1")).toBe(
      "L1 never reached its limit: it was asked for 3.50 kW on 14 May, 00:00 at most, 87.5 % of its 4.00 kW.",
    );
  });

  it("say which leg is the heavier, and by how much", () => {
    expect(textOf(steady(60, 60, on("inverter", 1500, 500)), "heavier-leg")).toBe(
      "L1 is the heavier leg: L1 carried 1.50 kW in the mean, L2 500 W; 75 % of the load was on L1.",
    );
    expect(textOf(steady(60, 60, on("inverter", 400, 600)), "heavier-leg")).toBe(
      "L2 is the heavier leg: L1 carried 400 W in the mean, L2 600 W; 60 % of the load was on L2.",
    );
    expect(textOf(steady(60, 60, on("inverter", 505, 500)), "heavier-leg")).toBe(
      "The legs carried nearly the same: L1 carried 505 W in the mean, L2 500 W.",
    );
    expect(textOf(steady(60, 60, on("inverter", 0, 0)), "heavier-leg")).toBe(
      "The legs carried nearly the same: L1 carried 0 W in the mean, L2 0 W.",
    );
  });

  it("say of a full leg when it was asked for most, and whether the inverter carried it", () => {
    const { statements } = summaryOf(FULL);
    const l1 = statements.find(({ code }) => code === "full-L1");
    expect(l1?.text).toBe(
      "L1 was at its limit or above it for 5 min, 2 min of it on the inverter; L2 had 2.70 kW of headroom meanwhile, in the mean. The most that L1 was asked for was 4.50 kW on 14 May, 00:57, which the inverter didn't carry then; its rating is 4.00 kW.",
    );
    expect(l1?.timesMs).toEqual([START_MS + 57 * 60_000]);
    expect(textOf(steady(5, 60, on("inverter", 4000, 0)), "full-L1")).toContain("all of it on the inverter");
    expect(textOf(steady(5, 60, on("utility", 4000, 0)), "full-L1")).toContain("none of it on the inverter");
  });

  it("say what the split strands, and what the neutral carried, with their times", () => {
    const { statements } = summaryOf(FULL);
    const stranded = statements.find(({ code }) => code === "stranded-capacity");
    // Usable at 4500 + 1500: 4000 · 6000 / 4500 = 5333 W. In the mean: (2 · 3000 + 3 · 2667) / 5 = 2800 W.
    expect(stranded?.text).toBe(
      "By the split of the legs this much of the 8.00 kW could not be used: 2.67 kW at the greatest load, 2.80 kW in the mean while a leg was at 0.50 or more.",
    );
    expect(stranded?.timesMs).toEqual([START_MS + 57 * 60_000]);
    expect(textOf(FULL, "neutral-current")).toBe(
      "The greatest current in the neutral was 25.0 A on 14 May, 00:55, for loads in phase; where power factors differ it was more.",
    );
    expect(textOf(FULL, "neutral-by-time")).toBe(
      "The neutral carried 25.0 A or more for 1 % of the time, 4.2 A or more for a tenth of it, 4.2 A or more for half of it, for loads in phase.",
    );
  });

  it("give the range of each leg's voltage where the log has it, and say so where it hasn't", () => {
    const volts = steady(60, 60, { ...on("inverter", 1000, 500), loadL1V: 121, loadL2V: 119 });
    const { statements } = summaryOf(volts);
    expect(statements.find(({ code }) => code === "leg-voltage-L1")?.text).toMatch(
      /^L1 lay between 121\.0 V/,
    );
    expect(statements.find(({ code }) => code === "leg-voltage-L2")?.timesMs).toEqual([START_MS, START_MS]);
    expect(textOf(FULL, "not-in-log-leg-voltage")).toBe(
      "Leg voltage, and with it an open neutral: not in this log.",
    );
  });

  it("have each a code of its own", () => {
    const codes = summaryOf(FULL).statements.map(({ code }) => code);
    expect(new Set(codes).size).toBe(codes.length);
  });
});
