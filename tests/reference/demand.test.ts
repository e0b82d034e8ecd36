import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { reviewLogs } from "../../src/cli/review-logs";
import { fileLogSource } from "../../src/ingest/file-log-source";
import { columnMap } from "../../src/site/column-map";
import { parseSite } from "../../src/site/parse-site";
import { review, type Sample, seriesOf } from "../unit/analysis/samples";

const HOUSEHOLD = resolve(
  import.meta.dirname,
  "../../../shared/datasets/uci-household/household_power_consumption_2007-02-01_02.txt",
);
const missing = !existsSync(HOUSEHOLD);
if (missing) {
  if (process.env.CI === "true")
    throw new Error("The open data sets are missing: they must lie beside the checkout.");
  console.warn("The open data sets are not beside the checkout: the household's demand is not checked.");
}

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
    const { demand, days, coverage } = found.result;
    expect(coverage.samples).toBe(2880);
    expect(days.map((day) => day.shares.loadWh)).toEqual([
      expect.closeTo(30_412.667, 1),
      expect.closeTo(27_795.6, 1),
    ]);
    // 4.541867 kW in the block from 08:30; a sliding quarter of an hour would give 4.6688 kW.
    expect(demand?.peakW).toBeCloseTo(4541.867, 2);
    expect(demand?.peakAtMs).toBe(Date.UTC(2007, 1, 1, 8, 30));
    // Load factor of both days with the block maximum; the first day alone has 0.266999 of its own mean.
    const meanW = (30_412.6667 + 27_795.6) / 48;
    expect(demand?.loadFactor).toBeCloseTo(meanW / 4541.867, 5);
    expect(demand?.heavierLegPeakA).toBeNull();
  });
});

describe("load factor", () => {
  it("is 25 % for 12 kWh in a day with a maximum of 2 kW (Pansini, Electrical Distribution Engineering)", () => {
    const samples: Sample[] = Array.from({ length: 96 }, (_, i) => ({
      s: i * 900,
      loadW: i < 24 ? 2000 : 0,
    }));
    expect(review(seriesOf(samples)).demand?.loadFactor).toBeCloseTo(0.25, 12);
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
    ).imbalance;

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
    expect(review(seriesOf(samples)).imbalance?.maxNeutralA).toBeCloseTo(28, 9);
  });
});
