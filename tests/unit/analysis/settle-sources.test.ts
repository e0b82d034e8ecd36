import { describe, expect, it } from "vitest";
import { review, type Sample, START_MS, seriesOf, steady } from "./samples";

const LOADED = { loadL1W: 900, loadL2W: 200, loadL1V: 120, loadL2V: 120 };
const DEAD = { loadL1W: 0, loadL2W: 0, loadL1V: 3, loadL2V: 2 };

/** Dropouts of a log without a source column: a minute loaded, half a minute dead, a minute loaded. */
function dropouts(before: Partial<Sample>, during: Partial<Sample>, gapS = 0): number[] {
  const samples = [
    ...steady(6, 10, { ...LOADED, ...before }),
    ...steady(3, 10, { ...DEAD, ...during }, 60 + gapS),
    ...steady(6, 10, LOADED, 90 + gapS),
  ];
  return review(seriesOf(samples)).dropouts.map(({ atMs }) => (atMs - START_MS) / 1000);
}

describe("unknown between equal states (D5)", () => {
  const unknownS = (samples: readonly Sample[]) =>
    review(seriesOf(samples)).days.reduce((sum, day) => sum + day.onS.unknown, 0);
  const stretch = (gapS: number): Sample[] => [
    ...steady(3, 60, { loadW: 500, source: "inverter" }),
    ...steady(2, 60, { loadW: 500, source: "unknown" }, 180),
    ...steady(2, 60, { loadW: 500, source: "unknown" }, 300 + gapS),
    ...steady(3, 60, { loadW: 500, source: "inverter" }, 420 + gapS),
  ];

  it("takes that state, but not where a gap lies in it, however short it is in all", () => {
    expect(unknownS(stretch(0))).toBe(0);
    expect(unknownS(stretch(121))).toBe(240);
  });
});

describe("a dropout without a source column (D5)", () => {
  it("wants a leg without its voltage, not only a load that falls away", () => {
    expect(dropouts({}, {})).toEqual([60]);
    expect(dropouts({}, { loadL1V: 120, loadL2V: 120 })).toEqual([]);
    expect(dropouts({}, { loadL1V: 59.9, loadL2V: 120 })).toEqual([60]);
    expect(dropouts({}, { loadL1V: 60, loadL2V: 60 })).toEqual([]);
  });

  it("wants a load of a tenth of the limit before, and less than a fiftieth then", () => {
    expect(dropouts({ loadL1W: 600 }, {})).toEqual([60]);
    expect(dropouts({ loadL1W: 599 }, {})).toEqual([]);
    expect(dropouts({}, { loadL1W: 159 })).toEqual([60]);
    expect(dropouts({}, { loadL1W: 160 })).toEqual([]);
  });

  it("doesn't go by what stood before a gap", () => {
    expect(dropouts({}, {}, 31)).toEqual([]);
  });
});
