import { describe, expect, it } from "vitest";
import {
  addLoadDuration,
  createLoadDurationSums,
  loadDurationOf,
  mergeLoadDuration,
} from "../../../src/analysis/load-duration";
import { frameOf } from "./frame-of";
import { type Sample, steady } from "./samples";

function sumsOf(samples: readonly Sample[]) {
  const frame = frameOf(samples);
  const sums = createLoadDurationSums();
  addLoadDuration(frame, sums, 0, frame.sourced);
  return sums;
}

describe("load-duration curve (D11)", () => {
  it("is null where no load is known", () => {
    expect(loadDurationOf(createLoadDurationSums())).toBeNull();
    expect(loadDurationOf(sumsOf(steady(10, 60, { loadL1W: Number.NaN, batterySocPct: 50 })))).toBeNull();
  });

  it("is level for a constant load, and says its resolution", () => {
    const curve = loadDurationOf(sumsOf(steady(10, 60, { loadL1W: 333, loadL2W: 1000 })));
    expect(curve?.binW).toBe(10);
    expect(curve?.shares[0]).toBe(0);
    expect(curve?.shares.at(-1)).toBe(1);
    expect(curve?.l1?.heldS).toBe(600);
    expect(new Set(curve?.l1?.exceededW)).toEqual(new Set([333]));
    expect(new Set(curve?.total?.exceededW)).toEqual(new Set([1333]));
  });

  it("counts inverter and utility alike, and a missing leg in no curve of its own", () => {
    const samples: Sample[] = [
      ...steady(5, 60, { loadL1W: 4000, loadL2W: 500, source: "inverter" }),
      ...steady(5, 60, { loadL1W: 1000, loadL2W: Number.NaN, source: "utility" }, 300),
    ];
    const curve = loadDurationOf(sumsOf(samples));
    const at = (share: number) => curve?.shares.indexOf(share) ?? -1;
    expect(curve?.l1?.exceededW[at(0.5)]).toBe(4000);
    expect(curve?.l1?.exceededW[at(0.51)]).toBe(1000);
    expect(curve?.l2?.heldS).toBe(300);
    expect(curve?.total?.exceededW[at(1)]).toBe(4500);
  });

  it("has shares that ascend and loads that don't", () => {
    const samples = Array.from({ length: 500 }, (_, i) => ({ s: i * 60, loadW: (i * 37) % 5000 }));
    const curve = loadDurationOf(sumsOf(samples));
    expect(curve?.l1).toBeNull();
    const { shares } = curve ?? { shares: [] };
    const loads = curve?.total?.exceededW ?? [];
    expect(loads).toHaveLength(shares.length);
    for (let i = 1; i < shares.length; i++) {
      expect(shares[i]).toBeGreaterThan(shares[i - 1]);
      expect(loads[i]).toBeLessThanOrEqual(loads[i - 1]);
    }
  });

  it("adds days up to the curve of all of them", () => {
    const first = steady(10, 60, { loadL1W: 900, loadL2W: 100 });
    const second = steady(30, 60, { loadL1W: 300, loadL2W: 2000 });
    const sums = sumsOf(first);
    mergeLoadDuration(sums, sumsOf(second));
    const all = sumsOf([...first, ...second.map((one) => ({ ...one, s: one.s + 600 }))]);
    expect(loadDurationOf(sums)).toEqual(loadDurationOf(all));
  });
});
