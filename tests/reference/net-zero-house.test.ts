import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, it } from "vitest";
import { createLocalClock } from "../../src/analysis/local-time";
import type { Ratings } from "../../src/analysis/ratings";
import type { DayResult, EnergyShares, ReviewResult } from "../../src/analysis/results";
import { review, type Sample, seriesOf } from "../unit/analysis/samples";
import { openData } from "./open-data";

/**
 * NIST Net-Zero Energy Residential Test Facility, Gaithersburg MD, February 2015 to January 2016: kWh a month as
 * printed on the project's monthly pages (US Government work; usnistgov/netzero, transcribed by hand).
 *
 * The printed figures contradict each other, and this file keeps them side by side instead of mending them:
 * - generated − consumed over the year is 2128 kWh by the months' printed energies,
 * - 2138 kWh by the months' printed differences (February negative as printed, December and January taken as
 *   negative, which the pages print as "exported"),
 * - "2139 kWh more than it consumed" in NIST's summary of the year,
 *   https://www.nist.gov/el/net-zero-energy-residential-test-facility/february-12015-january-31-2016-energy-performance
 * Ten kWh of it lie in December, 556 − 749 = −193 with 183 printed. So no figure of ours can be nearer to the
 * year's than 11 kWh, which is 0.08 % of what was generated: that is the tolerance, and rounding explains no more
 * than half a kWh a figure of it.
 */
const FILE = "nist-nzertf-monthly/nzertf_2015-02_2016-01_monthly_kwh.csv";
const { paths, missing } = openData(FILE);
const YEAR_TOLERANCE_KWH = 11;
const YEAR_STATED_KWH = 2139;

const ZONE = "America/New_York";
const RATINGS: Ratings = {
  from: "2015-01-01",
  legLimitW: 6000,
  totalLimitW: 12_000,
  legLimitVa: 6000,
  totalLimitVa: 12_000,
  legNominalV: 120,
  overload: [],
  derate: [],
  hundredPercentRated: [],
  battery: {},
};

type PrintedMonth = {
  month: string;
  consumedKwh: number;
  generatedKwh: number;
  differenceKwh: number;
  direction: string;
};

