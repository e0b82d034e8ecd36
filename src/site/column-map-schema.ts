import { z } from "zod";
import { NUMERIC_CHANNELS, type NumericChannel, SOURCES, TRANSFER_CAUSES } from "../analysis/series";
import { BOUNDS } from "./bounds";
import { isIanaZone } from "./is-iana-zone";
import { parseTimePattern } from "./parse-time-pattern";

/** Units that a column can be in. */
export const UNITS = [
  "W",
  "kW",
  "Wh",
  "kWh",
  "MWh",
  "VA",
  "kVA",
  "A",
  "mA",
  "V",
  "mV",
  "%",
  "C",
  "F",
  "Hz",
] as const;

export type Unit = (typeof UNITS)[number];

/** Units of energy: a power channel can be logged as energy, and is then the energy over its time. */
export const ENERGY_UNITS = ["Wh", "kWh", "MWh"] as const satisfies readonly Unit[];

/** How a column of energy counts: a running total (that may start again), or the energy of each interval. */
export const ENERGY_FORMS = ["counter", "interval"] as const;

export type EnergyForm = (typeof ENERGY_FORMS)[number];

const columnRef = z.union([
  z.string().min(1).max(BOUNDS.wordLength),
  z.int().min(1).max(BOUNDS.columnNumber),
]);

const word = z.string().max(BOUNDS.wordLength);

const oneWayPair = z.strictObject({ plus: columnRef, minus: columnRef });

function wordsTo<T extends z.ZodType>(value: T) {
  return z.record(word, value).refine((w) => Object.keys(w).length <= BOUNDS.mappedWords, {
    error: `has more than ${BOUNDS.mappedWords} words`,
  });
}

function numericColumn(channel: NumericChannel) {
  const unit = z.enum(unitsOf(channel)).optional();
  const sign = signOf(channel);
  const signed =
    sign === null
      ? { column: columnRef, unit }
      : { column: z.union([columnRef, oneWayPair]), unit, positive: z.enum(sign).optional() };
  if (!ENERGY_UNITS.some((e) => unitsOf(channel).includes(e))) return z.strictObject(signed).optional();
  return z
    .strictObject({ ...signed, energy: z.enum(ENERGY_FORMS).optional() })
    .refine((c) => c.energy === undefined || isEnergyUnit(c.unit), {
      path: ["energy"],
      error: `needs "unit": ${ENERGY_UNITS.join(", ")}`,
    })
    .optional();
}

const numericShape = Object.fromEntries(NUMERIC_CHANNELS.map((c) => [c, numericColumn(c)])) as unknown as {
  [C in NumericChannel]: z.ZodOptional<
    z.ZodType<{
      column: ColumnRef | { plus: ColumnRef; minus: ColumnRef };
      unit?: Unit;
      positive?: "discharge" | "charge" | "import" | "export";
      energy?: EnergyForm;
    }>
  >;
};

/** A column by its header name, or by its number from 1 where the log has no header. */
export type ColumnRef = string | number;

/**
 * The schema of columns.json (design: files.md), version 1. Everything but the version may be left out: the
 * rest is inferred, or asked for.
 */
export const columnMapSchema = z.strictObject({
  version: z.literal(1),
  time: z
    .strictObject({
      column: z.union([columnRef, z.array(columnRef).min(1).max(BOUNDS.timeColumns)]).optional(),
      format: z
        .string()
        .max(BOUNDS.patternLength)
        .refine(isTimeFormat, {
          error: "is neither auto, epoch-s or epoch-ms nor a date pattern with year, month, day and hour",
        })
        .optional(),
      zone: z
        .string()
        .max(BOUNDS.nameLength)
        .refine(isZoneOrOffset, {
          error: 'is neither "site", "UTC", a zone of the IANA database nor an offset such as "-07:00"',
        })
        .optional(),
      stamps: z.enum(["start", "end"]).optional(),
    })
    .optional(),
  channels: z
    .strictObject({
      ...numericShape,
      source: z.strictObject({ column: columnRef, words: wordsTo(z.enum(SOURCES)).optional() }).optional(),
      faultCode: z
        .strictObject({
          column: columnRef,
          noFault: z.array(word).max(BOUNDS.missingWords).optional(),
          words: wordsTo(z.enum(TRANSFER_CAUSES)).optional(),
        })
        .optional(),
    })
    .optional(),
  missing: z.array(word).max(BOUNDS.missingWords).optional(),
});

/** A columns.json as it was written, whole or part. */
export type ColumnMapInput = z.infer<typeof columnMapSchema>;

/** The units that a channel can be logged in; the first one is its own. */
export function unitsOf(channel: NumericChannel): readonly [Unit, ...Unit[]] {
  if (channel.endsWith("Va")) return ["VA", "kVA"];
  if (channel.endsWith("PeakW")) return ["W", "kW"];
  if (channel.endsWith("W")) return ["W", "kW", ...ENERGY_UNITS];
  if (channel.endsWith("A")) return ["A", "mA"];
  if (channel.endsWith("V")) return ["V", "mV"];
  if (channel.endsWith("Pct")) return ["%"];
  return channel === "frequencyHz" ? ["Hz"] : ["C", "F"];
}

/** Whether a unit is one of energy, for a column that gives power only by difference or over its interval. */
export function isEnergyUnit(unit: Unit | undefined): unit is (typeof ENERGY_UNITS)[number] {
  return unit !== undefined && (ENERGY_UNITS as readonly Unit[]).includes(unit);
}

/** The two directions of a signed channel, the canonical one first; null for a channel that has no sign. */
export function signOf(
  channel: NumericChannel,
): readonly ["discharge", "charge"] | readonly ["import", "export"] | null {
  if (channel === "batteryA" || channel === "batteryW") return ["discharge", "charge"];
  return /^grid(L[12])?[WA]$/.test(channel) ? ["import", "export"] : null;
}

function isTimeFormat(format: string): boolean {
  return format === "auto" || format === "epoch-s" || format === "epoch-ms" || parseTimePattern(format).ok;
}

function isZoneOrOffset(zone: string): boolean {
  return zone === "site" || /^[+-](?:0\d|1[0-8]):?[0-5]\d$/.test(zone) || isIanaZone(zone);
}
