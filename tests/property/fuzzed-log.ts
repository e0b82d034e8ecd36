import fc from "fast-check";
import type { Ratings } from "../../src/analysis/ratings";
import {
  type FaultWord,
  NUMERIC_CHANNELS,
  type NumericChannel,
  type Series,
} from "../../src/analysis/series";
import { DEFAULT_SETTINGS, type Settings } from "../../src/analysis/settings";
import { CHANNEL_BOUNDS } from "../../src/ingest/channel-bounds";
import { parseSite, type Site } from "../../src/site/parse-site";

/** A log that nobody would expect, and the site that it is held against. */
export type FuzzedLog = {
  readonly site: Site;
  readonly series: Series;
  readonly faultWords: readonly FaultWord[];
};

/** Zones with an instant at which their clock changes: forward, back, by half an hour, by a whole day. */
const CLOCK_CHANGES: readonly (readonly [zone: string, atMs: number])[] = [
  ["America/Denver", Date.UTC(2026, 2, 8, 9)],
  ["America/Denver", Date.UTC(2026, 10, 1, 8)],
  // A day without a midnight, and one with two.
  ["America/Havana", Date.UTC(2026, 2, 8, 5)],
  ["America/Havana", Date.UTC(2026, 10, 1, 5)],
  ["Australia/Lord_Howe", Date.UTC(2026, 3, 4, 15)],
  ["Australia/Lord_Howe", Date.UTC(2026, 9, 3, 15, 30)],
  ["Pacific/Chatham", Date.UTC(2026, 3, 4, 14)],
  ["Pacific/Chatham", Date.UTC(2026, 8, 26, 14)],
  // 30 December 2011 didn't exist there.
  ["Pacific/Apia", Date.UTC(2011, 11, 30, 10)],
  // From −0:44:30 to 0.
  ["Africa/Monrovia", Date.UTC(1972, 0, 7, 0, 44, 30)],
  // From 00:01 back to 23:01 of the day before.
  ["America/St_Johns", Date.UTC(2006, 9, 29, 2, 31)],
];

/** What a channel shows on a site that works, so that limits are met; each within CHANNEL_BOUNDS. */
const USUAL: { readonly [C in NumericChannel]: readonly [min: number, max: number] } = {
  loadL1W: [0, 6000],
  loadL2W: [0, 6000],
  loadW: [0, 10_000],
  loadL1Va: [0, 6000],
  loadL2Va: [0, 6000],
  loadL1A: [0, 50],
  loadL2A: [0, 50],
  loadL1V: [105, 130],
  loadL2V: [105, 130],
  loadL1PeakW: [0, 9000],
  loadL2PeakW: [0, 9000],
  solarW: [0, 7000],
  solar1W: [0, 2000],
  solar2W: [0, 2000],
  solar3W: [0, 2000],
  solar4W: [0, 2000],
  batteryA: [-120, 220],
  batteryV: [47, 56],
  batteryW: [-6000, 11_000],
  batterySocPct: [10, 100],
  gridL1W: [-2000, 6000],
  gridL2W: [-2000, 6000],
  gridL1A: [-20, 60],
  gridL2A: [-20, 60],
  gridW: [-4000, 12_000],
  gridV: [220, 250],
  frequencyHz: [59, 61],
  inverterTempC: [20, 90],
};

/** How a channel goes over a stretch. */
type Course = { readonly kind: number; readonly at: number };

/** Missing, zero of either sign, the ends of the bounds, constant or wandering within what is usual or possible. */
const course: fc.Arbitrary<Course> = fc.record({
  kind: fc.constantFrom(0, 1, 2, 3, 4, 5, 5, 5, 6, 6, 6, 7, 7, 8),
  at: fc.double({ min: 0, max: 1, noNaN: true }),
});

function readingOf(channel: NumericChannel, { kind, at }: Course, i: number): number {
  const [least, most] = CHANNEL_BOUNDS[channel];
  const [low, high] = USUAL[channel];
  const wave = (at + i * 0.618_033_988_749) % 1;
  switch (kind) {
    case 0:
      return Number.NaN;
    case 1:
      return Math.max(least, 0);
    case 2:
      return -0;
    case 3:
      return at < 0.5 ? least : most;
    case 4:
      return least + (most - least) * wave;
    case 5:
      return low + (high - low) * at;
    case 6:
      return low + (high - low) * wave;
    case 7:
      return i % 5 === Math.floor(at * 5) ? Number.NaN : low + (high - low) * at;
    default:
      // Around a constant by less than float32 tells apart.
      return low + (high - low) * at + (i % 2) * 1e-7;
  }
}

