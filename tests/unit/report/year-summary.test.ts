import { expect, test } from "vitest";
import type { EnergyShares } from "../../../src/analysis/results";
import { clockOf } from "../../../src/report/format";
import type { CountedDay } from "../../../src/report/months-of-days";
import { yearSummary } from "../../../src/report/year-summary";

const clock = clockOf("America/Denver");
const NO_SHARES: EnergyShares = {
  loadWh: 0,
  solarWh: 0,
  solarToLoadWh: 0,
  batteryToLoadWh: 0,
  gridToLoadWh: 0,
  generatorToLoadWh: 0,
  unattributedWh: 0,
  solarToBatteryWh: 0,
  gridToBatteryWh: 0,
  generatorToBatteryWh: 0,
  solarToGridWh: 0,
  batteryToGridWh: 0,
  lossesWh: 0,
  suppliedWh: 0,
  batteryToLoadOfSolarWh: 0,
};

function day(date: string, given: Partial<CountedDay> = {}): CountedDay {
  const fromMs = clock.dateStartMs(date);
  return {
    date,
    fromMs,
    toMs: fromMs + 86_400_000,
    samples: 1440,
    heldS: 86_400,
    sharesHeldS: 86_400,
    shares: {
      ...NO_SHARES,
      loadWh: 1000,
      solarToLoadWh: 500,
      batteryToLoadWh: 400,
      gridToLoadWh: 100,
    },
    onS: { inverter: 64_800, utility: 21_600, generator: 0, none: 0, unknown: 0 },
    peakLoading: 0.5,
    peakQuantity: "L1",
    peakAtMs: fromMs + 3_600_000,
    peakLoadingL1: 0.5,
    peakLoadingL2: 0.4,
    peakLoadingTotal: 0.4,
    transfers: 1,
    dropouts: 0,
    ...given,
  };
}

// Common practice, no source: the sentences are this program's own.
test("a year is told with its figures, their units and what is covered", () => {
  const days = [day("2026-05-30", { peakLoading: 1.084 }), day("2026-05-31", { dropouts: 1 })];
  expect(yearSummary("2026", days, 365, clock)).toEqual([
    "In 2026 the loads went over to the utility or a generator twice and lost supply once; the inverter carried them 75 % of the time that is known.",
    "The greatest loading was 1.08, of L1 on 30 May.",
    "The loads took 2.0 kWh: 50 % from the sun directly, 40 % from the battery, 10 % from the grid.",
    "The log has samples of 2 days of 365, 2 d in all.",
  ]);
});

test("a year says what its log can't tell", () => {
  expect(yearSummary("2026", [], 365, clock)).toEqual(["There are no samples of 2026."]);
  const blind = day("2026-05-30", {
    transfers: 0,
    onS: { inverter: 0, utility: 0, generator: 0, none: 0, unknown: 86_400 },
    peakLoading: null,
    peakQuantity: null,
    peakAtMs: null,
    shares: NO_SHARES,
  });
  expect(yearSummary("2026", [blind], 365, clock).slice(0, 3)).toEqual([
    "Whether the inverter carried the loads in 2026 can't be told from this log.",
    "Loading: not in this log, it has no load.",
    "Energy of the loads: not in this log.",
  ]);
  const quiet = day("2026-05-30", { transfers: 0 });
  expect(yearSummary("2026", [quiet], 365, clock)[0]).toBe(
    "In 2026 no transfer began; the inverter carried the loads 75 % of the time that is known.",
  );
});
