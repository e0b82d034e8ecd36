import { describe, expect, it } from "vitest";
import type { PeriodSubject } from "../../../src/analysis/period-findings";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { clockOf } from "../../../src/report/format";
import { monthSummary, SECTIONS } from "../../../src/report/month-summary";
import { reviewSubject } from "../../../src/report/review-subject";
import { RATINGS, review, type Sample, START_MS, seriesOf, steady } from "../analysis/samples";

const clock = clockOf("America/Denver");
const MONTH = { fromMs: Date.UTC(2026, 4, 1, 6), toMs: Date.UTC(2026, 5, 1, 6) };

function subjectOf(samples: readonly Sample[], ratings = [RATINGS]): PeriodSubject {
  return { ...reviewSubject(review(seriesOf(samples), { ratings }), DEFAULT_SETTINGS), ...MONTH };
}

function summaryOf(samples: readonly Sample[], ratings = [RATINGS]) {
  const summary = monthSummary(subjectOf(samples, ratings), "2026-05", ratings, clock);
  return { ...summary, text: Object.fromEntries(summary.statements.map((one) => [one.code, one.text])) };
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

/** L1 low and L2 high while L1 has the load, ten samples long. */
const openNeutral: Sample[] = [
  ...steady(60, 60, { loadL1W: 500, loadL2W: 500, loadL1V: 120, loadL2V: 120, source: "utility" }),
  ...steady(10, 60, { loadL1W: 2400, loadL2W: 300, loadL1V: 105, loadL2V: 135, source: "utility" }, 3600),
];

describe("a month in words", () => {
  it("says that there is nothing where there is nothing", () => {
    expect(summaryOf([])).toMatchObject({
      headline: "There are no samples for May 2026.",
      coverage: null,
      statements: [],
      warnings: [],
    });
  });

  it("answers whether the inverter carried the loads, from the figures", () => {
    const { headline, text } = summaryOf(overload);
    expect(headline).toBe(
      "In May 2026 the loads went over to the utility once; the inverter carried them 93.8 % of the time logged.",
    );
    expect(text.transfers).toBe("1 transfer to the utility, 8 min there in all.");
    expect(text["cause-overload"]).toBe("Overload: 1 transfer, 8 min on the utility; seen in the log.");
    expect(text["peak-loading"]).toBe(
      "The greatest loading was 1.15: L1 asked for 4.60 kW of 4.00 kW on 14 May, 01:00.",
    );
    expect(text["near-limit-L1"]).toBe(
      "L1 was near or above its limit for 5 min in 1 interval, 0 s of it on the inverter; above its limit for 5 min, wherever the supply came from.",
    );
    expect(text["near-limit-L2"]).toBe("L2 never came near its limit for as long as 1 min.");
    expect(text.coverage).toMatch(/^The log covers 0\.3 % of this period: 128 samples, one every 1 min/);
    expect(text.energy).toMatch(/^Of 5\.4 kWh of load the sun carried 0 % directly, the battery 8/);
  });

  it("takes load and limit from what was in force at the sample, not from the latest ratings", () => {
    const { text } = summaryOf(overload, [RATINGS, { ...RATINGS, from: "2026-05-20", legLimitW: 6000 }]);
    expect(text["peak-loading"]).toContain("L1 asked for 4.60 kW of 4.00 kW");
    expect(text["stranded-capacity"]).toBeDefined();
  });

  it("reads in the order of the month, with every statement apart", () => {
    const { statements } = summaryOf(overload);
    const order = statements.map(({ section }) => SECTIONS.indexOf(section));
    expect(order).toEqual([...order].sort((a, b) => a - b));
    expect(new Set(statements.map(({ code }) => code)).size).toBe(statements.length);
    expect(new Set(statements.map(({ section }) => section))).toEqual(new Set(SECTIONS));
  });

  it("puts the suspicion of an open neutral before everything else", () => {
    const { warnings, statements, text } = summaryOf(openNeutral);
    expect(warnings).toHaveLength(1);
    expect(warnings[0].text).toMatch(/^STOP: this looks like an open or bad neutral\. On 14 May, 01:00:00/);
    expect(warnings[0].text).toContain("call an electrician before anything else");
    expect(statements.map(({ code }) => code)).not.toContain("open-neutral");
    expect(text["leg-voltage-L1"]).toMatch(/^L1 lay between 105\.0 V/);
  });

  it("says what is known for less of the period than the log covers, and names the settings", () => {
    const holed = overload.map((one, i) => (i < 30 ? { ...one, loadL2W: Number.NaN } : one));
    const { statements } = summaryOf(holed);
    const imbalance = statements.find(({ code }) => code === "imbalance");
    expect(imbalance?.text).toBe(`${imbalance?.sentence} This is known for 0.2 % of the period.`);
    expect(imbalance?.basis).toMatch(/^known for 0\.2 % of the period; imbalanceShareFloor 0\.05, /);
    const demand = statements.find(({ code }) => code === "transfers");
    expect(demand?.text).toBe(demand?.sentence);
    expect(demand?.basis).toBe("unknownFillS 600");
  });

  it("gives each advice with the figure that supports it", () => {
    const { advice } = summaryOf(overload);
    expect(advice).toEqual([
      {
        code: "move-from-L1",
        text: "Have a circuit moved from L1 to L2: in 1 of 1 transfer L1 was the fuller leg (mean loading 1.15) while the mean of both legs was 0.68. Work in the panel is for a licensed electrician.",
      },
    ]);
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
    const { headline, text } = summaryOf(steady(60, 60, { solarW: 900 }));
    expect(headline).toBe("Whether the inverter carried the loads in May 2026 can't be told from this log.");
    expect(text).toMatchObject({
      "not-in-log-peak-loading": "Loading: not in this log, it has no load.",
      "not-in-log-imbalance": "What each leg carries: not in this log.",
      "not-in-log-demand": "Demand: no clock interval of 15 minutes is covered enough.",
      "not-in-log-leg-voltage": "Leg voltage, and with it an open neutral: not in this log.",
      "not-in-log-energy": "Where the energy came from: not in this log, it has no load.",
    });
  });

  it("compares with the month before, and says how far that is covered", () => {
    const before = {
      ...subjectOf(steady(60, 60, { loadL1W: 900, loadL2W: 900, source: "inverter" })),
      fromMs: START_MS,
      toMs: START_MS + 7_200_000,
    };
    const { statements } = monthSummary(subjectOf(overload), "2026-05", [RATINGS], clock, before);
    expect(statements.find((one) => one.code === "month-before")?.text).toBe(
      "The month before (50 % covered) it had 0 transfers, 1 fewer.",
    );
  });

  it("compares per covered day where both months have one", () => {
    const day = (of: Sample[]) => [
      ...of,
      ...steady(2 * 1440, 60, { loadL1W: 900, source: "inverter" }, 7680),
    ];
    const twoDays = subjectOf(day(overload));
    const { statements } = monthSummary(twoDays, "2026-05", [RATINGS], clock, twoDays);
    // One transfer in 128 and 2,880 minutes: 1 / 2.09.
    expect(statements.find((one) => one.code === "month-before")?.text).toBe(
      "The month before (6.7 % covered) it had 1 transfer: 0.48 a covered day, now 0.48.",
    );
  });
});
