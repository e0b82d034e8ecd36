import { describe, expect, it } from "vitest";
import { createOverloadGuard } from "../../../src/simulate/overload-guard";

const guardOf = () =>
  createOverloadGuard({
    legLimitW: 4000,
    totalLimitW: 8000,
    overload: [
      { upToRatio: 1.25, forS: 30 },
      { upToRatio: 2, forS: 1 },
    ],
    returnDelayS: 180,
  });

/** Seconds until it trips, or null within an hour. */
function secondsTo(l1W: number, l2W: number, guard = guardOf()) {
  for (let tick = 1; tick <= 36_000; tick++) {
    const trip = guard.carry(0.1, l1W, l2W);
    if (trip !== null) return { s: tick / 10, ...trip };
  }
  return null;
}

describe("createOverloadGuard", () => {
  it("carries the rating without a time limit", () => {
    expect(secondsTo(4000, 4000)).toBeNull();
  });

  it("carries each step of the allowance for its time", () => {
    expect(secondsTo(4400, 500)).toEqual({ s: 30, quantity: "L1", aboveRatio: 1 });
    expect(secondsTo(500, 5600)).toEqual({ s: 1, quantity: "L2", aboveRatio: 1.25 });
  });

  it("opens at once above the last step", () => {
    expect(secondsTo(8100, 0)).toEqual({ s: 0.1, quantity: "L1", aboveRatio: 2 });
  });

  it("watches the total too where it is the tighter limit", () => {
    const guard = createOverloadGuard({
      legLimitW: 4000,
      totalLimitW: 6000,
      overload: [{ upToRatio: 1.5, forS: 10 }],
      returnDelayS: 180,
    });
    expect(secondsTo(3500, 3500, guard)).toEqual({ s: 10, quantity: "total", aboveRatio: 1 });
  });

  it("remembers a half-used allowance until it has cooled", () => {
    const guard = guardOf();
    for (let s = 0; s < 20; s++) expect(guard.carry(1, 4400, 0)).toBeNull();
    for (let s = 0; s < 60; s++) expect(guard.carry(1, 1000, 0)).toBeNull();
    // 20 s used, 60 s of cooling give back 10 s of the 30.
    expect(secondsTo(4400, 0, guard)?.s).toBeCloseTo(20, 5);
    for (let s = 0; s < 180; s++) guard.rest(1);
    expect(secondsTo(4400, 0, guard)?.s).toBeCloseTo(30, 5);
  });
});
