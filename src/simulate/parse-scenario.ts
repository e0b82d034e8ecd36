import { z } from "zod";
import { type JsonProblem, jsonProblems } from "../site/json-problems";
import { parseSite } from "../site/parse-site";
import { schemaKeys } from "../site/schema-keys";

const DAY_NAMES = ["sun", "mon", "tue", "wed", "thu", "fri", "sat"] as const;
const days = z.array(z.enum(DAY_NAMES)).nonempty().optional();
const clock = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$|^24:00$/, "is no clock time such as 07:30");
const localDate = z.iso.date("is no date such as 2026-05-01");
const localTime = z
  .string()
  .regex(
    /^\d{4}-\d{2}-\d{2}T([01]\d|2[0-3]):[0-5]\d(:[0-5]\d)?$/,
    "is no local time such as 2026-05-14T18:40:05",
  );
/** Smallest and largest value; every draw is uniform between them. */
const range = z
  .tuple([z.number().nonnegative(), z.number().nonnegative()])
  .refine(([low, high]) => low <= high, "has the greater figure first");
const minutes = z
  .tuple([z.number().positive(), z.number().positive(), z.number().positive().max(2880)])
  .refine(
    ([low, usual, high]) => low <= usual && usual <= high,
    "does not go from the shortest over the usual to the longest",
  );
const leg = z.enum(["L1", "L2", "both"]);

const appliance = z.strictObject({
  name: z.string().min(1).max(80),
  leg,
  powerW: z.number().positive().max(20_000),
  /** Each run draws a power within ± this share of powerW. */
  spread: z.number().min(0).max(0.5).default(0),
  /** Real power over apparent power while it runs. */
  powerFactor: z.number().min(0.1).max(1).default(1),
  /**
   * What a start draws at first and for how long. Without a power factor of its own the multiple is one of the
   * running power; with one it is locked-rotor current over full-load current, and most of it is reactive.
   */
  inrush: z
    .strictObject({
      multiple: z.number().min(1).max(15),
      durationS: range,
      powerFactor: z.number().min(0.1).max(1).optional(),
    })
    .optional(),
  /** A thermostat or pressure switch: length of a cycle, share of it switched on at the run's begin and end. */
  cycle: z
    .strictObject({ periodS: range, duty: z.tuple([z.number().min(0).max(1), z.number().min(0).max(1)]) })
    .optional(),
  /** Runs all the time (its cycle permitting). */
  always: z.boolean().default(false),
  /** When people use it: expected number of runs inside the window on each of those days. */
  habits: z
    .array(z.strictObject({ from: clock, to: clock, days, runs: z.number().positive().max(100), minutes }))
    .default([]),
  /** Runs that happen at a set time: the told part of the story. */
  runs: z.array(z.strictObject({ at: localTime, minutes: z.number().positive().max(2880) })).default([]),
});

const CHANNELS = [
  "loadL1W",
  "loadL2W",
  "loadL1V",
  "loadL2V",
  "solarW",
  "batteryA",
  "batteryV",
  "batterySocPct",
  "gridW",
  "inverterTempC",
] as const;

const column = z.strictObject({
  header: z.string().min(1).max(80),
  unit: z.enum(["W", "kW", "A", "V", "%", "C", "F"]).optional(),
  decimals: z.number().int().min(0).max(6).default(0),
  positive: z.enum(["discharge", "charge", "import", "export"]).optional(),
  /** Source column: the logger's own words. */
  words: z
    .strictObject({ inverter: z.string().min(1).max(40), utility: z.string().min(1).max(40) })
    .optional(),
  /** Fault column: what it says when there is none. */
  noFault: z.string().max(40).optional(),
});

const defect = z.strictObject({
  /** Data row (from 1, header not counted) at which it stands. */
  row: z.number().int().positive(),
  do: z.enum([
    "missing-fields",
    "extra-field",
    "word-in-cell",
    "stamp-1970",
    "stamp-2190",
    "stamp-garbled",
    "duplicate",
    "conflict",
    "blank-line",
    "repeated-header",
    "unit-row",
    "out-of-range",
    "unknown-word",
    "empty-cells",
  ]),
});