const watts = fc.oneof(
  { weight: 4, arbitrary: fc.constantFrom(2000, 4000, 5000) },
  { weight: 1, arbitrary: fc.double({ min: 1e-6, max: 500_000, noNaN: true }) },
);
const amps = fc.oneof(
  { weight: 4, arbitrary: fc.constantFrom(20, 60, 100, 200) },
  { weight: 1, arbitrary: fc.double({ min: 1e-6, max: 10_000, noNaN: true }) },
);
const maybe = { requiredKeys: [] as [] };

const battery = fc
  .record(
    {
      nominalV: fc.constantFrom(48, 51.2, 2000, 1e-6),
      capacityAh: fc.constantFrom(100, 400, 1_000_000, 1e-6),
      maxDischargeA: amps,
      maxChargeA: amps,
      surgeA: amps,
      fuseA: amps,
      lowSocPct: fc.constantFrom(0, 20, 40, 100),
      resumeSocPct: fc.constantFrom(0, 30, 100),
      lowV: fc.constantFrom(1e-6, 48, 50, 2000),
    },
    maybe,
  )
  .map((one) =>
    one.lowSocPct !== undefined && one.resumeSocPct !== undefined && one.resumeSocPct < one.lowSocPct
      ? { ...one, resumeSocPct: one.lowSocPct }
      : one,
  );

const overload = fc.constantFrom(
  [],
  [{ upToRatio: 1.25, forS: 30 }],
  [
    { upToRatio: 1.25, forS: 30 },
    { upToRatio: 2, forS: 1 },
  ],
  [
    { upToRatio: 1.0001, forS: 7 * 86_400 },
    { upToRatio: 20, forS: 1e-6 },
  ],
);
const derate = fc.constantFrom(
  [],
  [{ aboveC: 45, ratio: 0.9 }],
  [
    { aboveC: -50, ratio: 1 },
    { aboveC: 60, ratio: 0.5 },
    { aboveC: 80, ratio: 1e-6 },
  ],
);

/** One entry of the ratings without its date: only legLimitW is sure to be there. */
const rating = fc.record(
  {
    legLimitW: watts,
    totalLimitW: watts,
    legLimitVa: watts,
    totalLimitVa: watts,
    legNominalV: fc.constantFrom(100, 120, 140),
    overload,
    legSurgeA: amps,
    surgeS: fc.constantFrom(1e-6, 2, 60),
    derate,
    maxTempC: fc.constantFrom(-50, 75, 200),
    passThroughA: amps,
    serviceA: amps,
    loadOutsideA: fc.constantFrom(0, 10, 10_000),
    hundredPercentRated: fc.constantFrom([], ["service"], ["pass-through", "dc-fuse"], ["something else"]),
    returnDelayS: fc.constantFrom(0, 180, 604_800),
    idleW: fc.constantFrom(0, 60),
    battery,
    dcCable: fc.constant({ size: "4/0", oneWayFt: 6 }),
    solarPeakW: fc.constantFrom(0, 7200),
  },
  { requiredKeys: ["legLimitW"] },
);

const ratio = fc.constantFrom(0, 0.02, 0.5, 1, 3, 10);
const seconds = fc.constantFrom(0, 1, 60, 3600, 30 * 86_400);

function settingOf(name: keyof Settings): fc.Arbitrary<number> {
  if (name === "dropoutV" || name === "openNeutralV" || name === "lowVMarginV")
    return fc.constantFrom(0, 3, 100, 2000);
  if (name === "lowSocMarginPct") return fc.constantFrom(0, 5, 100);
  if (name === "steadySamples") return fc.constantFrom(0, 3, 1000);
  if (name === "scheduledDays" || name === "scheduledWithinDays") return fc.constantFrom(0, 1, 14, 366);
  if (name.endsWith("W")) return fc.constantFrom(0, 15, 100_000);
  return name.endsWith("S") ? seconds : ratio;
}

/** Settings as a site may change them: any of them, within the schema. */
export const fuzzedSettings: fc.Arbitrary<Partial<Settings>> = fc
  .record(
    Object.fromEntries(
      (Object.keys(DEFAULT_SETTINGS) as (keyof Settings)[]).map((name) => [
        name,
        fc.oneof({ weight: 5, arbitrary: fc.constant(undefined) }, { weight: 1, arbitrary: settingOf(name) }),
      ]),
    ),
  )
  .map((given) => {
    const changed = Object.fromEntries(Object.entries(given).filter(([, value]) => value !== undefined));
    const settings: Settings = { ...DEFAULT_SETTINGS, ...changed };
    for (const [leave, enter] of [
      ["nearLimitLeave", "nearLimitEnter"],
      ["imbalanceLeave", "imbalanceEnter"],
      ["imbalanceLoadLeave", "imbalanceLoadEnter"],
    ] as const) {
      // The schema wants no interval to close where it opens.
      if (settings[leave] > settings[enter]) changed[leave] = settings[enter];
    }
    return changed as Partial<Settings>;
  });

