import { describe, expect, it } from "vitest";
import { RATINGS, review, type Sample, seriesOf, steady } from "./samples";

const QUIET = { loadL1W: 800, loadL2W: 600 };

/** Twenty samples on inverter, `utility` on utility, ten back; `changes` by sample, the transfer's being 0. */
function around(
  intervalS: number,
  changes: { readonly [sample: number]: Partial<Sample> },
  values: Partial<Sample> = {},
  utility = 30,
): Sample[] {
  const samples: Sample[] = [
    ...steady(20, intervalS, { ...QUIET, ...values, source: "inverter" }),
    ...steady(utility, intervalS, { ...QUIET, ...values, source: "utility" }, 20 * intervalS),
    ...steady(10, intervalS, { ...QUIET, ...values, source: "inverter" }, (20 + utility) * intervalS),
  ];
  for (const [sample, change] of Object.entries(changes)) Object.assign(samples[20 + Number(sample)], change);
  return samples;
}

function transferOf(samples: readonly Sample[], options: Parameters<typeof review>[1] = {}) {
  return review(seriesOf(samples), options).transfers[0];
}

/** Cause and certainty where the overload lies at that sample, the transfer's being 0. */
function overloadAt(sample: number, intervalS: number): [cause: string, certainty: string] {
  const { cause, certainty } = transferOf(around(intervalS, { [sample]: { loadL1W: 4200 } }));
  return [cause, certainty];
}

const SEEN = ["overload", "seen"];
const INFERRED = ["overload", "inferred"];

describe("the window of a cause (D6)", () => {
  it("reaches back to the sample a minute before, and to the one an interval later", () => {
    expect(overloadAt(-6, 10)).toEqual(INFERRED);
    expect(overloadAt(-7, 10)[0]).not.toBe("overload");
    expect(overloadAt(1, 10)).toEqual(SEEN);
    expect(overloadAt(2, 10)[0]).not.toBe("overload");
  });

  it("reaches back three intervals where those are more than a minute", () => {
    expect(overloadAt(-3, 60)).toEqual(INFERRED);
    expect(overloadAt(-4, 60)[0]).not.toBe("overload");
  });

  it("doesn't reach over a gap, on either side", () => {
    const samples = around(10, { [-3]: { loadL1W: 4200 } });
    const early = samples.map((one, i) => (i >= 18 ? { ...one, s: one.s + 21 } : one));
    expect(transferOf(samples).cause).toBe("overload");
    expect(transferOf(early).cause).toBe("unexplained");
    const after = around(60, { 1: { loadL1W: 4200 } });
    const late = after.map((one, i) => (i >= 21 ? { ...one, s: one.s + 121 } : one));
    expect(transferOf(after).cause).toBe("overload");
    expect(transferOf(late).cause).toBe("unexplained");
  });

  it("counts an overload as seen next to the transfer or within ten seconds of it", () => {
    expect(overloadAt(-1, 60)).toEqual(SEEN);
    expect(overloadAt(-2, 60)).toEqual(INFERRED);
    expect(overloadAt(1, 60)).toEqual(SEEN);
    expect(overloadAt(-2, 5)).toEqual(SEEN);
    expect(overloadAt(-3, 5)).toEqual(INFERRED);
  });

  it("takes the first of equal peaks, and the total before a leg", () => {
    const one = transferOf(around(10, { [-2]: { loadL1W: 4200 }, 0: { loadL1W: 4200 } }));
    expect(one.peakAtMs).toBe(seriesOf([{ s: 180 }]).timesMs[0]);
    const both = transferOf(around(10, { 0: { loadL1W: 4000, loadL2W: 4000 } }));
    expect(both.limiting).toBe("total");
  });

  it("sees a leg rise at the transfer's sample or the next one, in chunks of one row too", () => {
    for (const chunk of [1, 60]) {
      expect(transferOf(around(10, { 1: { loadL1W: 1800 } }), { chunk }).cause).toBe("load-step");
      expect(transferOf(around(10, { 0: { loadL2W: 1600 } }), { chunk }).cause).toBe("load-step");
      expect(transferOf(around(10, { 2: { loadL1W: 1800 } }), { chunk }).cause).toBe("unexplained");
      expect(transferOf(around(10, { [-1]: { loadL1W: 1800 } }), { chunk }).cause).toBe("unexplained");
    }
  });
});

describe("the allowance used (D7)", () => {
  const tags = (samples: readonly Sample[], options: Parameters<typeof review>[1] = {}) =>
    transferOf(samples, options).tags;

  it("is that of the smallest step that covers the loading, itself included", () => {
    const loaded = (watts: number) => ({
      [-2]: { loadL1W: watts },
      [-1]: { loadL1W: watts },
      0: { loadL1W: watts },
    });
    expect(tags(around(1, loaded(5000)))).toContain("within-allowance");
    expect(tags(around(1, loaded(5001)))).not.toContain("within-allowance");
    expect(tags(around(1, loaded(8001)))).not.toContain("within-allowance");
  });

  it("counts what one interval could have hidden", () => {
    const overload = [{ upToRatio: 1.25, forS: 30 }];
    const held = (intervalS: number) =>
      tags(around(intervalS, { 0: { loadL1W: 4600 } }), { ratings: [{ ...RATINGS, overload }] });
    expect(held(29)).toContain("within-allowance");
    expect(held(30)).not.toContain("within-allowance");
  });

  it("isn't reckoned where the peak comes after the transfer", () => {
    expect(tags(around(1, { 1: { loadL1W: 4600 } }))).not.toContain("within-allowance");
    expect(tags(around(1, { 0: { loadL1W: 4600 } }))).toContain("within-allowance");
  });
});

describe("stacked starts (D7)", () => {
  const stacked = (rises: readonly (readonly [sample: number, watts: number])[], intervalS = 10) => {
    const changes: { [sample: number]: Partial<Sample> } = {};
    let watts = 800;
    let next = 0;
    for (let sample = -20; sample < 10; sample++) {
      if (next < rises.length && rises[next][0] === sample) watts += rises[next++][1];
      changes[sample] = { loadL1W: watts };
    }
    return transferOf(around(intervalS, changes)).tags?.includes("stacked-starts");
  };

  it("are two rises of a tenth of the limit or more within two minutes, both included", () => {
    expect(
      stacked([
        [-12, 400],
        [0, 2800],
      ]),
    ).toBe(true);
    expect(
      stacked([
        [-13, 400],
        [0, 2800],
      ]),
    ).toBe(false);
    expect(
      stacked([
        [-12, 399],
        [0, 2800],
      ]),
    ).toBe(false);
    expect(stacked([[0, 3200]])).toBe(false);
  });

  it("aren't looked for where the interval is above a minute", () => {
    expect(
      stacked(
        [
          [-1, 400],
          [0, 2800],
        ],
        60,
      ),
    ).toBe(true);
    expect(
      stacked(
        [
          [-1, 400],
          [0, 2800],
        ],
        61,
      ),
    ).toBe(false);
  });
});
