import { isDeepStrictEqual } from "node:util";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Found } from "../../src/analysis/found";
import { createLocalClock } from "../../src/analysis/local-time";
import { CONCLUDING_SETTINGS, passConfig } from "../../src/analysis/pass-config";
import type { BatteryRatings, Ratings } from "../../src/analysis/ratings";
import type { ReviewResult } from "../../src/analysis/results";
import { createReviewPass, type PassOptions } from "../../src/analysis/review-pass";
import type { NumericChannel, Series } from "../../src/analysis/series";
import { DEFAULT_SETTINGS, type Settings } from "../../src/analysis/settings";
import { RATINGS, review, type Sample, seriesOf, steady } from "../unit/analysis/samples";
import { fuzzedLog, fuzzedSettings } from "./fuzzed-log";

/** Settings of D12, which this version doesn't compute. */
const LATER = ["steadySamples", "steadyBandW", "steadyBandShare", "stepMinW"] as const;

type Used = Exclude<keyof Settings, (typeof LATER)[number]>;

/** A small log on which a setting's change shows. */
type Case = {
  readonly log: readonly Sample[];
  readonly to: number;
  readonly shows: (result: ReviewResult) => unknown;
  /** What it shows with the default and with the changed value. */
  readonly gives: readonly [byDefault: unknown, changed: unknown];
};

const DAY_S = 86_400;
const ON = { source: "inverter" } as const;
const UTILITY = { source: "utility" } as const;
const CALM = { ...ON, loadL1W: 1000, loadL2W: 1000 };

/** Stretches at 10 s, one after the other. */
function stretches(...list: (readonly [seconds: number, values: Omit<Sample, "s">])[]): Sample[] {
  let s = 0;
  return list.flatMap(([seconds, values]) => {
    const samples = steady(seconds / 10, 10, values, s);
    s += seconds;
    return samples;
  });
}

/** Ten minutes on inverter, then on utility for `onUtilityS`, then back; the load stays as it is. */
function transfer(values: Omit<Sample, "s">, onUtilityS = 50): Sample[] {
  return stretches(
    [600, { ...CALM, ...values, ...ON }],
    [onUtilityS, { ...CALM, ...values, ...UTILITY }],
    [300, { ...CALM, ...values, ...ON }],
  );
}

/** A transfer that nothing explains, at `atS` on each of these days; samples on `quietDays` too. */
function daily(days: readonly number[], atS: (day: number) => number, quietDays: readonly number[] = []) {
  return [...days, ...quietDays]
    .sort((a, b) => a - b)
    .flatMap((day) =>
      days.includes(day)
        ? transfer({}).map((one) => ({ ...one, s: day * DAY_S + atS(day) + one.s }))
        : steady(2, 10, CALM, day * DAY_S + 3600),
    );
}

const note = (code: string) => (result: ReviewResult) => result.notes.some((one) => one.code === code);
const transfers = (result: ReviewResult) => result.transfers.length;
const dropouts = (result: ReviewResult) => result.dropouts.length;
const cause = (result: ReviewResult) => result.transfers.map((one) => one.cause).join();
const scheduled = (result: ReviewResult) =>
  result.transfers.filter((one) => one.cause === "scheduled").length;
const lastTags = (result: ReviewResult) => result.transfers[result.transfers.length - 1].tags;
const nearLimitL1 = (result: ReviewResult) =>
  result.nearLimit.filter((one) => one.quantity === "L1").map((one) => one.durationS);
const imbalances = (result: ReviewResult) => result.figures.imbalance?.intervals.map((one) => one.durationS);

