import { describe, expect, it } from "vitest";
import { clockOf } from "../../../src/report/format";
import { monthSummary } from "../../../src/report/month-summary";
import { RATINGS, review, type Sample, START_MS, seriesOf, steady } from "../analysis/samples";

const clock = clockOf("America/Denver");
const MONTH = { fromMs: Date.UTC(2026, 4, 1, 6), toMs: Date.UTC(2026, 5, 1, 6) };

function summaryOf(samples: readonly Sample[]) {
  const result = review(seriesOf(samples));
  return monthSummary({ ...result, ...MONTH }, "2026-05", RATINGS, clock);
}

const overload: Sample[] = [
  ...steady(60, 60, { loadL1W: 1500, loadL2W: 900, solarW: 0, batteryW: 2400, gridW: 0, source: "inverter" }),
  ...steady(
    5,
    60,
    { loadL1W: 4600, loadL2W: 900, solarW: 0, batteryW: 0, gridW: 5500, source: "utility" },
    3600,
  ),
  ...steady(
    3,
    60,
    { loadL1W: 1500, loadL2W: 900, solarW: 0, batteryW: 0, gridW: 2400, source: "utility" },
    3900,
  ),
  ...steady(
    60,
    60,
    { loadL1W: 1500, loadL2W: 900, solarW: 0, batteryW: 2400, gridW: 0, source: "inverter" },
    4080,
  ),
];

describe("a month in words", () => {
  it("says that there is nothing where there is nothing", () => {
    expect(summaryOf([]).headline).toBe("There are no samples for May 2026.");
  });

  it("answers whether the inverter carried the loads, from the figures", () => {
    const { headline, statements } = summaryOf(overload);
    expect(headline).toBe(
      "In May 2026 the loads went over to the utility once; the inverter carried them 93.8 % of the time logged.",
    );
    const text = Object.fromEntries(statements.map((one) => [one.code, one.text]));
    expect(text.causes).toBe("1 transfer: 1 overload. Time on the utility: 8 min.");
    expect(text.loading).toBe(
      "The greatest loading was 1.15: L1 asked for 4.60 kW of 4.00 kW on 14 May, 01:00.",
    );
    expect(text["near-limit"]).toBe(
      "L1 fills first: near or above its limit for 5 min, above it for 5 min; L2 for 0 s and 0 s.",
    );
    expect(text.coverage).toMatch(/^The log covers 0\.3 % of the month/);
    expect(text.energy).toMatch(/^Of 5\.4 kWh of load the sun carried 0 % directly, the battery 8/);
  });

  it("gives each advice with the figure that supports it", () => {
    const { advice } = summaryOf(overload);
    expect(advice[0].code).toBe("move-from-L1");
    expect(advice[0].text).toContain("in 1 of 1 transfer L1 was full (mean loading 1.15)");
    expect(advice[0].text).toContain("licensed electrician");
  });

  it("says when no load went over, and gives no advice without reason", () => {
    const { headline, advice } = summaryOf(
      steady(60, 60, { loadL1W: 900, loadL2W: 900, source: "inverter" }),
    );
    expect(headline).toBe(
      "The inverter carried the loads through May 2026: no transfer to the utility in what was logged.",
    );
    expect(advice).toEqual([]);
  });

  it("doesn't claim to know what the log can't tell", () => {
    const { headline, statements } = summaryOf(steady(60, 60, { solarW: 900 }));
    expect(headline).toBe("Whether the inverter carried the loads in May 2026 can't be told from this log.");
    expect(statements.map((one) => one.text)).toContain("Loading per leg: not in this log.");
  });

  it("compares with the month before, and says how far that is covered", () => {
    const result = review(seriesOf(overload));
    const before = { ...review(seriesOf([])), fromMs: START_MS - 1, toMs: START_MS, days: result.days };
    const { statements } = monthSummary({ ...result, ...MONTH }, "2026-05", RATINGS, clock, before);
    expect(statements.find((one) => one.code === "month-before")?.text).toContain(
      "it had 0 transfers, 1 fewer",
    );
  });
});
