import { z } from "zod";
import { NUMERIC_CHANNELS } from "../analysis/series";
import { DEFAULT_SETTINGS, type Settings } from "../analysis/settings";
import { BOUNDS } from "./bounds";
import { isIanaZone } from "./is-iana-zone";

const name = z.string().trim().min(1).max(BOUNDS.nameLength);
const positive = (max: number) => z.number().positive().max(max);
const notNegative = (max: number) => z.number().nonnegative().max(max);
const percent = z.number().min(0).max(100);

const localDate = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}$/, { error: "is not a date of the form yyyy-MM-dd" })
  .refine(isCalendarDate, { error: "is not a day of the calendar" });

const clockTime = z.string().regex(/^(?:[01]\d|2[0-3]):[0-5]\d$|^24:00$/, {
  error: "is not a time of day of the form HH:mm, 00:00 to 24:00",
});

const batterySchema = z
  .strictObject({
    nominalV: positive(BOUNDS.volts).optional(),
    capacityAh: positive(BOUNDS.ampHours).optional(),
    maxDischargeA: positive(BOUNDS.amps).optional(),
    maxChargeA: positive(BOUNDS.amps).optional(),
    surgeA: positive(BOUNDS.amps).optional(),
    fuseA: positive(BOUNDS.amps).optional(),
    lowSocPct: percent.optional(),
    resumeSocPct: percent.optional(),
    lowV: positive(BOUNDS.volts).optional(),
  })
  .refine((b) => b.lowSocPct === undefined || b.resumeSocPct === undefined || b.resumeSocPct >= b.lowSocPct, {
    path: ["resumeSocPct"],
    error: "is below lowSocPct: the inverter would come back on an emptier battery than it left on",
  });

const ratingsSchema = z.strictObject({
  from: localDate,
  legLimitW: positive(BOUNDS.watts),
  totalLimitW: positive(BOUNDS.watts).optional(),
  legLimitVa: positive(BOUNDS.watts).optional(),
  totalLimitVa: positive(BOUNDS.watts).optional(),
  legNominalV: z
    .number()
    .refine((v) => v >= BOUNDS.legNominalMinV && v <= BOUNDS.legNominalMaxV, {
      error: `is not a leg of a 120/240 V split-phase supply (${BOUNDS.legNominalMinV} to ${BOUNDS.legNominalMaxV} V), the only supply that is analysed: two legs of 120 V, 180° apart. Single-phase 230 V and three-phase supplies have other limits and another neutral`,
    })
    .optional(),
  overload: z
    .array(
      z.strictObject({
        upToRatio: z.number().gt(1).max(BOUNDS.overloadRatio),
        forS: positive(BOUNDS.seconds),
      }),
    )
    .max(BOUNDS.overloadSteps)
    .refine((steps) => steps.every((s, i) => i === 0 || s.upToRatio > steps[i - 1].upToRatio), {
      error: "is not in ascending order of upToRatio",
    })
    .refine((steps) => steps.every((s, i) => i === 0 || s.forS <= steps[i - 1].forS), {
      error: "allows a greater overload for longer than a smaller one",
    })
    .optional(),
  legSurgeA: positive(BOUNDS.amps).optional(),
  surgeS: positive(BOUNDS.seconds).optional(),
  derate: z
    .array(
      z.strictObject({ aboveC: z.number().min(-50).max(BOUNDS.celsius), ratio: z.number().gt(0).max(1) }),
    )
    .max(BOUNDS.derateSteps)
    .refine((steps) => steps.every((s, i) => i === 0 || s.aboveC > steps[i - 1].aboveC), {
      error: "is not in ascending order of aboveC",
    })
    .optional(),
  maxTempC: z.number().min(-50).max(BOUNDS.celsius).optional(),
  passThroughA: positive(BOUNDS.amps).optional(),
  serviceA: positive(BOUNDS.amps).optional(),
  loadOutsideA: notNegative(BOUNDS.amps).optional(),
  hundredPercentRated: z.array(name).max(20).optional(),
  returnDelayS: notNegative(BOUNDS.seconds).optional(),
  idleW: notNegative(BOUNDS.watts).optional(),
  battery: batterySchema.optional(),
  dcCable: z
    .strictObject({ size: z.string().trim().min(1).max(20), oneWayFt: positive(BOUNDS.feet) })
    .optional(),
  solarPeakW: notNegative(BOUNDS.watts).optional(),
});