/** Every setting that this version uses, by the result it changes. */
const CASES: { readonly [K in Used]: Case } = {
  totalDisagreement: {
    log: steady(60, 1800, { ...CALM, loadW: 2200 }),
    to: 0.2,
    shows: note("total-disagrees"),
    gives: [true, false],
  },
  sourceFromGridShare: {
    log: stretches(
      [600, { loadL1W: 1000, loadL2W: 1000, gridW: 0 }],
      [600, { loadL1W: 1000, loadL2W: 1000, gridW: 1200 }],
    ),
    to: 0.7,
    shows: transfers,
    gives: [1, 0],
  },
  sourceFloorShare: {
    log: stretches(
      [600, { loadL1W: 1000, loadL2W: 1000, gridW: 0 }],
      [600, { loadL1W: 200, loadL2W: 100, gridW: 300 }],
    ),
    to: 0.01,
    shows: transfers,
    gives: [0, 1],
  },
  blendingShare: {
    log: steady(60, 10, { ...CALM, gridW: 400 }),
    to: 0.3,
    shows: note("blending"),
    gives: [true, false],
  },
  nearLimitEnter: {
    log: stretches([120, { ...CALM, loadL1W: 3500 }], [60, CALM]),
    to: 0.87,
    shows: nearLimitL1,
    gives: [[], [120]],
  },
  nearLimitLeave: {
    log: stretches([60, { ...CALM, loadL1W: 3700 }], [60, { ...CALM, loadL1W: 3500 }], [60, CALM]),
    to: 0.88,
    shows: nearLimitL1,
    gives: [[120], [60]],
  },
  nearLimitJoinS: {
    log: stretches(
      [60, { ...CALM, loadL1W: 3700 }],
      [30, CALM],
      [60, { ...CALM, loadL1W: 3700 }],
      [60, CALM],
    ),
    to: 30,
    shows: nearLimitL1,
    gives: [[150], [60, 60]],
  },
  nearLimitMinS: {
    log: stretches([50, { ...CALM, loadL1W: 3700 }], [60, CALM]),
    to: 50,
    shows: nearLimitL1,
    gives: [[], [50]],
  },
  unknownFillS: {
    log: stretches([60, CALM], [300, { ...CALM, source: "unknown" }], [60, CALM]),
    to: 100,
    shows: (result) => result.days[0].onS.unknown,
    gives: [0, 300],
  },
  dropoutFromShare: {
    log: stretches([60, { loadW: 600, loadL1V: 120 }], [60, { loadW: 0, loadL1V: 5 }]),
    to: 0.05,
    shows: dropouts,
    gives: [0, 1],
  },
  dropoutToShare: {
    log: stretches([60, { loadW: 4000, loadL1V: 120 }], [60, { loadW: 200, loadL1V: 5 }]),
    to: 0.05,
    shows: dropouts,
    gives: [0, 1],
  },
  dropoutV: {
    log: stretches([60, { loadW: 4000, loadL1V: 120 }], [60, { loadW: 0, loadL1V: 80 }]),
    to: 100,
    shows: dropouts,
    gives: [0, 1],
  },
  overloadSeenAt: {
    log: transfer({ loadL1W: 3800 }),
    to: 0.95,
    shows: cause,
    gives: ["unexplained", "overload"],
  },
  overloadInferredAt: {
    log: transfer({ loadL1W: 2400 }, 180),
    to: 0.6,
    shows: cause,
    gives: ["unexplained", "overload"],
  },
  transferLookbackS: {
    log: stretches(
      [600, CALM],
      [10, { ...CALM, loadL1W: 4100 }],
      [90, CALM],
      [50, { ...CALM, ...UTILITY }],
      [60, CALM],
    ),
    to: 100,
    shows: cause,
    gives: ["unexplained", "overload"],
  },
  dcLimitAt: { log: transfer({ batteryA: 180 }), to: 0.9, shows: cause, gives: ["unexplained", "dc-limit"] },
  lowSocMarginPct: {
    log: transfer({ batterySocPct: 25 }),
    to: 5,
    shows: cause,
    gives: ["unexplained", "low-battery"],
  },
  lowVMarginV: {
    log: transfer({ batteryV: 48.5 }),
    to: 0.5,
    shows: cause,
    gives: ["unexplained", "low-battery"],
  },
  startRise: {
    log: stretches([600, CALM], [50, { ...UTILITY, loadL1W: 1800, loadL2W: 1000 }], [300, CALM]),
    to: 0.2,
    shows: cause,
    gives: ["unexplained", "load-step"],
  },
  scheduledDays: { log: daily([0, 1, 2], () => 3600), to: 2, shows: scheduled, gives: [0, 3] },
  // Each looks at the others within the days of the setting: the two in the middle see all three.
  scheduledWithinDays: { log: daily([0, 8, 16, 24], () => 3600), to: 16, shows: scheduled, gives: [0, 2] },
  scheduledShare: {
    log: daily([0, 1, 2, 3], () => 3600, [4, 5, 6, 7, 8, 9, 10]),
    to: 0.3,
    shows: scheduled,
    gives: [0, 4],
  },
  scheduledToleranceS: {
    log: daily([0, 1, 2, 3], (day) => 3600 + 400 * day),
    to: 1200,
    shows: scheduled,
    gives: [0, 4],
  },
  oneLegMean: {
    log: transfer({ loadL1W: 4100, loadL2W: 3600 }),
    to: 0.97,
    shows: lastTags,
    gives: [[], ["one-leg"]],
  },
  stackedRise: {
    log: stretches(
      [600, { ...CALM, loadL1W: 3500, loadL2W: 4000 }],
      [30, { ...CALM, loadL1W: 3800, loadL2W: 4000 }],
      [30, { ...CALM, loadL1W: 4100, loadL2W: 4000 }],
      [60, { ...UTILITY, loadL1W: 4100, loadL2W: 4000 }],
    ),
    to: 0.05,
    shows: lastTags,
    gives: [[], ["stacked-starts"]],
  },
  stackedWithinS: {
    log: stretches(
      [600, { ...CALM, loadL1W: 3000, loadL2W: 4000 }],
      [30, { ...CALM, loadL1W: 3500, loadL2W: 4000 }],
      [200, { ...CALM, loadL1W: 4100, loadL2W: 4000 }],
      [60, { ...UTILITY, loadL1W: 4100, loadL2W: 4000 }],
    ),
    to: 300,
    shows: lastTags,
    gives: [[], ["stacked-starts"]],
  },
  repeatWithinS: {
    log: stretches(
      [600, { ...ON, loadL1W: 4000, loadL2W: 4000 }],
      [60, { ...UTILITY, loadL1W: 4000, loadL2W: 4000 }],
      [700, { ...ON, loadL1W: 4000, loadL2W: 4000 }],
      [60, { ...UTILITY, loadL1W: 4000, loadL2W: 4000 }],
    ),
    to: 701,
    shows: lastTags,
    gives: [[], ["repeat"]],
  },
  imbalanceEnter: {
    log: stretches([600, { ...ON, loadL1W: 2500, loadL2W: 1700 }], [60, CALM]),
    to: 0.2,
    shows: imbalances,
    gives: [[], [600]],
  },
  imbalanceLeave: {
    log: stretches(
      [600, { ...ON, loadL1W: 2500, loadL2W: 1400 }],
      [600, { ...ON, loadL1W: 2500, loadL2W: 1600 }],
    ),
    to: 0.24,
    shows: imbalances,
    gives: [[1200], [600]],
  },
  imbalanceLoadEnter: {
    log: stretches([600, { ...ON, loadL1W: 1880, loadL2W: 500 }], [60, CALM]),
    to: 0.46,
    shows: imbalances,
    gives: [[], [600]],
  },
  imbalanceLoadLeave: {
    log: stretches(
      [600, { ...ON, loadL1W: 2100, loadL2W: 500 }],
      [600, { ...ON, loadL1W: 1900, loadL2W: 500 }],
    ),
    to: 0.49,
    shows: imbalances,
    gives: [[1200], [600]],
  },
  imbalanceJoinS: {
    log: stretches(
      [600, { ...ON, loadL1W: 2500, loadL2W: 500 }],
      [60, CALM],
      [600, { ...ON, loadL1W: 2500, loadL2W: 500 }],
    ),
    to: 60,
    shows: imbalances,
    gives: [[1260], [600, 600]],
  },
  imbalanceMinS: {
    log: stretches([300, { ...ON, loadL1W: 2500, loadL2W: 500 }], [60, CALM]),
    to: 300,
    shows: imbalances,
    gives: [[], [300]],
  },
  imbalanceShareFloor: {
    log: steady(60, 10, { ...ON, loadL1W: 300, loadL2W: 60 }),
    to: 0.045,
    shows: (result) => result.figures.imbalance?.meanShare,
    gives: [null, expect.closeTo(240 / 360, 12)],
  },
  lossNoteShare: {
    log: steady(60, 10, { ...CALM, ...UTILITY, gridW: 2500 }),
    to: 0.2,
    shows: note("meters-disagree"),
    gives: [true, false],
  },
  demandCoverage: {
    log: steady(60, 10, CALM),
    to: 0.6,
    shows: (result) => result.figures.demand?.peakW ?? null,
    gives: [null, 2000],
  },
  openNeutralV: {
    log: steady(5, 10, { ...ON, loadL1W: 1000, loadL2W: 500, loadL1V: 117.5, loadL2V: 122.5 }),
    to: 4,
    shows: (result) => result.openNeutral?.length,
    gives: [0, 1],
  },
};

