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
  "share",
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

/** Forms of time that aren't date patterns. "auto" is ISO 8601 with whatever stands behind it, or what the log shows. */
export const TIME_FORMATS = [
  "auto",
  "epoch-s",
  "epoch-ms",
  "epoch-us",
  "spreadsheet-day",
  "spreadsheet-day-1904",
] as const;

/** Encodings that a log can be in. */
export const ENCODINGS = ["utf-8", "utf-16le", "utf-16be", "windows-1252"] as const;

/** Marks that can stand between the fields of a log. */
export const DELIMITERS = [",", ";", "\t", "|"] as const;

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
      : {
          column: goesBothWays(channel) ? z.union([columnRef, oneWayPair]) : columnRef,
          unit,
          positive: z.enum(sign).optional(),
        };
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
      positive?: Directions[number];
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
          error: `is neither ${TIME_FORMATS.join(", ")} nor a date pattern with year, month, day and hour`,
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
      date: z
        .string()
        .max(BOUNDS.patternLength)
        .refine(isDate, { error: 'is no date such as "2026-05-01"' })
        .optional(),
    })
    .optional(),
  text: z
    .strictObject({
      encoding: z.enum(ENCODINGS).optional(),
      delimiter: z.enum(DELIMITERS).optional(),
      decimalMark: z.enum([".", ","]).optional(),
      headerLine: z.int().min(0).max(BOUNDS.headerLine).optional(),
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
  if (channel.endsWith("Pct")) return ["%", "share"];
  return channel === "frequencyHz" ? ["Hz"] : ["C", "F"];
}

/** Whether a unit is one of energy, for a column that gives power only by difference or over its interval. */
export function isEnergyUnit(unit: Unit | undefined): unit is (typeof ENERGY_UNITS)[number] {
  return unit !== undefined && (ENERGY_UNITS as readonly Unit[]).includes(unit);
}

/** Directions that a column can count up in, the canonical one of its channel first. */
export type Directions =
  | readonly ["discharge", "charge"]
  | readonly ["import", "export"]
  | readonly ["generation", "consumption"]
  | readonly ["consumption", "generation"];

/**
 * The two directions of a channel that can be logged with either sign, the canonical one first; null for one that has
 * no sign. Sun and loads have one direction, but some logs count what is generated, or what is consumed, below zero.
 */
export function signOf(channel: NumericChannel): Directions | null {
  if (channel === "batteryA" || channel === "batteryW") return ["discharge", "charge"];
  if (/^solar\d?W$/.test(channel)) return ["generation", "consumption"];
  if (/^load(L[12])?W$/.test(channel)) return ["consumption", "generation"];
  return /^grid(L[12])?[WA]$/.test(channel) ? ["import", "export"] : null;
}

/** Whether a channel goes both ways, so that a log can have it in two one-way columns. */
export function goesBothWays(channel: NumericChannel): boolean {
  return channel.startsWith("battery") ? signOf(channel) !== null : /^grid(L[12])?[WA]$/.test(channel);
}

function isTimeFormat(format: string): boolean {
  return (TIME_FORMATS as readonly string[]).includes(format) || parseTimePattern(format).ok;
}

function isDate(text: string): boolean {
  const day = /^\d{4}-\d\d-\d\d$/.test(text) ? new Date(`${text}T00:00:00Z`) : null;
  return day !== null && !Number.isNaN(day.getTime()) && day.toISOString().startsWith(text);
}

function isZoneOrOffset(zone: string): boolean {
  return zone === "site" || /^[+-](?:0\d|1[0-8]):?[0-5]\d$/.test(zone) || isIanaZone(zone);
}
