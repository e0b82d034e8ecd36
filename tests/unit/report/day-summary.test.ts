import { describe, expect, test } from "vitest";
import { evidenceOf } from "../../../src/analysis/evidence";
import type { DayResult, EnergyShares, Transfer } from "../../../src/analysis/results";
import { type DaySubject, daySummary } from "../../../src/report/day-summary";
import { clockOf } from "../../../src/report/format";
import { RATINGS } from "../analysis/samples";

// Common practice, no source: the sentences are this program's own; their figures are those of definitions D1 to D10.

const clock = clockOf("America/Denver");
const FROM = clock.dateStartMs("2026-05-14");
const TO = FROM + 86_400_000;
const at = (hour: number, minute = 0, second = 0) => FROM + ((hour * 60 + minute) * 60 + second) * 1000;

const SHARES: EnergyShares = {
  loadWh: 24_000,
  solarWh: 30_000,
  solarToLoadWh: 12_000,
  batteryToLoadWh: 9000,
  gridToLoadWh: 3000,
  generatorToLoadWh: 0,
  unattributedWh: 0,
  solarToBatteryWh: 10_000,
  gridToBatteryWh: 0,
  generatorToBatteryWh: 0,
  solarToGridWh: 0,
  batteryToGridWh: 0,
  lossesWh: 800,
  suppliedWh: 40_000,
  batteryToLoadOfSolarWh: 8000,
};

const DAY: DayResult = {
  date: "2026-05-14",
  fromMs: FROM,
  toMs: TO,
  samples: 86_400,
  heldS: 86_400,
  sharesHeldS: 86_400,
  shares: SHARES,
  onS: { inverter: 86_400, utility: 0, generator: 0, none: 0, unknown: 0 },
  peakLoading: 1.08,
  peakQuantity: "L1",
  peakAtMs: at(18, 2, 33),
  peakLoadingL1: 1.08,
  peakLoadingL2: 0.5,
  peakLoadingTotal: 0.7,
};

const SUBJECT: DaySubject = {
  fromMs: FROM,
  toMs: TO,
  nominalS: 1,
  day: DAY,
  transfers: [],
  dropouts: [],
  nearLimit: [],
  imbalance: [],
  sources: [{ fromMs: FROM, toMs: TO, source: "inverter" }],
  gaps: [],
  peaks: {
    l1W: { value: 4320, atMs: at(18, 2, 33) },
    l2W: { value: 2000, atMs: at(7, 30) },
    loadW: { value: 5600, atMs: at(18, 2, 33) },
    socPct: { value: 23, atMs: at(6, 41, 5) },
    firstSocPct: 71,
    lastSocPct: 80.4,
  },
};

function transfer(atMs: number, given: Partial<Transfer> = {}): Transfer {
  return {
    atMs,
    returnedAtMs: atMs + 360_000,
    onUtilityS: 360,
    lowerBound: false,
    to: "utility",
    cause: "overload",
    alsoHolds: [],
    certainty: "seen",
    limiting: "L1",
    peakLoading: 1.08,
    peakAtMs: atMs,
    tags: [],
    nuisance: false,
    avoidable: false,
    evidence: [
      evidenceOf("peak-loading", {
        quantity: "L1",
        loading: 1.08,
        shownIn: "W",
        loadW: 4320,
        limitW: 4000,
        limitVa: 4000,
        limitRatio: 1,
        atMs,
        near: true,
        overloadSeenAt: 0.98,
      }),
    ],
    ...given,
  };
}

const summary = (given: Partial<DaySubject> = {}) => daySummary({ ...SUBJECT, ...given }, [RATINGS], clock);
const said = (given: Partial<DaySubject>, code: string) =>
  summary(given)
    .statements.filter((one) => one.code === code)
    .map(({ text }) => text);
const withDay = (given: Partial<DayResult>) => ({ day: { ...DAY, ...given } });

test("a quiet day is told from loads to coverage, each figure with its unit", () => {
  const { headline, statements } = summary();
  expect(headline).toBe("On 14 May the inverter carried the loads through all that was logged: no transfer.");
  expect(statements.map(({ text }) => text)).toEqual([
    "L1 came to 4.32 kW at 18:02:33: 1.08 of its 4.00 kW.",
    "L2 came to 2.00 kW at 07:30:00: 0.50 of its 4.00 kW, with 2.00 kW of headroom.",
    "The loads were 1 d on the inverter.",
    "The loads took 24.0 kWh: 50 % from the sun directly, 37.5 % from the battery, 12.5 % from the grid. The sun gave 30.0 kWh.",
    "The battery was lowest at 06:41:05, at 23 %; it began the day at 71 % and ended it at 80.4 %.",
    "The log covers the whole day: 86,400 samples, one every 1 s, no gap.",
  ]);
});

test("every statement has a code of its own", () => {
  const { statements } = summary({ transfers: [transfer(at(9)), transfer(at(12))] });
  expect(new Set(statements.map(({ code }) => code)).size).toBe(statements.length);
});

test("a day without samples says so and nothing else", () => {
  expect(summary({ day: null })).toEqual({
    headline: "There are no samples of 14 May 2026.",
    statements: [],
  });
});

