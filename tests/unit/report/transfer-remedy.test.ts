import { describe, expect, it } from "vitest";
import { evidenceOf } from "../../../src/analysis/evidence";
import type { Transfer } from "../../../src/analysis/results";
import { TRANSFER_CAUSES } from "../../../src/analysis/series";
import { transferRemedy } from "../../../src/report/transfer-remedy";

/* The arithmetic of each sentence stands beside its test; there is no outside source. */

const PEAK = {
  quantity: "L1",
  loading: 1.15,
  shownIn: "W",
  loadW: 4600,
  limitW: 4000,
  limitVa: 4000,
  limitRatio: 1,
  atMs: 0,
  near: true,
  overloadSeenAt: 0.98,
} as const;

function transfer(over: Partial<Transfer>): Transfer {
  return {
    atMs: 0,
    returnedAtMs: 60_000,
    onUtilityS: 60,
    lowerBound: false,
    to: "utility",
    cause: "overload",
    alsoHolds: [],
    certainty: "seen",
    limiting: "L1",
    peakLoading: 1.15,
    peakAtMs: 0,
    tags: [],
    nuisance: false,
    avoidable: false,
    evidence: [evidenceOf("peak-loading", PEAK)],
    ...over,
  };
}

function legs(loading: number, meanW: number) {
  return evidenceOf("legs-at-peak", {
    leg: "L1",
    loading,
    meanLoading: meanW / 4000,
    meanW,
    limitW: 4000,
    oneLegMean: 0.95,
    atMs: 0,
  });
}

describe("what would have prevented a transfer", () => {
  it("says how much less on the full leg, and what the other had to spare", () => {
    // L1 at 4,600 W of 4,000: 600 W over. The mean of 3,100 W leaves 1,600 W on L2: 2,400 W to spare.
    const [first, ...more] = transferRemedy(transfer({ tags: ["one-leg"], evidence: [legs(1.15, 3100)] }));
    expect(first).toBe(
      "To have avoided the transfer itself: 600 W less on L1 would have left it at its limit, and L2 had 2.40 kW to spare at that moment: a circuit of that size that runs at such times, moved from L1 to L2.",
    );
    expect(more).toEqual([]);
  });

  it("names no size where the other leg hadn't room for it, or L1 was just under its limit", () => {
    // 1,400 W over; L2 at 2 × 3,800 − 5,400 = 2,200 W has 1,800 W: there is room. At a loading of 0.99 nothing is over.
    const text = (loading: number, meanW: number) =>
      transferRemedy(transfer({ tags: ["one-leg"], evidence: [legs(loading, meanW)] }))[0];
    expect(text(1.35, 3800)).toMatch(
      /^To have avoided the transfer itself: 1\.40 kW less on L1 .* L2 had 1\.80 kW to spare/,
    );
    expect(text(0.99, 3000)).toMatch(
      /a circuit that runs at such times, moved from L1 to L2\. L1 was at 3\.96 kW of its 4\.00 kW while the mean of both was 3\.00 kW\.$/,
    );
    expect(text(1.6, 3900)).toMatch(/: 2\.40 kW less on L1 .* L2 had 2\.60 kW/);
    expect(text(1.9, 3950)).toMatch(/: 3\.60 kW less on L1 .* L2 had 3\.70 kW/);
    expect(text(1.95, 4050)).toMatch(/: a circuit that runs at such times/);
  });

  it("asks for less load where both legs were full, and doesn't send anybody to the panel", () => {
    expect(transferRemedy(transfer({}))).toEqual([
      "To have avoided the transfer itself: 600 W less load on L1 at that moment, or an inverter rated for so much more; moving loads between the legs alone would not have done.",
    ]);
    const total = evidenceOf("peak-loading", { ...PEAK, quantity: "total", loading: 1.1, limitW: 8000 });
    expect(transferRemedy(transfer({ limiting: "total", evidence: [total] }))[0]).toMatch(
      /^To have avoided the transfer itself: 800 W less load in all/,
    );
    const under = evidenceOf("peak-loading", { ...PEAK, loading: 0.99 });
    expect(transferRemedy(transfer({ evidence: [under] }))).toEqual([
      "A little less load at that moment: it was just under its limit.",
    ]);
  });

  it("says of a low battery that a bigger inverter is none of it", () => {
    const low = evidenceOf("low-soc", { batterySocPct: 21, lowSocPct: 20, lowSocMarginPct: 2, atMs: 0 });
    expect(transferRemedy(transfer({ cause: "low-battery", evidence: [low] }))[0]).toMatch(
      /down to 21 %\. A bigger inverter would not have prevented it/,
    );
  });

  it("has a sentence for every cause", () => {
    for (const cause of TRANSFER_CAUSES) {
      const [first] = transferRemedy(transfer({ cause, evidence: [evidenceOf("peak-loading", PEAK)] }));
      expect(first, cause).toMatch(/^\S.*\.$/);
    }
  });
});
