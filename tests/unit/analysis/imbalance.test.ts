import { describe, expect, it } from "vitest";
import { review, type Sample, START_MS, seriesOf, steady } from "./samples";

const found = (samples: readonly Sample[]) => review(seriesOf(samples)).figures.imbalance;

describe("imbalance intervals (D9)", () => {
  const loaded = (l1: number, l2: number) => ({ loadL1W: l1, loadL2W: l2, source: "inverter" as const });

  it("opens where the legs differ by a quarter of the limit and one of them is half loaded", () => {
    expect(found(steady(20, 60, loaded(2000, 1000)))?.intervals).toHaveLength(1);
    expect(found(steady(20, 60, loaded(2000, 1001)))?.intervals).toHaveLength(0);
    expect(found(steady(20, 60, loaded(1999, 900)))?.intervals).toHaveLength(0);
  });

  it("closes below a fifth of the limit, or where neither leg is loaded to 0.45 any more", () => {
    const then = (l1: number, l2: number) =>
      found([...steady(10, 60, loaded(2400, 900)), ...steady(10, 60, loaded(l1, l2), 600)])?.intervals.map(
        (one) => one.durationS,
      );
    expect(then(2400, 1600)).toEqual([1200]);
    expect(then(2400, 1601)).toEqual([600]);
    expect(then(1800, 900)).toEqual([1200]);
    expect(then(1799, 900)).toEqual([600]);
  });

  it("is kept from ten minutes on", () => {
    expect(found(steady(10, 60, loaded(2400, 900)))?.intervals).toHaveLength(1);
    expect(found(steady(9, 60, loaded(2400, 900)))?.intervals).toHaveLength(0);
  });

  it("tells the neutral's current from the amperes measured, else from watts over volts", () => {
    const neutralA = (values: Omit<Sample, "s">) => found(steady(20, 60, values))?.maxNeutralA;
    expect(neutralA(loaded(2400, 900))).toBe(12.5);
    expect(neutralA({ ...loaded(2400, 900), loadL1V: 100, loadL2V: 100 })).toBe(15);
    expect(neutralA({ ...loaded(2400, 900), loadL1A: 21, loadL2A: 8 })).toBe(13);
    expect(neutralA(loaded(900, 2400))).toBe(12.5);
  });

  it("drops what is shorter than ten minutes and joins what is less than two apart", () => {
    const on = loaded(2400, 900);
    const off = loaded(500, 400);
    expect(found([...steady(9, 60, on), ...steady(9, 60, off, 540)])?.intervals).toHaveLength(0);
    const joined = found([
      ...steady(6, 60, on),
      ...steady(1, 60, off, 360),
      ...steady(6, 60, on, 420),
    ])?.intervals;
    expect(joined).toMatchObject([
      { fromMs: START_MS, durationS: 780, heavierLeg: "L1", maxDifferenceW: 1500 },
    ]);
    expect(
      found([...steady(6, 60, on), ...steady(2, 60, off, 360), ...steady(6, 60, on, 480)])?.intervals,
    ).toHaveLength(0);
  });

  it("reckons what the split leaves unusable of the total", () => {
    // At 3 : 1 the full leg stops at 4000 W while the other has 1333 W: 2667 W of 8000 W can't be used.
    const imbalance = found(steady(20, 60, loaded(3000, 1000)));
    expect(imbalance?.strandedMeanW).toBeCloseTo(8000 - (4000 * 4000) / 3000, 6);
    expect(imbalance?.strandedAtPeakW).toBeCloseTo(8000 - (4000 * 4000) / 3000, 6);
    expect(found(steady(20, 60, loaded(3000, 3000)))?.strandedMeanW).toBe(0);
  });

  it("is null where the log has no legs", () => {
    expect(found(steady(20, 60, { loadW: 3000, source: "inverter" }))).toBeNull();
  });
});

describe("demand (D11)", () => {
  it("counts an interval from 80 % coverage on", () => {
    const samples = steady(15, 60, { loadW: 1000 });
    const three = samples.map((one, i) => (i < 3 ? { ...one, loadW: Number.NaN } : one));
    const four = samples.map((one, i) => (i < 4 ? { ...one, loadW: Number.NaN } : one));
    expect(review(seriesOf(three)).figures.demand?.peakW).toBe(1000);
    expect(review(seriesOf(four)).figures.demand).toBeNull();
  });

  it("splits a hold at the quarter of an hour", () => {
    const samples: Sample[] = [
      { s: 0, loadW: 1000 },
      { s: 1200, loadW: 3000 },
      { s: 2400, loadW: 3000 },
      { s: 3600, loadW: 0 },
    ];
    const demand = review(seriesOf(samples)).figures.demand;
    expect(demand?.peakW).toBe(3000);
    expect(demand?.peakAtMs).toBe(START_MS + 1_800_000);
  });

  it("takes the heavier leg's amperes from its mean and the nominal voltage", () => {
    const samples = steady(15, 60, { loadL1W: 1200, loadL2W: 2400, loadL1V: 118, loadL2V: 118 });
    expect(review(seriesOf(samples)).figures.demand?.heavierLegPeakA).toBe(20);
  });
});

describe("return delay (D8)", () => {
  const story = (over: number, back: number): Sample[] => [
    ...steady(30, 10, { loadL1W: 1000, loadL2W: 500, source: "inverter" }),
    ...steady(over, 10, { loadL1W: 4500, loadL2W: 500, source: "utility" }, 300),
    ...steady(back, 10, { loadL1W: 1000, loadL2W: 500, source: "utility" }, 300 + over * 10),
    ...steady(30, 10, { loadL1W: 1000, loadL2W: 500, source: "inverter" }, 300 + (over + back) * 10),
  ];

  it("runs from the end of the last hold above a limit to the return", () => {
    expect(review(seriesOf(story(12, 18))).returnDelay).toEqual({ medianS: 180, q1S: 180, q3S: 180, n: 1 });
  });

  it("waits for a loading that isn't above the limit, not for one below it", () => {
    const samples = story(12, 18);
    for (const one of samples.slice(42, 45)) one.loadL1W = 4000;
    expect(review(seriesOf(samples)).returnDelay.medianS).toBe(180);
  });

  it("leaves out what a missing leg hides, though the total is there", () => {
    const samples = story(12, 18).map((one) => ({ ...one, loadW: 1500 }));
    expect(review(seriesOf(samples)).returnDelay.n).toBe(1);
    Object.assign(samples[45], { loadL1W: Number.NaN, loadL2W: Number.NaN });
    expect(review(seriesOf(samples)).returnDelay.n).toBe(0);
  });

  it("leaves out what a missing load hides", () => {
    const samples = story(12, 18);
    samples[45].loadL1W = Number.NaN;
    expect(review(seriesOf(samples)).returnDelay).toEqual({ medianS: null, q1S: null, q3S: null, n: 0 });
  });

  it("notes where it differs from the ratings", () => {
    const codes = (samples: Sample[]) => review(seriesOf(samples)).notes.map((note) => note.code);
    expect(codes(story(12, 40))).toContain("return-delay-differs");
    expect(codes(story(12, 19))).not.toContain("return-delay-differs");
  });
});
