import { describe, expect, it } from "vitest";
import type { Transfer } from "../../../src/analysis/results";
import { RATINGS, review, type Sample, seriesOf, steady } from "./samples";

const DAY_S = 86_400;
const QUIET: Partial<Sample> = { loadL1W: 800, loadL2W: 600 };

type Options = Parameters<typeof review>[1];

/** Ten samples on inverter, `utility` on utility, ten back; `during` is what the first one on utility shows. */
function around(
  during: Partial<Sample>,
  { always = QUIET, intervalS = 10, utility = 30, s = 0 } = {},
): Sample[] {
  const samples = [
    ...steady(10, intervalS, { ...always, source: "inverter" }, s),
    ...steady(utility, intervalS, { ...always, source: "utility" }, s + 10 * intervalS),
    ...steady(10, intervalS, { ...always, source: "inverter" }, s + (10 + utility) * intervalS),
  ];
  Object.assign(samples[10], during);
  return samples;
}

function decided(samples: readonly Sample[], options: Options = {}): Transfer {
  return review(seriesOf(samples), options).transfers[0];
}

const cause = (during: Partial<Sample>, options: Options = {}) => decided(around(during), options).cause;

describe("the rules of a cause, each at its own limit (D6)", () => {
  it("are a fault before everything else, with what it means", () => {
    const both = around({ loadL1W: 4600, fault: 1 }).map((one) => ({ fault: 0, ...one }));
    const plain = decided(both, { faultWords: [{ code: "E7", meaning: null }] });
    expect(plain).toMatchObject({ cause: "fault", certainty: "seen", alsoHolds: ["overload", "load-step"] });
    const meant = decided(both, { faultWords: [{ code: "E7", meaning: "overload" }] });
    expect(meant).toMatchObject({ cause: "overload", alsoHolds: ["load-step"] });
  });

  it("are an overload before a current limit, that before heat, that before a low battery", () => {
    const options = { ratings: [{ ...RATINGS, maxTempC: 75 }] };
    const all = { loadL1W: 3920, batteryA: 196, batteryV: 48, inverterTempC: 75, batterySocPct: 22 };
    const order = ["overload", "dc-limit", "over-temperature", "low-battery", "load-step"];
    expect(decided(around(all), options)).toMatchObject({ cause: order[0], alsoHolds: order.slice(1) });
    const { loadL1W: _, ...unloaded } = all;
    const { batteryA: __, ...cool } = unloaded;
    expect(decided(around(unloaded), options)).toMatchObject({
      cause: order[1],
      alsoHolds: order.slice(2, 4),
    });
    expect(decided(around(cool), options)).toMatchObject({ cause: order[2], alsoHolds: order.slice(3, 4) });
  });

  it("are an overload seen from 0.98 on", () => {
    expect(cause({ loadL1W: 3920 })).toBe("overload");
    expect(cause({ loadL1W: 3919 })).toBe("load-step");
  });

  it("are a current limit from 0.98 of the rating on, where one is given", () => {
    expect(cause({ batteryA: 196, batteryV: 52 })).toBe("dc-limit");
    expect(cause({ batteryA: 195.9, batteryV: 52 })).toBe("unexplained");
    const battery = { ...RATINGS.battery, maxDischargeA: undefined };
    expect(cause({ batteryA: 500, batteryV: 52 }, { ratings: [{ ...RATINGS, battery }] })).toBe(
      "unexplained",
    );
  });

  it("are heat from maxTempC on", () => {
    const ratings = [{ ...RATINGS, maxTempC: 75 }];
    expect(cause({ inverterTempC: 75 }, { ratings })).toBe("over-temperature");
    expect(cause({ inverterTempC: 74.9 }, { ratings })).toBe("unexplained");
    expect(cause({ inverterTempC: 90 })).toBe("unexplained");
  });

  it("are a low battery up to two points, or two tenths of a volt, above its limit", () => {
    expect(cause({ batterySocPct: 22 })).toBe("low-battery");
    expect(cause({ batterySocPct: 22.1 })).toBe("unexplained");
    expect(cause({ batteryV: 48.19 })).toBe("low-battery");
    expect(cause({ batteryV: 48.21 })).toBe("unexplained");
    // Volts count where the state of charge says nothing of it.
    expect(cause({ batteryV: 47, batterySocPct: 60 })).toBe("low-battery");
  });

  it("are a motor start up to five seconds or by a peak channel, else a load step", () => {
    const rise = (intervalS: number, during: Partial<Sample>) =>
      decided(around(during, { intervalS, utility: Math.ceil(600 / intervalS) })).cause;
    expect(rise(5, { loadL1W: 1800 })).toBe("motor-start");
    expect(rise(5.001, { loadL1W: 1800 })).toBe("load-step");
    expect(rise(60, { loadL1W: 1800, loadL2PeakW: 3920 })).toBe("motor-start");
    expect(rise(60, { loadL1W: 1799, loadL2PeakW: 3919 })).toBe("unexplained");
  });

  it("are an inferred overload where the return fits and 0.70 was reached, both within their limits", () => {
    const back = (watts: number, utility: number, intervalS = 10) =>
      decided(around({}, { always: { loadL1W: watts, loadL2W: 600 }, utility, intervalS })).cause;
    expect(back(2800, 18)).toBe("overload");
    expect(back(2799, 18)).toBe("unexplained");
    expect([back(2800, 24), back(2800, 12)]).toEqual(["overload", "overload"]);
    expect([back(2800, 25), back(2800, 11)]).toEqual(["unexplained", "unexplained"]);
    // 180 s ± 2 · 50 s, and not ± 60 s.
    expect([back(2800, 5, 50), back(2800, 6, 50)]).toEqual(["overload", "unexplained"]);
  });
});