const scenario = z.strictObject({
  version: z.literal(1),
  name: z.string().min(1).max(120),
  seed: z.number().int().nonnegative().max(0xffffffff),
  from: localDate,
  days: z.number().int().positive().max(1100),
  /** Days that are simulated before the log begins, so that a short log is a window of a long story. */
  warmUpDays: z.number().int().nonnegative().max(400).default(0),
  /** A whole site.json, as the owner would write it; goes out with the log. */
  site: z.looseObject({ timezone: z.string() }),
  place: z.strictObject({
    latitude: z.number().min(-66).max(66),
    longitude: z.number().min(-180).max(180),
    /** Air around the inverter from 09:00 to 19:00 and in the other hours. */
    dayC: z.number().min(-30).max(60).default(24),
    nightC: z.number().min(-30).max(60).default(15),
  }),
  /** What the equipment really does, which a nameplate may promise otherwise. */
  inverter: z.strictObject({
    legLimitW: z.number().positive().max(100_000),
    totalLimitW: z.number().positive().max(200_000),
    overload: z
      .array(z.strictObject({ upToRatio: z.number().gt(1).max(10), forS: z.number().positive().max(3600) }))
      .default([]),
    /** Current on a leg, power factor and all, at which it lets go within a tenth of a second. */
    surgeA: z.number().positive().max(2000).optional(),
    /** Until the relay is over after a surge. From a tenth of a second on, a sample can catch a start before it. */
    surgeTransferS: z.number().nonnegative().max(0.1).default(0.02),
    returnDelayS: z.number().int().positive().max(7200),
    idleW: z.number().nonnegative().max(500).default(60),
    efficiency: z.number().min(0.7).max(0.99).default(0.945),
    /** Charging from the utility while on utility, up to this state of charge; 0 A = never. */
    utilityChargeA: z.number().nonnegative().max(500).default(0),
    utilityChargeToSocPct: z.number().min(0).max(100).default(100),
    maxTempC: z.number().positive().max(120).optional(),
    /** Rise above the air around it per watt of load carried. */
    warmCPerW: z.number().nonnegative().max(0.1).default(0.0035),
  }),
  battery: z.strictObject({
    capacityAh: z.number().positive().max(10_000),
    /** Cells in series of an iron-phosphate bank: 16 make 51.2 V. */
    cells: z.number().int().min(4).max(32).default(16),
    resistanceOhm: z.number().positive().max(0.2).default(0.008),
    maxDischargeA: z.number().positive().max(5000),
    /** How long the battery's own guard bears more than maxDischargeA. */
    dcHoldS: z.number().int().positive().max(600).default(5),
    maxChargeA: z.number().positive().max(5000),
    chargeEfficiency: z.number().min(0.7).max(1).default(0.99),
    startSocPct: z.number().min(0).max(100).default(70),
    lowSocPct: z.number().min(0).max(100),
    resumeSocPct: z.number().min(0).max(100),
    lowV: z.number().positive().max(120),
  }),
  sun: z.strictObject({
    peakW: z.number().nonnegative().max(200_000),
    tiltDeg: z.number().min(0).max(90).default(30),
    /** Share of days of each sky; what is left is clear. */
    mixed: z.number().min(0).max(1).default(0.3),
    overcast: z.number().min(0).max(1).default(0.15),
    /** Days whose sky is told. */
    skies: z.record(localDate, z.enum(["clear", "mixed", "overcast"])).default({}),
  }),
  baseLoad: z.strictObject({ L1W: z.number().nonnegative(), L2W: z.number().nonnegative() }),
  appliances: z.array(appliance).max(200),
  /** Hours given to the utility by the owner's rule, for a part of the time. */
  scheduled: z
    .array(
      z.strictObject({
        at: clock,
        minutes: z.number().int().positive().max(1440),
        days,
        from: localDate.optional(),
        to: localDate.optional(),
      }),
    )
    .default([]),
  /** Somebody goes over to the utility by hand: expected number inside the window on each day, and how long. */
  byHand: z
    .array(z.strictObject({ from: clock, to: clock, runs: z.number().positive().max(100), minutes: range }))
    .default([]),
  faults: z
    .strictObject({
      perDay: z.number().nonnegative().max(100).default(0),
      codes: z.array(z.string().min(1).max(40)).nonempty().default(["31"]),
      minutes: range.default([1, 4]),
      at: z
        .array(
          z.strictObject({ at: localTime, code: z.string().min(1).max(40), minutes: z.number().positive() }),
        )
        .default([]),
    })
    .default({ perDay: 0, codes: ["31"], minutes: [1, 4], at: [] }),
  log: z.strictObject({
    fileName: z
      .string()
      .regex(/^[a-z0-9][a-z0-9.-]*\.csv$/, "is no file name such as log.csv (small letters, digits, - and .)")
      .default("log.csv"),
    intervalS: z.number().int().positive().max(3600),
    /** mean over the interval, or the value at the stamp's instant. */
    sampling: z.enum(["mean", "instant"]).default("mean"),
    stamps: z.enum(["start", "end"]).default("start"),
    stamp: z.enum(["iso-offset", "iso-utc", "epoch-s", "epoch-ms", "wall"]).default("iso-offset"),
    /** For wall: yyyy MM dd HH mm ss and what stands between them. Date and time are split where it holds a "|". */
    pattern: z.string().max(40).default("yyyy-MM-dd HH:mm:ss"),
    /** Header of the stamp's column, or of the two columns it is split into. */
    stampHeader: z
      .union([z.string().min(1), z.tuple([z.string().min(1), z.string().min(1)])])
      .default("Time"),
    delimiter: z.enum([",", ";", "\t"]).default(","),
    decimalMark: z.enum([".", ","]).default("."),
    /** Keys in the order of the log's columns. */
    columns: z.partialRecord(z.enum([...CHANNELS, "source", "faultCode"]), column),
    gaps: z.array(z.strictObject({ from: localTime, minutes: z.number().positive() })).default([]),
    /** Times in which cells come garbled or not at all, each cell with its chance. */
    badTimes: z
      .array(
        z.strictObject({
          from: localTime,
          minutes: z.number().positive(),
          garbled: z.number().min(0).max(1),
          missing: z.number().min(0).max(1),
        }),
      )
      .default([]),
    defects: z.array(defect).default([]),
    /** The file ends in the middle of its last row. */
    endsInsideRow: z.boolean().default(false),
  }),
});