const tariffSchema = z.strictObject({
  currency: z.string().regex(/^[A-Z]{3}$/, { error: "is not a currency code of three capitals (ISO 4217)" }),
  periods: z
    .array(
      z.strictObject({
        name,
        pricePerKwh: z.number().min(-BOUNDS.price).max(BOUNDS.price),
        months: z.array(z.int().min(1).max(12)).min(1).max(12).optional(),
        days: z
          .array(z.enum(["mon", "tue", "wed", "thu", "fri", "sat", "sun"]))
          .min(1)
          .max(7)
          .optional(),
        from: clockTime.optional(),
        to: clockTime.optional(),
      }),
    )
    .max(BOUNDS.tariffPeriods)
    .optional(),
  otherwisePerKwh: z.number().min(-BOUNDS.price).max(BOUNDS.price),
  exportPerKwh: z.number().min(-BOUNDS.price).max(BOUNDS.price).optional(),
  fixedPerMonth: z.number().min(-BOUNDS.price).max(BOUNDS.price).optional(),
});

const settingsSchema = z
  .strictObject(settingsShape())
  .refine((s) => !crossed(s, "nearLimitEnter", "nearLimitLeave"), {
    path: ["nearLimitLeave"],
    error: "is above nearLimitEnter: an interval would close where it opens",
  })
  .refine((s) => !crossed(s, "imbalanceEnter", "imbalanceLeave"), {
    path: ["imbalanceLeave"],
    error: "is above imbalanceEnter: an interval would close where it opens",
  })
  .refine((s) => !crossed(s, "imbalanceLoadEnter", "imbalanceLoadLeave"), {
    path: ["imbalanceLoadLeave"],
    error: "is above imbalanceLoadEnter: an interval would close where it opens",
  });

/**
 * The schema of site.json (design: files.md), version 1. Unknown keys are refused, every figure is bounded
 * (bounds.ts). It validates and changes nothing: defaults are filled in by `parseSite`.
 */
export const siteSchema = z.strictObject({
  version: z.literal(1),
  name,
  timezone: z.string().max(BOUNDS.nameLength).refine(isIanaZone, {
    error: "is not a time zone of the IANA database",
  }),
  ratings: z.array(ratingsSchema).min(1).max(BOUNDS.ratings).refine(distinctDates, {
    error: "has two entries from the same day",
  }),
  loggers: z
    .array(
      z.strictObject({
        name,
        channels: z
          .array(z.enum([...NUMERIC_CHANNELS, "source", "faultCode"]))
          .min(1)
          .optional(),
      }),
    )
    .min(1)
    .max(BOUNDS.loggers)
    .refine((loggers) => new Set(loggers.map((l) => l.name)).size === loggers.length, {
      error: "has two loggers of the same name",
    })
    .optional(),
  circuits: z
    .array(
      z.strictObject({
        name,
        legs: z.enum(["L1", "L2", "both"]),
        breakerA: positive(BOUNDS.amps).optional(),
        continuous: z.boolean().optional(),
      }),
    )
    .max(BOUNDS.circuits)
    .optional(),
  tariff: tariffSchema.optional(),
  settings: settingsSchema.optional(),
});

/** A site.json as it was written: what the database keeps, so that a later default reaches old sites too. */
export type SiteInput = z.infer<typeof siteSchema>;

function isCalendarDate(date: string): boolean {
  const ms = Date.parse(`${date}T00:00:00Z`);
  return !Number.isNaN(ms) && new Date(ms).toISOString().startsWith(date);
}

function distinctDates(ratings: { from: string }[]): boolean {
  return new Set(ratings.map((r) => r.from)).size === ratings.length;
}

function settingsShape(): { [K in keyof Settings]: z.ZodOptional<z.ZodNumber> } {
  const shape: Partial<Record<keyof Settings, z.ZodOptional<z.ZodNumber>>> = {};
  for (const key of Object.keys(DEFAULT_SETTINGS) as (keyof Settings)[]) {
    shape[key] = z.number().nonnegative().max(settingMax(key)).optional();
  }
  return shape as { [K in keyof Settings]: z.ZodOptional<z.ZodNumber> };
}

function settingMax(key: keyof Settings): number {
  if (key === "dropoutV" || key === "openNeutralV" || key === "lowVMarginV") return BOUNDS.volts;
  if (key === "lowSocMarginPct") return 100;
  if (key === "steadySamples") return BOUNDS.settingsSamples;
  if (key === "scheduledDays" || key === "scheduledWithinDays") return BOUNDS.settingsDays;
  if (key.endsWith("W")) return BOUNDS.settingsWatts;
  if (key.endsWith("S")) return BOUNDS.settingsSeconds;
  return BOUNDS.settingsRatio;
}

/** Whether the leaving threshold ends up above the entering one, defaults counted in. */
function crossed(s: Partial<Settings>, enter: keyof Settings, leave: keyof Settings): boolean {
  return (s[leave] ?? DEFAULT_SETTINGS[leave]) > (s[enter] ?? DEFAULT_SETTINGS[enter]);
}
