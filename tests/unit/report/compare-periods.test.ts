import { describe, expect, it } from "vitest";
import { periodComparison, periodComparisonFile } from "../../../app/_tables/period-comparison";
import type { PeriodSubject } from "../../../src/analysis/period-findings";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { comparePeriods } from "../../../src/report/compare-periods";
import { comparisonWords, monthNames } from "../../../src/report/comparison-words";
import { reviewSubject } from "../../../src/report/review-subject";
import { RATINGS, review, type Sample, START_MS, seriesOf, steady } from "../analysis/samples";

/* Arithmetic by hand; no outside source. */

const NAMES = monthNames("April 2026", "May 2026");
const HOUR = 60;

/** So many hours at one minute, on the utility for the last `onUtility` minutes of each `every` hours. */
function log(
  hours: number,
  { every, onUtility, loadL1W = 900 }: { every: number; onUtility: number; loadL1W?: number },
): Sample[] {
  const samples: Sample[] = [];
  for (let hour = 0; hour < hours; hour += every) {
    const on = {
      loadL1W,
      loadL2W: 600,
      solarW: 750,
      batteryW: loadL1W + 600 - 750,
      gridW: 0,
      source: "inverter" as const,
    };
    samples.push(...steady(every * HOUR - onUtility, 60, on, hour * 3600));
    const over = { ...on, batteryW: 0, solarW: 0, gridW: loadL1W + 600, source: "utility" as const };
    samples.push(...steady(onUtility, 60, over, (hour + every) * 3600 - onUtility * 60));
  }
  return samples;
}

function subject(samples: readonly Sample[], days: number): PeriodSubject {
  const found = reviewSubject(review(seriesOf(samples), { ratings: [RATINGS] }), DEFAULT_SETTINGS);
  return { ...found, fromMs: START_MS, toMs: START_MS + days * 86_400_000 };
}

// Two days covered of four, a transfer every six hours; four days of four, one every twelve.
const before = subject(log(48, { every: 6, onUtility: 30 }), 4);
const after = subject(log(96, { every: 12, onUtility: 30 }), 4);
const figures = comparePeriods(before, after);
const figure = (code: string) => figures.find((one) => one.code === code);

describe("two periods side by side", () => {
  it("counts transfers per covered day, so that half the coverage doesn't read as half the transfers", () => {
    const transfers = figure("transfers");
    // Eight in two days, eight in four.
    expect(transfers).toMatchObject({
      before: { value: 8, perDay: 4, coveredDays: 2 },
      after: { value: 8, perDay: 2, coveredDays: 4 },
      difference: -2,
    });
  });

  it("has the time on the utility and the energies per covered day", () => {
    // 30 minutes every six hours is two hours a day; every twelve, one.
    expect(figure("on-utility")).toMatchObject({ before: { perDay: 7200 }, after: { perDay: 3600 } });
    expect(figure("load")?.before.perDay).toBeCloseTo(1500 * 24, 6);
    expect(figure("load")?.difference).toBeCloseTo(0, 6);
    // 0.75 kW of sun while on the inverter, 22 and 23 hours a day.
    expect(figure("solar")?.before.perDay).toBeCloseTo(750 * 22, 6);
    expect(figure("solar")?.after.perDay).toBeCloseTo(750 * 23, 6);
  });

  it("leaves out what neither period has", () => {
    expect(figure("dropouts")).toBeUndefined();
    expect(figure("cause-fault")).toBeUndefined();
    const bare = subject(steady(3000, 60, { source: "inverter" }), 4);
    const codes = comparePeriods(bare, bare).map(({ code }) => code);
    expect(codes).toEqual(["coverage", "transfers", "on-utility"]);
  });

  it("gives no figure a day where less than a day is covered", () => {
    const short = subject(log(12, { every: 6, onUtility: 30 }), 4);
    const transfers = comparePeriods(short, after).find(({ code }) => code === "transfers");
    expect(transfers).toMatchObject({ before: { value: 2, perDay: null }, difference: null });
  });
});

describe("two periods in words", () => {
  const words = comparisonWords(figures, NAMES);
  const text = (code: string) => words.find((one) => one.code === code)?.text;

  it("says first how far each is covered", () => {
    expect(words[0].text).toBe(
      "April 2026: covered 50 % (2.0 days), May 2026: 100 % (4.0 days); what grows with time stands per covered day.",
    );
  });

  it("says what differs, with the cause that most of it is", () => {
    expect(text("transfers")).toBe(
      "Transfers a covered day: 4.00 in April 2026, 2.00 in May 2026: 2.00 fewer.",
    );
    expect(words.find(({ code }) => code.startsWith("cause-"))?.text).toMatch(
      /^Most of what differs is .* fewer a covered day\.$/,
    );
    expect(text("near-limit-L1")).toBe("L1 near its limit: never, in either of them.");
  });

  it("says nothing more where one of them has next to nothing", () => {
    const short = subject(log(12, { every: 6, onUtility: 30 }), 4);
    expect(comparisonWords(comparePeriods(short, after), NAMES)).toEqual([
      {
        code: "coverage",
        text: "April 2026: covered 12.5 % (0.5 days), May 2026: 100 % (4.0 days). Under one day of April 2026 is too little to hold them against each other.",
      },
    ]);
  });

  it("says so where nothing differs", () => {
    const same = comparisonWords(comparePeriods(after, after), NAMES);
    expect(same.find(({ code }) => code === "transfers")?.text).toContain(": no difference.");
    expect(same.some(({ code }) => code.startsWith("cause-"))).toBe(false);
  });
});

describe("two periods as a table", () => {
  it("shows the part of a covered day with the sum in brackets, and the difference with its sign", () => {
    const { columns, rows } = periodComparison(figures, NAMES);
    const row = rows.find(({ code }) => code === "transfers")!;
    expect(columns.map((column) => column.text(row))).toEqual([
      "Transfers, a day",
      "4.00 (8)",
      "2.00 (8)",
      "−2.00",
    ]);
    const coverage = rows.find(({ code }) => code === "coverage")!;
    expect(columns[3].text(coverage).replace("\u00a0", " ")).toBe("+50.0 points");
  });

  it("has unit, sum and covered days of each in the file", () => {
    const { columns, rows } = periodComparisonFile(figures, NAMES);
    const row = rows.find(({ code }) => code === "on-utility")!;
    expect(columns.map(({ title }) => title)).toEqual([
      "Figure",
      "Unit",
      "April 2026",
      "April 2026, in all",
      "April 2026, days covered",
      "May 2026",
      "May 2026, in all",
      "May 2026, days covered",
      "Difference",
    ]);
    expect(columns.map((column) => column.value(row))).toEqual([
      "On the utility, a covered day",
      "s/d",
      7200,
      14_400,
      2,
      3600,
      14_400,
      4,
      -3600,
    ]);
  });
});
