import { describe, expect, it } from "vitest";
import { RATINGS, review, type Sample, seriesOf, steady } from "./samples";

/** L1 at the given loadings, a sample every `intervalS`. */
function l1At(loadings: readonly (number | null)[], intervalS = 10): Sample[] {
  return loadings.map((loading, i) => ({
    s: i * intervalS,
    loadL1W: loading === null ? Number.NaN : loading * 4000,
    loadL2W: 100,
    source: "inverter",
  }));
}

const repeat = (value: number | null, times: number) => Array<number | null>(times).fill(value);

function intervals(loadings: readonly (number | null)[], intervalS = 10) {
  return review(seriesOf(l1At(loadings, intervalS))).nearLimit.filter((one) => one.quantity === "L1");
}

describe("near-limit intervals (D4)", () => {
  it("opens at 0.90, not below", () => {
    expect(intervals([...repeat(0.9, 7), ...repeat(0.2, 7)])).toHaveLength(1);
    expect(intervals([...repeat(0.8999, 7), ...repeat(0.2, 7)])).toHaveLength(0);
  });

  it("stays open at 0.85 and closes below", () => {
    const open = intervals([...repeat(0.95, 3), ...repeat(0.85, 4), ...repeat(0.2, 9)]);
    expect(open[0].durationS).toBe(70);
    expect(intervals([...repeat(0.95, 3), ...repeat(0.8499, 4), ...repeat(0.2, 9)])).toHaveLength(0);
  });

  it("drops what is shorter than 60 s, unless a sample reached 1", () => {
    expect(intervals([...repeat(0.95, 5), ...repeat(0.2, 9)])).toHaveLength(0);
    expect(intervals([1, ...repeat(0.2, 9)])).toHaveLength(1);
    expect(intervals([...repeat(0.95, 6), ...repeat(0.2, 9)])).toHaveLength(1);
  });

  it("joins runs less than 60 s apart and counts the time between, but not at 60 s", () => {
    const joined = intervals([...repeat(0.95, 4), ...repeat(0.2, 5), ...repeat(0.95, 4), ...repeat(0.2, 9)]);
    expect(joined).toHaveLength(1);
    expect(joined[0].durationS).toBe(130);
    expect(joined[0].meanLoading).toBeCloseTo((8 * 0.95 + 5 * 0.2) / 13, 6);
    const apart = intervals([...repeat(0.95, 6), ...repeat(0.2, 6), ...repeat(0.95, 6), ...repeat(0.2, 9)]);
    expect(apart).toHaveLength(2);
  });

  it("doesn't join across a missing value or a gap", () => {
    expect(intervals([...repeat(0.95, 6), null, ...repeat(0.95, 6), ...repeat(0.2, 9)])).toHaveLength(2);
    const samples = [
      ...l1At(repeat(0.95, 10)),
      ...l1At(repeat(0.95, 10)).map((one) => ({ ...one, s: one.s + 140 })),
    ];
    expect(review(seriesOf(samples)).nearLimit.filter((one) => one.quantity === "L1")).toHaveLength(2);
  });

  it("counts time above the limit only above 1, and time by source", () => {
    const samples: Sample[] = [1, 1.1, 1.1, 0.95, 0.95, 0.95, 0.2, 0.2].map((loading, i) => ({
      s: i * 10,
      loadL1W: loading * 4000,
      loadL2W: 0,
      source: i < 2 ? "inverter" : "utility",
    }));
    const [found] = review(seriesOf(samples)).nearLimit.filter((one) => one.quantity === "L1");
    expect(found).toMatchObject({ durationS: 60, overLimitS: 20, onInverterS: 20, onUtilityS: 40 });
    expect(found.peakLoading).toBeCloseTo(1.1, 6);
    // Of two equal peaks the earliest counts.
    expect(found.peakAtMs).toBe(seriesOf([{ s: 10 }]).timesMs[0]);
  });

  it("tells the longest stretch on inverter in it, which time on utility ends", () => {
    const sources = "iiiuiiiiuui".split("").map((one) => (one === "i" ? "inverter" : "utility"));
    const samples = sources.map((source, i) => ({ s: i * 10, loadL1W: 3800, loadL2W: 0, source }) as Sample);
    const [found] = review(seriesOf(samples)).nearLimit.filter((one) => one.quantity === "L1");
    expect(found).toMatchObject({
      durationS: 110,
      onInverterS: 80,
      onUtilityS: 30,
      longestOnInverterS: 40,
      longestOnInverterFromMs: seriesOf([{ s: 40 }]).timesMs[0],
    });
  });

  it("goes on with that stretch through the time between joined runs, where that is on inverter too", () => {
    const samples = l1At([...repeat(0.95, 4), ...repeat(0.2, 5), ...repeat(0.95, 4), ...repeat(0.2, 9)]);
    const longest = () => review(seriesOf(samples)).nearLimit.map((one) => one.longestOnInverterS);
    expect(longest()).toEqual([130]);
    samples[6].source = "utility";
    // The two samples after it and the four of the second run.
    expect(longest()).toEqual([60]);
  });

  it("is still there when the log ends inside it", () => {
    expect(intervals(repeat(0.95, 10))[0].durationS).toBe(100);
  });

  it("holds a 6 kW load on one 120 V leg to be 50 A", () => {
    // Common practice, no source: 6 kW on a 120 V leg is 50 A.
    const samples = steady(10, 10, { loadL1A: 50, loadL2A: 0, source: "inverter" });
    const [found] = review(seriesOf(samples)).nearLimit.filter((one) => one.quantity === "L1");
    expect(found.peakW).toBe(6000);
  });

  it("takes the tighter of W and VA, and limits lowered by temperature", () => {
    const base = { loadL1W: 3000, loadL2W: 0, source: "inverter" as const };
    expect(
      review(seriesOf(steady(10, 10, { ...base, loadL1Va: 3700 }))).nearLimit[0].peakLoading,
    ).toBeCloseTo(0.925, 6);
    const hot = review(seriesOf(steady(10, 10, { ...base, inverterTempC: 50 })), {
      ratings: [{ ...RATINGS, derate: [{ aboveC: 45, ratio: 0.8 }] }],
    });
    expect(hot.nearLimit[0].peakLoading).toBeCloseTo(3000 / 3200, 6);
    expect(hot.nearLimit[0].limitW).toBe(3200);
  });

  it("goes by VA alone where the watts are missing", () => {
    const samples = steady(10, 10, { loadL1W: 3000, loadL2W: 0, loadL1Va: 3700, source: "inverter" });
    for (const one of samples) one.loadL1W = Number.NaN;
    expect(review(seriesOf(samples)).nearLimit).toMatchObject([
      { quantity: "L1", durationS: 100, peakW: null, peakA: null },
    ]);
  });

  it("sees the grid carry a part only where it brings something", () => {
    const base = { loadL1W: 3700, loadL2W: -3800, source: "inverter" as const };
    const found = (gridW: number) =>
      review(seriesOf(steady(10, 10, { ...base, gridW }))).nearLimit.map((one) => one.quantity);
    expect(found(0)).toEqual(["L1"]);
    expect(found(-3)).toEqual(["L1"]);
    // The log can't say which leg it serves.
    expect(found(100)).toEqual([]);
  });

  it("on utility holds the greater leg's current and the charging against the pass-through rating", () => {
    const samples = steady(10, 10, {
      loadL1W: 2400,
      loadL2W: 1200,
      loadL1V: 120,
      loadL2V: 120,
      batteryW: -1200,
      solarW: 0,
      gridW: 4800,
      source: "utility",
    });
    const found = review(seriesOf(samples), { ratings: [{ ...RATINGS, passThroughA: 25 }] }).nearLimit;
    expect(found.map((one) => one.quantity)).toEqual(["pass-through"]);
    // 2400 W / 120 V + 1200 W / 2 / 120 V
    expect(found[0].peakA).toBeCloseTo(25, 9);
    expect(found[0].peakW).toBeNull();
    samples[4].loadL2V = 0;
    const cut = review(seriesOf(samples), { ratings: [{ ...RATINGS, passThroughA: 25 }] }).nearLimit;
    expect(cut.map((one) => [one.durationS, one.peakLoading])).toEqual([
      [40, 1],
      [50, 1],
    ]);
  });
});
