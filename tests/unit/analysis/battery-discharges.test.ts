import { describe, expect, it } from "vitest";
import {
  addBatteryDischarges,
  batteryCapacityOf,
  closeBatteryDischarge,
  createBatteryDischargeState,
  createBatteryDischargeSums,
} from "../../../src/analysis/battery-discharges";
import { frameOf } from "./frame-of";
import { review, type Sample, START_MS, seriesOf } from "./samples";

function capacity(samples: readonly Sample[]) {
  const frame = frameOf(samples);
  const state = createBatteryDischargeState();
  const sums = createBatteryDischargeSums();
  addBatteryDischarges(frame, state, sums, 0, frame.sourced);
  closeBatteryDischarge(state, sums);
  return batteryCapacityOf(sums);
}

/** 40 A out of 400 Ah for so many hours: 10 points an hour. */
function discharge(hours: number, fromPct = 90, fromS = 0): Sample[] {
  return Array.from({ length: hours * 6 + 1 }, (_, i) => ({
    s: fromS + i * 600,
    batteryA: 40,
    batterySocPct: fromPct - (10 * i) / 6,
  }));
}

const charging = (s: number, batterySocPct = Number.NaN): Sample => ({ s, batteryA: -50, batterySocPct });

describe("capacity by discharges (D13)", () => {
  it("is null without a current, a state of charge, or a fall of 30 points", () => {
    expect(capacity([])).toBeNull();
    expect(capacity(discharge(5).map((one) => ({ ...one, batteryA: undefined })))).toBeNull();
    expect(capacity(discharge(5).map((one) => ({ ...one, batterySocPct: undefined })))).toBeNull();
    expect(capacity(discharge(2))).toBeNull();
    expect(capacity(discharge(5).map((one) => ({ ...one, batteryA: 0 })))).toBeNull();
  });

  it("is what was drawn over what the state of charge fell, from 30 points on", () => {
    const found = capacity(discharge(3));
    expect(found?.ah).toBeCloseTo(400, 4);
    expect(found).toMatchObject({ q1Ah: null, q3Ah: null });
    expect(found?.discharges).toHaveLength(1);
    expect(found?.discharges[0]).toMatchObject({
      fromMs: START_MS,
      toMs: START_MS + 3 * 3_600_000,
      fromSocPct: 90,
      toSocPct: 60,
    });
    expect(found?.discharges[0].drawnAh).toBeCloseTo(120, 9);
  });

  it("ends where the battery charges, with the state of charge at that moment", () => {
    const samples = [...discharge(3).slice(0, -1), charging(3 * 3600, 50)];
    expect(capacity(samples)?.ah).toBeCloseTo(300, 9);
    // What comes after is another one.
    expect(capacity([...samples, ...discharge(3, 50, 3 * 3600 + 600)])?.discharges).toHaveLength(2);
  });

  it("goes on through what meters show of nothing, and counts it", () => {
    const samples = discharge(5);
    samples[6].batteryA = -1;
    expect(capacity(samples)?.discharges[0].drawnAh).toBeCloseTo(200 - 41 / 6, 9);
    samples[6].batteryA = -1.1;
    expect(capacity(samples)?.discharges[0]).toMatchObject({ fromMs: START_MS + 7 * 600_000 });
  });

  it("ends at a gap and at an unknown current, and passes over an unknown state of charge", () => {
    const gap = discharge(8);
    for (const one of gap.slice(24)) one.s += 9000;
    expect(capacity(gap)?.discharges).toHaveLength(2);
    const unknown = discharge(8);
    unknown[24].batteryA = Number.NaN;
    expect(capacity(unknown)?.discharges).toHaveLength(2);
    const holes = discharge(4).map((one, i) => (i % 6 === 0 ? one : { ...one, batterySocPct: Number.NaN }));
    expect(capacity(holes)?.ah).toBeCloseTo(400, 4);
  });

  it("has quarters from three discharges on", () => {
    const samples = [0, 1, 2].flatMap((i) => [
      ...discharge(4, 90, i * 20_000).map((one) => ({ ...one, batteryA: 40 + i })),
      charging(i * 20_000 + 15_000),
    ]);
    const found = capacity(samples);
    expect(found?.discharges).toHaveLength(3);
    expect(found?.q1Ah).toBeCloseTo(405, 4);
    expect(found?.q3Ah).toBeCloseTo(415, 4);
  });

  it("goes on over midnight, and belongs to the day of its end", () => {
    const { days, figures } = review(seriesOf(discharge(6, 90, 86_400 - 3 * 3600)));
    expect(days.map((day) => day.sums.battery.discharges.found.length)).toEqual([0, 1]);
    expect(figures.battery?.capacity?.ah).toBeCloseTo(400, 4);
    // A hold across midnight is drawn once.
    const late = review(seriesOf(discharge(6, 90, 86_400 - 3 * 3600 - 300))).figures.battery?.capacity;
    expect(late?.ah).toBeCloseTo(400, 4);
  });
});
