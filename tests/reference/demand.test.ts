import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { reviewLogs } from "../../src/cli/review-logs";
import { fileLogSource } from "../../src/ingest/file-log-source";
import { columnMap } from "../../src/site/column-map";
import { parseSite } from "../../src/site/parse-site";
import { review, type Sample, START_MS, seriesOf, steady } from "../unit/analysis/samples";
import { openData } from "./open-data";

const FILE = "uci-household/household_power_consumption_2007-02-01_02.txt";
const { paths, missing } = openData(FILE);
const HOUSEHOLD = paths[FILE];

/**
 * Individual household electric power consumption, UCI Machine Learning Repository (CC BY 4.0), 1 and 2 February
 * 2007. The sums of watt-hours are held by somebody else too: phdinds-aim/time_series_handbook prints the same
 * rest of 15711.67 and 16101.6 Wh; the demand figures are an independent recomputation with pandas.
 */
describe.skipIf(missing)("demand of an open household", () => {
  it("finds the clock-aligned 15-minute maximum, not the sliding one", async () => {
    const site = parseSite({
      version: 1,
      name: "Open household",
      timezone: "UTC",
      ratings: [{ from: "2007-01-01", legLimitW: 6000 }],
    });
    const map = columnMap({
      version: 1,
      time: { column: ["Date", "Time"], format: "d/M/yyyy HH:mm:ss" },
      channels: { loadW: { column: "Global_active_power", unit: "kW" } },
      missing: ["", "?"],
    });
    if (!site.ok || map === null) throw new Error("the test's own site or map is refused");
    const found = await reviewLogs(
      site.site,
      [{ source: await fileLogSource(HOUSEHOLD), map, guessed: new Set() }],
      { receivedAtMs: Date.UTC(2026, 0, 1) },
    );
    if (found.refused) throw new Error(found.verdict.problem.what);
    const { days, coverage, figures } = found.result;
    const { demand } = figures;
    expect(coverage.samples).toBe(2880);
    expect(days.map((day) => day.shares.loadWh)).toEqual([
      expect.closeTo(30_412.667, 1),
      expect.closeTo(27_795.6, 1),
    ]);
    // 4.541867 kW in the block from 08:30: a demand is of clock-aligned intervals, as a utility's meter takes it.
    expect(demand?.peakW).toBeCloseTo(4541.867, 2);
    expect(demand?.peakAtMs).toBe(Date.UTC(2007, 1, 1, 8, 30));
    expect(demand?.loadFactor).toBeCloseTo(0.266999, 6);
    expect(demand?.heavierLegPeakA).toBeNull();
  });

  it("would find 4.6688 kW by a quarter of an hour that slides", () => {
    const kilowatts = readFileSync(HOUSEHOLD, "latin1")
      .trim()
      .split(/\r?\n/)
      .slice(1)
      .map((line) => Number(line.split(";")[2]));
    let greatest = 0;
    for (let i = 15; i <= kilowatts.length; i++) {
      const mean = kilowatts.slice(i - 15, i).reduce((sum, value) => sum + value, 0) / 15;
      greatest = Math.max(greatest, mean);
    }
    expect(greatest).toBeCloseTo(4.6688, 6);
  });
});

describe("load factor", () => {
  it("is 25 % for 12 kWh in a day with a maximum of 2 kW (Pansini, Electrical Distribution Engineering)", () => {
    const samples: Sample[] = Array.from({ length: 96 }, (_, i) => ({
      s: i * 900,
      loadW: i < 24 ? 2000 : 0,
    }));
    expect(review(seriesOf(samples)).figures.demand?.loadFactor).toBeCloseTo(0.25, 12);
  });

  // Inputs of http://www.verdescamposfm.com.br/maximum-and-average-demand/; the quotient is arithmetic.
  it("is 0.4152 for 63.18 kWh in a day with a 15-minute maximum of 6.34 kW at 13:15", () => {
    const restW = (63_180 - 6340 / 4) / (95 / 4);
    const samples = steady(96, 900, { loadW: restW }).map((one) =>
      one.s === 13.25 * 3600 ? { ...one, loadW: 6340 } : one,
    );
    const { demand } = review(seriesOf(samples)).figures;
    expect(demand?.peakW).toBe(6340);
    expect(demand?.peakAtMs).toBe(START_MS + 13.25 * 3_600_000);
    expect(demand?.loadFactor).toBeCloseTo(0.4152, 4);
  });

  // Inputs of https://www.askmehelpdesk.com/printthread.php?t=734141, hours 1 to 24; the figures are arithmetic.
  it("is 0.649573 for a feeder's table of 24 hours, with 1950 kW at 17:00", () => {
    const at = (table: readonly (readonly [upTo: number, kw: number])[], hour: number) =>
      table.find(([upTo]) => hour <= upTo)?.[1] ?? Number.NaN;
    const residential = [
      [6, 250],
      [7, 350],
      [8, 450],
      [11, 550],
      [16, 600],
      [17, 650],
      [18, 750],
      [19, 900],
      [21, 1100],
      [22, 900],
      [23, 700],
      [24, 250],
    ] as const;
    const commercial = [
      [7, 300],
      [8, 400],
      [9, 600],
      [13, 1100],
      [17, 1300],
      [18, 900],
      [21, 500],
      [24, 300],
    ] as const;
    const lights = [
      [6, 100],
      [19, 0],
      [24, 100],
    ] as const;
    // In W for kW: a day of hours, the last one standing for 24:00.
    const samples = Array.from({ length: 24 }, (_, i) => ({
      s: i * 3600,
      loadW: at(residential, i + 1) + at(commercial, i + 1) + at(lights, i + 1),
    }));
    const { demand } = review(seriesOf(samples)).figures;
    expect(demand?.peakW).toBe(1950);
    expect(demand?.peakAtMs).toBe(START_MS + 16 * 3_600_000);
    expect(demand?.loadFactor).toBeCloseTo(0.649573, 6);
  });
});

/** Identities and examples of split-phase supply; the sum of wire currents: Wikipedia, "Split-phase electric power". */
describe("neutral and imbalance", () => {
  const at = (l1A: number, l2A: number) =>
    review(
      seriesOf(
        Array.from({ length: 10 }, (_, i) => ({
          s: i * 60,
          loadL1A: l1A,
          loadL2A: l2A,
          source: "inverter" as const,
        })),
      ),
    ).figures.imbalance;

  it.each([
    [60, 40, 20, 0.2],
    [25, 25, 0, 0],
    [83.33, 0, 83.33, 1],
  ])(
    "gives for %d A and %d A a neutral current of %d A and an imbalance share of %d",
    (l1, l2, neutral, share) => {
      const imbalance = at(l1, l2);
      expect(imbalance?.maxNeutralA).toBeCloseTo(neutral, 4);
      expect(imbalance?.meanShare).toBeCloseTo(share, 6);
      // I1 + I2 + |I1 − I2| = 2 max(I1, I2)
      expect(l1 + l2 + (imbalance?.maxNeutralA ?? Number.NaN)).toBeCloseTo(2 * Math.max(l1, l2), 4);
    },
  );

  it("shows nothing for no load at all", () => {
    expect(at(0, 0)?.meanShare).toBeNull();
  });

  it("gives a lower bound where power factors differ: 7200 W against 3840 W on 120 V is 28 A, in truth 36.9 A", () => {
    const samples: Sample[] = Array.from({ length: 10 }, (_, i) => ({
      s: i * 60,
      loadL1W: 7200,
      loadL2W: 3840,
    }));
    expect(review(seriesOf(samples)).figures.imbalance?.maxNeutralA).toBeCloseTo(28, 9);
  });
});