/** A checked scenario, all defaults filled in. */
export type Scenario = z.output<typeof scenario>;

/** One appliance of a scenario. */
export type Appliance = Scenario["appliances"][number];

/** The measured channels that a simulated log can have, beside source and fault code. */
export type LogChannel = (typeof CHANNELS)[number];

/**
 * Checks a scenario.json, the site.json inside it too. Never throws for what the document holds. Returns the
 * scenario with its defaults, or every problem found with its place (`appliances[3].powerW`).
 */
export function parseScenario(
  json: unknown,
): { ok: true; scenario: Scenario } | { ok: false; problems: readonly JsonProblem[] } {
  const parsed = scenario.safeParse(json);
  if (!parsed.success) {
    const knownKeys = (path: readonly PropertyKey[]) => schemaKeys(scenario, path);
    const guide = { knownKeys, hintFor: () => null, reasonFor: () => null };
    return { ok: false, problems: jsonProblems(parsed.error.issues, json, guide) };
  }
  const site = parseSite(parsed.data.site);
  const problems = site.ok
    ? contradictionsOf(parsed.data)
    : site.problems.map((one) => ({ ...one, path: one.path === "" ? "site" : `site.${one.path}` }));
  return problems.length > 0 ? { ok: false, problems } : { ok: true, scenario: parsed.data };
}

/** What no single key can show: figures that exclude each other. */
function contradictionsOf({ battery, sun, inverter, log, appliances }: Scenario): JsonProblem[] {
  const problems: JsonProblem[] = [];
  const add = (path: string, message: string, hint: string) => problems.push({ path, message, hint });
  if (battery.resumeSocPct <= battery.lowSocPct) {
    add("battery.resumeSocPct", "It is not above battery.lowSocPct.", "Raise it above battery.lowSocPct.");
  }
  if (sun.mixed + sun.overcast > 1) {
    add("sun", "mixed and overcast together make more than all days.", "Keep their sum at 1 or below.");
  }
  let previousRatio = 1;
  for (const [i, { upToRatio }] of inverter.overload.entries()) {
    if (upToRatio <= previousRatio) {
      add(
        `inverter.overload[${i}]`,
        "Its ratio is not above the one before.",
        "List the allowances from small to great.",
      );
    }
    previousRatio = upToRatio;
  }
  if (log.columns.loadL1W === undefined && log.columns.loadL2W === undefined) {
    add("log.columns", "There is no load in this log.", "Name a column for loadL1W or loadL2W.");
  }
  if (log.delimiter === log.decimalMark) {
    add(
      "log.decimalMark",
      "It is the delimiter too.",
      "Use ; as the delimiter where the decimal mark is a comma.",
    );
  }
  const isSplit = log.stamp === "wall" && log.pattern.includes("|");
  if (Array.isArray(log.stampHeader) !== isSplit) {
    add(
      "log.stampHeader",
      "Headers and pattern disagree on split date and time.",
      'Give two headers and a "|" in log.pattern, or neither.',
    );
  }
  for (const [i, one] of appliances.entries()) {
    if (!one.always && one.habits.length === 0 && one.runs.length === 0) {
      add(`appliances[${i}]`, `${one.name} never runs.`, "Give it always, habits or runs.");
    }
  }
  return problems;
}
