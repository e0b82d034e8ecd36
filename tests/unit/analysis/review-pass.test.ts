import { describe, expect, it } from "vitest";
import type { DayRecord } from "../../../src/analysis/day-record";
import type { Ratings } from "../../../src/analysis/ratings";
import { createReviewPass } from "../../../src/analysis/review-pass";
import type { NumericChannel, Series } from "../../../src/analysis/series";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { RATINGS, review, type Sample, START_MS, seriesOf, steady } from "./samples";

const calm = { source: "inverter", loadL1W: 1000, loadL2W: 1000 } as const;

/** Whatever the chunks, the causes of the transfers are these. */
function expectCauses(series: Series, causes: readonly string[]): void {
  const whole = review(series);
  expect(whole.transfers.map((one) => one.cause)).toEqual(causes);
  for (const chunk of [1, 100, 1001]) expect(review(series, { chunk })).toEqual(whole);
}

describe("a pass whose log changes its interval", () => {
  it("looks back no further than three of the shorter intervals where it comes to be longer", () => {
    const series = seriesOf([
      ...steady(1050, 10, calm),
      ...steady(1, 10, { ...calm, loadL1W: 4100 }, 10_500),
      ...steady(49, 10, calm, 10_510),
      // From here on every five minutes: three of those would reach back to the overload, which isn't kept so long.
      ...steady(2, 300, { ...calm, source: "utility" }, 11_000),
      ...steady(150, 300, calm, 11_600),
    ]);
    expectCauses(series, ["unexplained"]);
  });

  it("looks back three of the longer intervals from the last of them where it comes to be shorter", () => {
    const series = seriesOf([
      ...steady(1050, 300, calm),
      ...steady(1, 300, { ...calm, loadL1W: 4100 }, 315_000),
      ...steady(1, 300, calm, 315_300),
      ...steady(1, 300, { ...calm, source: "utility" }, 315_600),
      // Not yet odd for the longer interval, so that the transfer has it still while it waits for its window's end.
      ...steady(400, 1, calm, 315_800),
    ]);
    expectCauses(series, ["overload"]);
  });
});

describe("a pass over a long log", () => {
  const before = steady(1100, 10, calm);

  it("waits for the sample after a transfer, and keeps those that its cause looks back at", () => {
    const rise = [
      ...before,
      ...steady(1, 10, { ...calm, source: "utility" }, 11_000),
      ...steady(20, 10, { ...calm, source: "utility", loadL1W: 2000 }, 11_010),
      ...steady(20, 10, calm, 11_210),
    ];
    expectCauses(seriesOf(rise as Sample[]), ["load-step"]);
    const early = [
      ...before,
      ...steady(30, 10, { ...calm, source: "utility" }, 11_000),
      ...steady(20, 10, calm, 11_300),
    ];
    Object.assign(early[1094], { loadL1W: 4100 });
    expectCauses(seriesOf(early as Sample[]), ["overload"]);
  });
});

describe("the days of a pass", () => {
  function daysOf(samples: readonly Sample[], ratings: readonly Ratings[] = [RATINGS]): readonly DayRecord[] {
    const series = seriesOf(samples);
    const pass = createReviewPass({
      zone: "America/Denver",
      ratings,
      settings: DEFAULT_SETTINGS,
      channels: Object.keys(series.channels) as NumericChannel[],
      hasSource: series.sources !== null,
      hasFault: false,
    });
    pass.push(series);
    pass.end();
    return pass.take().days;
  }
  const DAY_S = 86_400;

  it("have each what of a hold lies in them, and a sample only where it comes", () => {
    const samples = steady(9, 7200, { loadW: 1000, loadL1V: 120, source: "inverter" }, DAY_S - 5 * 3600);
    const days = daysOf(samples);
    expect(days.map(({ date, samples: count, heldS }) => [date, count, heldS])).toEqual([
      ["2026-05-14", 3, 18_000],
      ["2026-05-15", 6, 46_800],
    ]);
    expect(days.map(({ sums }) => [sums.coverage.samples, sums.coverage.heldS])).toEqual([
      [3, 18_000],
      [6, 46_800],
    ]);
    expect(days.map(({ sums }) => [sums.voltage.l1.counts.total, sums.voltage.l1.heldS])).toEqual([
      [3, 18_000],
      [6, 46_800],
    ]);
  });

  it("end the demand's interval with them", () => {
    const samples = [
      ...steady(15, 60, { loadW: 3000 }, DAY_S - 900),
      ...steady(15, 60, { loadW: 2000 }, DAY_S),
    ];
    const demand = daysOf(samples).map(({ sums }) => sums.demand);
    expect(demand).toMatchObject([
      { intervals: 1, peakW: 3000, peakAtMs: START_MS + (DAY_S - 900) * 1000 },
      { intervals: 1, peakW: 2000, peakAtMs: START_MS + DAY_S * 1000 },
    ]);
  });

  it("go each by the ratings in force then", () => {
    const samples = steady(10, 60, { loadL1W: 3800, loadL2W: 0 }, DAY_S - 300);
    const later = { ...RATINGS, from: "2026-05-15", legLimitW: 5000, legLimitVa: 5000 };
    const series = seriesOf(samples);
    const { nearLimit, hours } = review(series, { ratings: [RATINGS, later] });
    expect(hours.map((one) => one.peakLoading)).toEqual([0.95, 0.76]);
    expect(nearLimit).toMatchObject([{ quantity: "L1", durationS: 300, limitW: 4000 }]);
  });
});