describe("a schedule (D6)", () => {
  /** Transfers a minute and a day apart from one another, at a local clock time, in s. */
  const onDays = (
    days: readonly number[],
    {
      clockS = 61_200,
      offsets = [] as readonly number[],
      during = {} as Partial<Sample>,
      intervalS = 60,
    } = {},
  ) =>
    days.flatMap((day, i) =>
      around(during, {
        intervalS,
        utility: 10,
        s: day * DAY_S + clockS - 10 * intervalS + (offsets[i] ?? 0),
      }),
    );
  const causes = (samples: readonly Sample[], startMs?: number) =>
    review(seriesOf(samples, startMs)).transfers.map((one) => one.cause);
  const SCHEDULED = Array<string>(4).fill("scheduled");

  it("wants three other days", () => {
    expect(causes(onDays([0, 1, 2, 3]))).toEqual(SCHEDULED);
    expect(causes(onDays([0, 1, 2]))).not.toContain("scheduled");
  });

  it("doesn't take another transfer of the same day for another day", () => {
    const brief = (day: number, clockS: number) => around({}, { utility: 10, s: day * DAY_S + clockS });
    const samples = [brief(0, 61_200), brief(0, 61_500), brief(1, 61_200), brief(2, 61_200)].flat();
    expect(causes(samples)).toEqual(Array(4).fill("unexplained"));
    expect(causes([...samples, ...brief(3, 61_200)])).toEqual(Array(5).fill("scheduled"));
  });

  it("wants the clock time within five minutes, both included", () => {
    expect(causes(onDays([0, 1, 2, 3], { offsets: [0, 300, 300, 300] }))[0]).toBe("scheduled");
    expect(causes(onDays([0, 1, 2, 3], { offsets: [0, 300, 300, 301] }))[0]).toBe("unexplained");
    expect(causes(onDays([0, 1, 2, 3], { offsets: [300, 0, 0, 0] }))[0]).toBe("scheduled");
  });

  it("wants it within two intervals where those are longer", () => {
    const offsets = [0, 400, 400, 400];
    expect(causes(onDays([0, 1, 2, 3], { offsets, intervalS: 200 }))[0]).toBe("scheduled");
    expect(causes(onDays([0, 1, 2, 3], { offsets: [0, 400, 400, 401], intervalS: 200 }))[0]).toBe(
      "unexplained",
    );
  });

  it("looks round midnight", () => {
    // 23:58 on the first day, 00:02 on those after.
    const samples = onDays([0, 2, 3, 4], { clockS: 120, offsets: [DAY_S - 240, 0, 0, 0] });
    expect(causes(samples)).toEqual(SCHEDULED);
  });

  it("looks at fourteen days on either side, not at the fifteenth", () => {
    expect(causes(onDays([0, 13, 14, 12]).sort((a, b) => a.s - b.s))[0]).toBe("scheduled");
    expect(causes(onDays([0, 13, 14, 15]))[0]).toBe("unexplained");
    expect(causes(onDays([0, 1, 2, 14]))[3]).toBe("scheduled");
  });

  it("wants two fifths of the other days that have samples", () => {
    const others = (count: number) =>
      Array.from({ length: count }, (_, i) =>
        steady(10, 60, { ...QUIET, source: "inverter" } as Sample, (i + 5) * DAY_S + 40_000),
      ).flat();
    const four = onDays([0, 1, 2, 3, 4]);
    // Four other days of ten, then of eleven.
    expect(causes([...four, ...others(6)])[0]).toBe("scheduled");
    expect(causes([...four, ...others(7)])[0]).toBe("unexplained");
  });

  it("counts no transfers with an overload, and none in a gap", () => {
    const overloaded = onDays([0, 1, 2, 3]);
    Object.assign(overloaded[30 + 10], { loadL1W: 3920 });
    expect(causes(overloaded)).toEqual(["unexplained", "overload", "unexplained", "unexplained"]);
    const holed = onDays([0, 1, 2, 3]);
    holed.splice(30 + 5, 5);
    expect(causes(holed)).toEqual(["unexplained", "in-gap", "unexplained", "unexplained"]);
  });

  it("is none for dropouts", () => {
    const samples = onDays([0, 1, 2, 3]).map((one) =>
      one.source === "utility" ? { ...one, source: "none" as const } : one,
    );
    expect(review(seriesOf(samples)).dropouts.map((one) => one.cause)).toEqual(Array(4).fill("unexplained"));
  });
});