describe("the headline", () => {
  const onS = (given: Partial<DayResult["onS"]>) =>
    withDay({ onS: { inverter: 0, utility: 0, generator: 0, none: 0, unknown: 0, ...given } });
  test.each<[string, Partial<DaySubject>, string]>([
    [
      "counts transfers and dropouts",
      {
        ...onS({ inverter: 64_800, utility: 21_600 }),
        transfers: [transfer(at(9)), transfer(at(12))],
        dropouts: [{ ...transfer(at(15)), endedAtMs: at(15, 1), deadS: 60 }],
      },
      "On 14 May the loads went over to the utility twice and lost supply once; the inverter carried them for 18 h, 75 % of the time that is known.",
    ],
    [
      "names a generator",
      { ...onS({ inverter: 43_200, generator: 43_200 }), transfers: [transfer(at(12), { to: "generator" })] },
      "On 14 May the loads went over to the generator once; the inverter carried them for 12 h, 50 % of the time that is known.",
    ],
    [
      "tells of a day that began on the utility",
      onS({ inverter: 64_800, utility: 21_600 }),
      "On 14 May no transfer began; the loads were on the inverter for 18 h, 75 % of the time that is known.",
    ],
    [
      "tells of a day on the utility",
      onS({ utility: 86_400 }),
      "On 14 May the loads were on the utility through all that was logged.",
    ],
    [
      "says what the log can't tell",
      onS({ unknown: 86_400 }),
      "Whether the inverter carried the loads can't be told from this log.",
    ],
  ])("%s", (_, given, text) => {
    expect(summary(given).headline).toBe(text);
  });
});

describe("loads", () => {
  test("that were not the inverter's at their greatest say whose they were", () => {
    const sources = [
      { fromMs: FROM, toMs: at(18), source: "inverter" as const },
      { fromMs: at(18), toMs: TO, source: "utility" as const },
    ];
    expect(said({ sources }, "L1")).toEqual([
      "L1 came to 4.32 kW at 18:02:33, while on the utility: 1.08 of its 4.00 kW.",
    ]);
  });

  test("with a loading that isn't load over rating have both said", () => {
    expect(said(withDay({ peakLoadingL1: 1.2 }), "L1")).toEqual([
      "L1 came to 4.32 kW at 18:02:33; its rating is 4.00 kW, and its greatest loading was 1.20, by its apparent power, a limit lowered by temperature, or the part that the inverter carried.",
    ]);
  });

  test("of a log without legs are the total's, and the legs are said to be not in it", () => {
    const peaks = { ...SUBJECT.peaks, l1W: null, l2W: null };
    expect(said({ peaks }, "total")).toEqual([
      "The total came to 5.60 kW at 18:02:33: 0.70 of its 8.00 kW, with 2.40 kW of headroom.",
    ]);
    expect(said({ peaks }, "legs")).toEqual(["What each leg carried: not in this log."]);
    expect(said({ peaks: { ...peaks, loadW: null } }, "load")).toEqual([
      "Load: not in this log on this day.",
    ]);
  });

  test("of one leg alone say so of the other", () => {
    expect(said({ peaks: { ...SUBJECT.peaks, l2W: null } }, "L2")).toEqual([
      "What L2 carried: not in this log on this day.",
    ]);
  });

  test("near a limit are told with how long above it", () => {
    const interval = {
      fromMs: at(18),
      toMs: at(18, 12),
      durationS: 720,
      peakW: 4320,
      peakA: null,
      peakAtMs: at(18, 2, 33),
      peakLoading: 1.08,
      limitW: 4000,
      limitA: null,
      intervalS: 1,
      meanLoading: 0.97,
      overLimitS: 65,
      onInverterS: 720,
      onUtilityS: 0,
      longestOnInverterS: 720,
      longestOnInverterFromMs: at(18),
    };
    const nearLimit = [
      { ...interval, quantity: "L1" as const },
      { ...interval, quantity: "L1" as const, durationS: 80, overLimitS: 0 },
      { ...interval, quantity: "pass-through" as const, overLimitS: 0 },
    ];
    expect(said({ nearLimit }, "near-limit-L1")).toEqual([
      "L1 was near or above its limit for 13 min in 2 stretches, of it 1 min 5 s above.",
    ]);
    expect(said({ nearLimit }, "near-limit-pass-through")).toEqual([
      "The pass-through was near or above its limit for 12 min in 1 stretch.",
    ]);
  });

  test("of a log at one minute have no seconds", () => {
    expect(said({ nominalS: 60 }, "L1")).toEqual(["L1 came to 4.32 kW at 18:02:33: 1.08 of its 4.00 kW."]);
    const peaks = { ...SUBJECT.peaks, l1W: { value: 4320, atMs: at(18, 2) } };
    expect(said({ nominalS: 60, peaks }, "L1")).toEqual([
      "L1 came to 4.32 kW at 18:02: 1.08 of its 4.00 kW.",
    ]);
  });
});

