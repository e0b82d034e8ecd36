import { expect, test } from "vitest";
import type { EnergyShares } from "../../../src/analysis/results";
import { clockOf } from "../../../src/report/format";
import { addDays, type CountedDay, monthsOfDays } from "../../../src/report/months-of-days";

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

test("no days have no months and no sum", () => {
  expect(monthsOfDays([])).toEqual([]);
  expect(addDays([])).toBeNull();
});

test("days are added up by month; of equal loadings the earliest counts", () => {
  const days = [
    day("2026-05-30", { peakLoading: 0.9 }),
    day("2026-05-31", { peakLoading: 0.9, transfers: 3 }),
    day("2026-06-01", { peakLoading: null, peakQuantity: null, peakAtMs: null }),
  ];
  const [may, june] = monthsOfDays(days);
  expect(may).toMatchObject({ month: "2026-05", days: 2, heldS: 172_800, transfers: 4, peakLoading: 0.9 });
  expect(may.peakAtMs).toBe(days[0].peakAtMs);
  expect(may.fromMs).toBe(days[0].fromMs);
  expect(may.toMs).toBe(days[1].toMs);
  expect(may.shares.loadWh).toBe(2000);
  expect(june).toMatchObject({ month: "2026-06", days: 1, peakLoading: null, peakAtMs: null });
});

test("a sum changes none of its days", () => {
  const days = [day("2026-05-30"), day("2026-05-31")];
  const before = structuredClone(days);
  monthsOfDays(days);
  expect(days).toEqual(before);
});