function optionsOf(series: Series): PassOptions {
  return {
    zone: "America/Denver",
    ratings: [RATINGS],
    settings: DEFAULT_SETTINGS,
    channels: Object.keys(series.channels) as NumericChannel[],
    hasSource: series.sources !== null,
    hasFault: series.faults !== null,
  };
}

function foundOf(series: Series, options: PassOptions): Found {
  const pass = createReviewPass(options);
  pass.push(series);
  pass.end();
  return pass.take();
}

const isConcluding = (name: string) => (CONCLUDING_SETTINGS as readonly string[]).includes(name);

describe("every setting that this version uses", () => {
  it("has a log here on which its change shows, and no other one has", () => {
    expect([...Object.keys(CASES), ...LATER].sort()).toEqual(Object.keys(DEFAULT_SETTINGS).sort());
  });

  it.each(Object.entries(CASES))("%s changes a result, by what the definitions say", (name, one) => {
    const series = seriesOf(one.log);
    expect(one.shows(review(series)), "by default").toEqual(one.gives[0]);
    expect(one.shows(review(series, { settings: { [name]: one.to } })), "changed").toEqual(one.gives[1]);
  });

  it.each(Object.entries(CASES))(
    "%s counts as concluding exactly where a pass finds the same",
    (name, one) => {
      const series = seriesOf(one.log);
      const options = optionsOf(series);
      const changed = { ...options, settings: { ...DEFAULT_SETTINGS, [name]: one.to } };
      const same = isDeepStrictEqual(foundOf(series, changed), foundOf(series, options));
      expect(same).toBe(isConcluding(name));
    },
  );

  it("which counts as concluding leaves what a pass finds untouched, whatever the log", () => {
    fc.assert(
      fc.property(fuzzedLog, fuzzedSettings, ({ site, series }, given) => {
        const options = {
          ...optionsOf(series),
          zone: site.timezone,
          ratings: site.ratings,
          settings: site.settings,
        };
        const changed = Object.fromEntries(Object.entries(given).filter(([name]) => isConcluding(name)));
        const other = foundOf(series, { ...options, settings: { ...site.settings, ...changed } });
        const found = foundOf(series, options);
        if (!isDeepStrictEqual(other, found)) expect(other).toEqual(found);
      }),
      { numRuns: 60 },
    );
  });
});

