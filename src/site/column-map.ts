import type { NumericChannel, Source, TransferCause } from "../analysis/series";
import {
  type ColumnMapInput,
  type ColumnRef,
  type Directions,
  type EnergyForm,
  isEnergyUnit,
  type Unit,
  unitsOf,
} from "./column-map-schema";

/** Which column a numeric channel is, in which unit, and which way it counts up. */
export type NumericColumn = {
  readonly column: ColumnRef | { readonly plus: ColumnRef; readonly minus: ColumnRef };
  readonly unit: Unit;
  readonly positive?: Directions[number];
  /** There exactly where `unit` is one of energy: power is then the difference (counter) or the share of the interval. */
  readonly energy?: EnergyForm;
};

/** A column map with every default filled in: what `readLog` reads by. */
export type ColumnMap = {
  readonly version: 1;
  readonly time: {
    readonly column: ColumnRef | readonly ColumnRef[];
    /** One of TIME_FORMATS or a CLDR date pattern. */
    readonly format: string;
    /** "site", "UTC", an IANA zone or an offset. */
    readonly zone: string;
    readonly stamps: "start" | "end";
    /** Day of the first row, "2026-05-01", where the log has times of day only. */
    readonly date?: string;
  };
  /** How the text is cut into cells, as far as it is stated; the rest shows in the log itself. */
  readonly text?: ColumnMapInput["text"];
  readonly channels: { readonly [C in NumericChannel]?: NumericColumn } & {
    readonly source?: { readonly column: ColumnRef; readonly words: Readonly<Record<string, Source>> };
    readonly faultCode?: {
      readonly column: ColumnRef;
      readonly noFault: readonly string[];
      readonly words: Readonly<Record<string, TransferCause>>;
    };
  };
  readonly missing: readonly string[];
};

/** Words for "no fault" where the map gives none. */
export const DEFAULT_NO_FAULT = ["", "0", "OK", "none", "--"] as const;

/** Words for a missing value where the map gives none. An empty cell is always missing. */
export const DEFAULT_MISSING = ["", "-", "--", "---", "NaN", "NA", "N/A", "null"] as const;

/**
 * The map as written with the defaults of files.md filled in and nothing inferred; null where it has no
 * time column. A numeric channel without a unit is in the unit that its name ends in.
 */
export function columnMap(given: ColumnMapInput): ColumnMap | null {
  if (given.time?.column === undefined) return null;
  const channels: Record<string, unknown> = {};
  for (const [channel, column] of Object.entries(given.channels ?? {})) {
    if (column === undefined) continue;
    if (channel === "source") channels.source = { words: {}, ...column };
    else if (channel === "faultCode")
      channels.faultCode = { noFault: DEFAULT_NO_FAULT, words: {}, ...column };
    else channels[channel] = numericColumn(channel as NumericChannel, column as Partial<NumericColumn>);
  }
  return {
    version: 1,
    time: {
      column: given.time.column,
      format: given.time.format ?? "auto",
      zone: given.time.zone ?? "site",
      stamps: given.time.stamps ?? "start",
      ...(given.time.date === undefined ? {} : { date: given.time.date }),
    },
    ...(given.text === undefined ? {} : { text: given.text }),
    channels: channels as ColumnMap["channels"],
    missing: given.missing ?? DEFAULT_MISSING,
  };
}

function numericColumn(channel: NumericChannel, given: Partial<NumericColumn>): Partial<NumericColumn> {
  const unit = given.unit ?? unitsOf(channel)[0];
  return { ...given, unit, ...(isEnergyUnit(unit) ? { energy: given.energy ?? "counter" } : {}) };
}