describe("tags, each at its own limit (D7)", () => {
  const tags = (samples: readonly Sample[], options: Options = {}) => decided(samples, options).tags;

  it("are one leg's up to a mean of 0.95, never the total's", () => {
    expect(tags(around({ loadL1W: 4200, loadL2W: 3400 }))).toContain("one-leg");
    expect(tags(around({ loadL1W: 4200, loadL2W: 3401 }))).not.toContain("one-leg");
    const ratings = [{ ...RATINGS, totalLimitW: 6000, totalLimitVa: 6000 }];
    expect(tags(around({ loadL1W: 3300, loadL2W: 3000 }), { ratings })).not.toContain("one-leg");
  });

  it("are given for an overload, a motor start or a load step alone", () => {
    expect(tags(around({ loadL1W: 1800 }))).toContain("one-leg");
    expect(tags(around({ batterySocPct: 20, loadL1W: 1800 }))).toEqual([]);
  });

  it("say that it came again less than ten minutes after the last return", () => {
    const again = (apartS: number) =>
      review(
        seriesOf([
          ...steady(10, 10, { ...QUIET, source: "inverter" }),
          ...steady(10, 10, { ...QUIET, source: "utility" }, 100),
          ...steady(apartS / 10, 10, { ...QUIET, source: "inverter" }, 200),
          ...steady(10, 10, { ...QUIET, loadL1W: 4600, source: "utility" }, 200 + apartS),
        ]),
      ).transfers[1].tags;
    expect(again(590)).toContain("repeat");
    expect(again(600)).not.toContain("repeat");
  });

  it("make it avoidable where either of two holds", () => {
    const ratings = [{ ...RATINGS, overload: [] }];
    const of = (samples: readonly Sample[]) => decided(samples, { ratings });
    expect(of(around({ loadL1W: 4600 }))).toMatchObject({ tags: ["one-leg"], avoidable: true });
    const both = around({ loadL1W: 4600, loadL2W: 4600 });
    expect(of(both)).toMatchObject({ tags: [], avoidable: false });
    for (const one of both.slice(5, 10)) Object.assign(one, { loadL1W: 2000, loadL2W: 2000 });
    expect(of(both)).toMatchObject({ tags: ["stacked-starts"], avoidable: true });
  });
});