/** Figures of the ratings that may be changed one by one, with a value that no generated site has. */
const OTHER_RATINGS: { readonly [K in keyof Ratings]?: Ratings[K] } = {
  legLimitW: 3210,
  totalLimitW: 6543,
  legLimitVa: 3333,
  totalLimitVa: 6666,
  legNominalV: 117,
  overload: [{ upToRatio: 3, forS: 900 }],
  derate: [{ aboveC: 30, ratio: 0.7 }],
  legSurgeA: 77,
  surgeS: 3,
  maxTempC: 66,
  passThroughA: 33,
  serviceA: 44,
  loadOutsideA: 5,
  hundredPercentRated: ["dc-fuse", "service"],
  returnDelayS: 77,
  idleW: 77,
  dcCable: { size: "2/0", oneWayFt: 7 },
  solarPeakW: 7777,
};
const OTHER_BATTERY: Required<BatteryRatings> = {
  nominalV: 49.9,
  capacityAh: 333,
  maxDischargeA: 155,
  maxChargeA: 133,
  surgeA: 222,
  fuseA: 66,
  lowSocPct: 33,
  resumeSocPct: 55,
  lowV: 49.5,
};

describe("every figure of the ratings", () => {
  it("that leaves the pass's configuration as it is leaves what it finds untouched", () => {
    const names = Object.keys(OTHER_RATINGS) as (keyof typeof OTHER_RATINGS)[];
    const batteryNames = Object.keys(OTHER_BATTERY) as (keyof BatteryRatings)[];
    const leftOut = new Set<string>();
    const counted = new Set<string>();
    fc.assert(
      fc.property(fuzzedLog, ({ site, series }) => {
        const options = {
          ...optionsOf(series),
          zone: site.timezone,
          ratings: site.ratings,
          settings: site.settings,
        };
        const clock = createLocalClock(site.timezone);
        const config = passConfig(options, clock, Number.POSITIVE_INFINITY);
        const free: ((ratings: Ratings) => Ratings)[] = [];
        const look = (name: string, change: (ratings: Ratings) => Ratings) => {
          const changed = { ...options, ratings: site.ratings.map(change) };
          const same = passConfig(changed, clock, Number.POSITIVE_INFINITY) === config;
          (same ? leftOut : counted).add(name);
          if (same) free.push(change);
        };
        for (const name of names) look(name, (one) => ({ ...one, [name]: OTHER_RATINGS[name] }));
        for (const name of batteryNames) {
          const value = OTHER_BATTERY[name];
          look(`battery.${name}`, (one) => ({ ...one, battery: { ...one.battery, [name]: value } }));
        }
        const ratings = site.ratings.map((one) => free.reduce((changed, change) => change(changed), one));
        const other = foundOf(series, { ...options, ratings });
        const found = foundOf(series, options);
        if (!isDeepStrictEqual(other, found)) expect(other).toEqual(found);
      }),
      { numRuns: 60 },
    );
    // A figure is left out or counts, whatever the site; and all are named here.
    expect([...leftOut].filter((name) => counted.has(name))).toEqual([]);
    expect(leftOut.size).toBeGreaterThan(0);
    expect(counted.size).toBeGreaterThan(0);
    const { from: _, battery: __, ...given } = RATINGS;
    expect(names).toEqual(expect.arrayContaining(Object.keys(given)));
  });
});