/** The inverter of the tests, whose limits the usual readings meet. */
const USUAL_RATING: Partial<FuzzedRating> & { legLimitW: number } = {
  legLimitW: 4000,
  overload: [
    { upToRatio: 1.25, forS: 30 },
    { upToRatio: 2, forS: 1 },
  ],
  passThroughA: 40,
  serviceA: 40,
  returnDelayS: 180,
  battery: { nominalV: 51.2, capacityAh: 400, maxDischargeA: 200, fuseA: 100, lowSocPct: 20, lowV: 48 },
};

type FuzzedRating = typeof rating extends fc.Arbitrary<infer T> ? T : never;

/** One entry of the ratings of a site, from a local date on. */
export const fuzzedRatingFrom = rating.map((given) => (zone: string, from: string): Ratings => {
  const site = siteOf(zone, Date.parse(from), [{ day: 0, given }], {});
  return site.ratings[0];
});

/** Ratings of every shape that site.json may give, in force from some days before the log to some days into it. */
export const fuzzedRatings = fc.array(
  fc.record({
    day: fc.constantFrom(-400, -1, 0, 1, 2, 400),
    given: fc.oneof(fc.constant(USUAL_RATING), rating),
  }),
  { minLength: 1, maxLength: 3 },
);

/** How far apart samples lie, ms: whole and half milliseconds, seconds to days. */
const STEPS_MS = [
  1000, 1000, 10_000, 10_000, 60_000, 300_000, 1501, 999.5, 3_600_000, 86_400_000, 259_200_001,
];
const GAPS_MS = [0, 0, 0, 0, 0, 0, 1, 3500, 45_000, 7_200_000, 90_000_000, 400_000_000];

/** No sample comes later after the first one: hours and days of nothing cost time and show nothing. */
const LONGEST_MS = 9 * 86_400_000;

const stretchOf = (counts: fc.Arbitrary<number>) =>
  fc.record({
    count: counts,
    /** Null: as the log has it. */
    stepMs: fc.oneof(
      { weight: 6, arbitrary: fc.constant(null) },
      { weight: 1, arbitrary: fc.constantFrom(...STEPS_MS) },
    ),
    gapMs: fc.constantFrom(...GAPS_MS),
    /** Every second step is longer by so much: the median of the differences is no whole number then. */
    unevenMs: fc.constantFrom(0, 0, 0, 1, 250.5),
    source: fc.constantFrom(0, 1, 1, 1, 2, 2, 3, 4, 5),
    fault: fc.constantFrom(0, 0, 0, 0, 1, 2, 3),
    courses: fc.array(course, { minLength: NUMERIC_CHANNELS.length, maxLength: NUMERIC_CHANNELS.length }),
  });

const stretch = stretchOf(
  fc.oneof(
    { weight: 6, arbitrary: fc.integer({ min: 1, max: 30 }) },
    { weight: 1, arbitrary: fc.constantFrom(1, 2, 120, 400) },
  ),
);

type Stretch = typeof stretch extends fc.Arbitrary<infer T> ? T : never;

const DAY_MS = 86_400_000;

const anyChannels: fc.Arbitrary<NumericChannel[]> = fc.oneof(
  { weight: 3, arbitrary: fc.subarray([...NUMERIC_CHANNELS]) },
  // What most logs have, more or less of the rest.
  {
    weight: 3,
    arbitrary: fc
      .subarray([...NUMERIC_CHANNELS])
      .map((some) => [...new Set<NumericChannel>(["loadL1W", "loadL2W", ...some])]),
  },
  { weight: 1, arbitrary: fc.constant<NumericChannel[]>([...NUMERIC_CHANNELS]) },
);