describe.skipIf(missing)("a net-zero house over twelve months", { timeout: 60_000 }, () => {
  let printed: PrintedMonth[];
  let hours: number[];
  let result: ReviewResult;
  // Not at collection: where the file is missing, these tests are skipped.
  beforeAll(() => {
    printed = printedMonths(readFileSync(paths[FILE], "utf8"));
    const clock = createLocalClock(ZONE);
    const starts = [...printed.map(({ month }) => month), "2016-02"].map((month) =>
      clock.dateStartMs(`${month}-01`),
    );
    hours = printed.map((_, i) => (starts[i + 1] - starts[i]) / 3_600_000);
    // One sample a month, of the month's mean power. The last one, of nothing, ends January: a log's last sample
    // stands for the nominal interval, which is not January's length.
    const samples: Sample[] = starts.map((startMs, i) => {
      const consumedW = i < 12 ? (1000 * printed[i].consumedKwh) / hours[i] : 0;
      const generatedW = i < 12 ? (1000 * printed[i].generatedKwh) / hours[i] : 0;
      return {
        s: (startMs - starts[0]) / 1000,
        loadW: consumedW,
        solarW: generatedW,
        gridW: consumedW - generatedW,
      };
    });
    result = review(seriesOf(samples, starts[0]), { zone: ZONE, ratings: [RATINGS] });
  });
  const monthKwh = (month: string, key: keyof EnergyShares) =>
    daysOf(result.days, month).reduce((sum, day) => sum + day.shares[key], 0) / 1000;

  it("has months of 743 and 721 hours where the clocks change, and no gap between twelve such samples", () => {
    expect(hours).toEqual([672, 743, 720, 744, 720, 744, 744, 720, 744, 721, 744, 744]);
    expect(result.coverage.gaps).toEqual([]);
    for (const [i, { month }] of printed.entries()) {
      const heldS = daysOf(result.days, month).reduce((sum, day) => sum + day.heldS, 0);
      expect(heldS / 3600).toBeCloseTo(hours[i], 9);
    }
  });

  it("gives each month its energies as printed", () => {
    expect(printed.length).toBe(12);
    for (const { month, consumedKwh, generatedKwh } of printed) {
      expect(monthKwh(month, "loadWh")).toBeCloseTo(consumedKwh, 3);
      expect(monthKwh(month, "solarWh")).toBeCloseTo(generatedKwh, 3);
      const netKwh = monthKwh(month, "solarToGridWh") - monthKwh(month, "gridToLoadWh");
      expect(netKwh).toBeCloseTo(generatedKwh - consumedKwh, 3);
      expect(monthKwh(month, "lossesWh")).toBeCloseTo(0, 3);
    }
    expect(result.notes.map((note) => note.code)).not.toContain("meters-disagree");
  });

  it("finds three months of net import where the pages print two, and keeps both", () => {
    const reckoned = printed.map(({ month }) =>
      monthKwh(month, "gridToLoadWh") > monthKwh(month, "solarToGridWh") ? "imported" : "exported",
    );
    const sideBySide = printed
      .map(({ month, differenceKwh, direction }, i) => ({
        month,
        printed: `${differenceKwh} ${direction}`,
        reckoned: `${Math.round(monthKwh(month, "solarWh") - monthKwh(month, "loadWh"))} ${reckoned[i]}`,
      }))
      .filter((row) => row.printed !== row.reckoned);
    expect(printed.filter((_, i) => reckoned[i] === "imported").map(({ month }) => month)).toEqual([
      "2015-02",
      "2015-12",
      "2016-01",
    ]);
    expect(printed.filter((one) => one.direction === "imported").map(({ month }) => month)).toEqual([
      "2015-02",
      "2015-03",
    ]);
    expect(sideBySide).toEqual([
      { month: "2015-03", printed: "25 imported", reckoned: "25 exported" },
      { month: "2015-12", printed: "183 exported", reckoned: "-193 imported" },
      { month: "2016-01", printed: "528 exported", reckoned: "-528 imported" },
    ]);
  });

  it("generates over the year what NIST states more than it consumes, within 11 kWh", () => {
    const { total } = result;
    expect(total.loadWh / 1000).toBeCloseTo(11_579, 2);
    expect(total.solarWh / 1000).toBeCloseTo(13_707, 2);
    const surplusKwh = (total.solarToGridWh - total.gridToLoadWh) / 1000;
    expect(surplusKwh).toBeCloseTo(2128, 2);
    expect(Math.abs(Math.round(surplusKwh) - YEAR_STATED_KWH)).toBeLessThanOrEqual(YEAR_TOLERANCE_KWH);

    const netImport = new Set(["2015-12", "2016-01"]);
    const byDifferencesKwh = printed.reduce(
      (sum, one) => sum + (netImport.has(one.month) ? -one.differenceKwh : one.differenceKwh),
      0,
    );
    expect(byDifferencesKwh).toBe(2138);
    expect(Math.abs(byDifferencesKwh - YEAR_STATED_KWH)).toBeLessThanOrEqual(YEAR_TOLERANCE_KWH);
  });
});

function printedMonths(text: string): PrintedMonth[] {
  const [header, ...lines] = text.trim().split(/\r?\n/);
  if (header !== "month,consumed_kwh,generated_kwh,printed_difference_kwh,printed_direction") {
    throw new Error(`The months' file has other columns than the test knows: ${header}`);
  }
  return lines.map((line) => {
    const [month, consumed, generated, difference, direction] = line.split(",");
    return {
      month,
      consumedKwh: Number(consumed),
      generatedKwh: Number(generated),
      differenceKwh: Number(difference),
      direction,
    };
  });
}

function daysOf(days: readonly DayResult[], month: string): DayResult[] {
  return days.filter((day) => day.date.startsWith(month));
}