describe("transfers and dropouts", () => {
  test("a few are told one by one, with cause and how long", () => {
    expect(said({ transfers: [transfer(at(18, 2, 33))] }, `transfer-${at(18, 2, 33)}`)).toEqual([
      "18:02:33: over to the utility because L1 asked for 4.32 kW and its limit was 4.00 kW. Back on the inverter after 6 min.",
    ]);
    const dropout = { ...transfer(at(15)), cause: "unexplained" as const, endedAtMs: at(15, 1), deadS: 60 };
    expect(said({ dropouts: [dropout] }, `dropout-${at(15)}`)).toEqual([
      "15:00:00: the loads lost supply for a reason that the log doesn't show. They were dead for 1 min.",
    ]);
  });

  test("many are told by their causes", () => {
    const transfers = [8, 9, 10, 11, 12, 13].map((hour, index) =>
      transfer(at(hour), index < 2 ? { cause: "low-battery", lowerBound: true } : {}),
    );
    expect(said({ transfers }, "transfers")).toEqual([
      "6 transfers, at least 36 min off the inverter in all: overload 4, low battery 2.",
    ]);
    const dropouts = transfers.map((one) => ({ ...one, endedAtMs: null, deadS: 20 }));
    expect(said({ dropouts }, "dropouts")).toEqual([
      "6 dropouts: the loads were dead for 2 min in all: overload 4, low battery 2.",
    ]);
  });

  test("what carried the loads is told by how long, with what isn't known", () => {
    const onS = { inverter: 43_200, utility: 21_600, generator: 3600, none: 60, unknown: 600 };
    expect(said(withDay({ onS }), "carried")).toEqual([
      "The loads were 12 h on the inverter, 6 h on the utility, 1 h on the generator, 1 min without supply, 10 min not known.",
    ]);
    expect(
      said(withDay({ onS: { ...onS, inverter: 0, utility: 0, generator: 0, none: 0 } }), "carried"),
    ).toEqual(["What carried the loads: not in this log on this day."]);
  });
});

test("imbalance is told with its greatest difference and the heavier leg", () => {
  const one = {
    fromMs: at(8),
    toMs: at(8, 20),
    durationS: 1200,
    maxDifferenceW: 2000,
    maxDifferenceAtMs: at(8, 5),
    intervalS: 1,
    heavierLeg: "L2" as const,
  };
  const imbalance = [one, { ...one, maxDifferenceW: 2900, heavierLeg: "L1" as const }];
  expect(said({ imbalance }, "imbalance")).toEqual([
    "The legs differed far and long in 2 stretches, 40 min in all, by up to 2.90 kW, L1 the heavier.",
  ]);
  expect(said({ imbalance: null }, "imbalance")).toEqual([]);
});

describe("energy and battery", () => {
  test("are said to be not in the log where they aren't", () => {
    expect(said(withDay({ sharesHeldS: 0 }), "energy")).toEqual([
      "Energy of the loads: not in this log on this day.",
    ]);
    const shares = {
      ...SHARES,
      solarWh: 0,
      solarToLoadWh: 0,
      batteryToLoadWh: 0,
      gridToLoadWh: 0,
      unattributedWh: 24_000,
    };
    expect(said(withDay({ shares }), "energy")).toEqual([
      "The loads took 24.0 kWh; where it came from is not in this log.",
    ]);
    expect(said({ peaks: { ...SUBJECT.peaks, socPct: null } }, "battery")).toEqual([
      "State of charge: not in this log on this day.",
    ]);
  });

  test("known for a part of the day say for how much", () => {
    expect(said(withDay({ sharesHeldS: 43_200 }), "energy")[0]).toMatch(
      /^The loads took 24\.0 kWh in the 12 h that the log tells it of: /,
    );
  });
});

describe("coverage", () => {
  test("names the gaps that touch the day", () => {
    const gaps = [
      { fromMs: FROM - 3_600_000, toMs: at(1) },
      { fromMs: at(3, 12), toMs: at(3, 40) },
      { fromMs: at(23), toMs: TO + 60_000 },
      { fromMs: TO + 3_600_000, toMs: TO + 7_200_000 },
    ];
    expect(said({ ...withDay({ heldS: 77_520, samples: 77_520 }), gaps }, "coverage")).toEqual([
      "The log covers 89.7 % of the day: 77,520 samples, one every 1 s; the rest isn't counted in any figure here. 3 gaps: the day's beginning to 01:00, 03:12 to 03:40, 23:00 to its end.",
    ]);
  });

  test("a day that the log ends in has no gap and isn't whole", () => {
    expect(said({ ...withDay({ heldS: 43_200, samples: 43_200 }) }, "coverage")).toEqual([
      "The log covers 50 % of the day: 43,200 samples, one every 1 s; the rest isn't counted in any figure here.",
    ]);
  });
});

// Clock changes by the IANA time zone database: Denver on 1 November 2026, Lord Howe on 4 October 2026.
test("a day on which the clock changes says how long it is", () => {
  expect(said({ toMs: FROM + 25 * 3_600_000 }, "length")).toEqual([
    "The clock went back on this day: it has 25 hours.",
  ]);
  expect(said({ toMs: FROM + 23.5 * 3_600_000 }, "length")).toEqual([
    "The clock went forward on this day: it has 23.5 hours.",
  ]);
});