function logsOf(channels: fc.Arbitrary<NumericChannel[]>, stretches: fc.Arbitrary<Stretch[]>) {
  return fc
    .record({
      change: fc.constantFrom(...CLOCK_CHANGES),
      beforeMs: fc.constantFrom(0, 0, 1, 1000, 3_600_000, DAY_MS / 2, DAY_MS, 2 * DAY_MS, -1, -3_600_000),
      channels,
      hasSource: fc.constantFrom(true, true, false),
      hasFault: fc.boolean(),
      stepMs: fc.constantFrom(...STEPS_MS),
      stretches,
      /** One sample, two, or all there are. */
      atMost: fc.constantFrom(1, 2, 10_000, 10_000, 10_000, 10_000, 10_000, 10_000),
      ratings: fuzzedRatings,
      settings: fc.oneof({ weight: 1, arbitrary: fc.constant({}) }, { weight: 2, arbitrary: fuzzedSettings }),
    })
    .map(({ change: [zone, changeMs], beforeMs, ratings, settings, ...log }): FuzzedLog => {
      const startMs = changeMs - beforeMs;
      return {
        site: siteOf(zone, startMs, ratings, settings),
        series: seriesOfStretches(startMs, log),
        faultWords: [
          { code: "7", meaning: null },
          { code: "9", meaning: "overload" },
          { code: "E12", meaning: "low-battery" },
        ],
      };
    });
}

/** Logs round clock changes, with any channels, any values, any intervals, on sites of any ratings and settings. */
export const fuzzedLog: fc.Arbitrary<FuzzedLog> = logsOf(
  anyChannels,
  fc.oneof(
    { weight: 1, arbitrary: fc.array(stretch, { minLength: 1, maxLength: 1 }) },
    { weight: 5, arbitrary: fc.array(stretch, { minLength: 1, maxLength: 14 }) },
  ),
);

/** As `fuzzedLog`, long enough for the nominal interval to be known while samples come, and for it to change. */
export const longFuzzedLog: fc.Arbitrary<FuzzedLog> = logsOf(
  fc
    .subarray<NumericChannel>(["loadL1V", "loadL2V", "batteryA", "batterySocPct", "gridW", "solarW"])
    .map((some) => ["loadL1W", "loadL2W", ...some]),
  fc
    .tuple(
      stretchOf(fc.constantFrom(990, 1000, 1010, 1100)),
      fc.array(stretchOf(fc.constantFrom(1, 2, 5, 20, 99, 100, 101, 150)), { minLength: 1, maxLength: 12 }),
    )
    .map(([first, more]) => [first, ...more]),
);

function seriesOfStretches(
  startMs: number,
  log: {
    readonly stepMs: number;
    readonly stretches: readonly Stretch[];
    readonly channels: readonly NumericChannel[];
    readonly hasSource: boolean;
    readonly hasFault: boolean;
    readonly atMost: number;
  },
): Series {
  const { channels, stretches, atMost, hasSource, hasFault } = log;
  const timesMs: number[] = [];
  const sources: number[] = [];
  const faults: number[] = [];
  const columns = channels.map((): number[] => []);
  let atMs = startMs;
  for (const { count, gapMs, unevenMs, source, fault, courses, ...own } of stretches) {
    const stepMs = own.stepMs ?? log.stepMs;
    for (let i = 0; i < count && timesMs.length < atMost && atMs - startMs < LONGEST_MS; i++) {
      if (timesMs.length > 0) atMs += (i === 0 ? gapMs : 0) + stepMs + (i % 2) * unevenMs;
      timesMs.push(atMs);
      // The last of the states goes to and fro.
      sources.push(source === 5 ? 1 + (i % 4) : source);
      faults.push(fault);
      channels.forEach((channel, c) => {
        columns[c].push(readingOf(channel, courses[NUMERIC_CHANNELS.indexOf(channel)], i));
      });
    }
  }
  return {
    timesMs: Float64Array.from(timesMs),
    channels: Object.fromEntries(channels.map((channel, c) => [channel, Float32Array.from(columns[c])])),
    sources: hasSource ? Uint8Array.from(sources) : null,
    faults: hasFault ? Uint16Array.from(faults) : null,
  };
}

/** The site as site.json gives it: what the schema would refuse is no case. */
export function siteOf(
  zone: string,
  startMs: number,
  ratings: readonly { day: number; given: object }[],
  settings: Partial<Settings>,
): Site {
  const byDate = new Map<string, object>();
  for (const { day, given } of ratings) {
    const from = new Date(startMs + day * DAY_MS).toISOString().slice(0, 10);
    byDate.set(from, { from, ...given });
  }
  const parsed = parseSite({
    version: 1,
    name: "Alder Creek Pottery",
    timezone: zone,
    ratings: [...byDate.values()],
    settings,
  });
  if (!parsed.ok)
    throw new Error(`siteOf requires a site that the schema takes: ${JSON.stringify(parsed.problems)}`);
  return parsed.site;
}
