/**
 * The numeric channels of a log, in canonical unit and sign. The unit stands in the name; battery power
 * and current are positive when discharging, grid power is positive when importing. The order is the
 * order of columns in storage: new channels go at the end.
 */
export const NUMERIC_CHANNELS = [
  "loadL1W",
  "loadL2W",
  "loadW",
  "loadL1Va",
  "loadL2Va",
  "loadL1A",
  "loadL2A",
  "loadL1V",
  "loadL2V",
  "loadL1PeakW",
  "loadL2PeakW",
  "solarW",
  "solar1W",
  "solar2W",
  "solar3W",
  "solar4W",
  "batteryA",
  "batteryV",
  "batteryW",
  "batterySocPct",
  "gridL1W",
  "gridL2W",
  "gridL1A",
  "gridL2A",
  "gridW",
  "gridV",
  "frequencyHz",
  "inverterTempC",
] as const;

export type NumericChannel = (typeof NUMERIC_CHANNELS)[number];

/** Every channel a column map can name: the numeric ones, the source state and the fault code. */
export type Channel = NumericChannel | "source" | "faultCode";

/**
 * What carries the loads, as stored in `Series.sources`: the index in this list. `unknown` is 0 so that a
 * fresh column says "not known" and not something wrong.
 */
export const SOURCES = ["unknown", "inverter", "utility", "generator", "none"] as const;

export type Source = (typeof SOURCES)[number];

/** Codes of `Series.sources`. */
export const SOURCE_CODE = { unknown: 0, inverter: 1, utility: 2, generator: 3, none: 4 } as const;

/**
 * Samples as columns, of one logger: the shape in which logs are read, stored and analysed.
 *
 * All columns have the length of `timesMs`, which is strictly ascending (epoch milliseconds UTC). A missing
 * value is NaN in its column. A numeric channel that the log doesn't have is absent from `channels`; one
 * that it has but that is empty here is a column of NaN: the two mean different things (definitions D2).
 * A chunk of a longer series has the same shape; a channel absent from one chunk is absent from all.
 */
export type Series = {
  readonly timesMs: Float64Array;
  readonly channels: Readonly<Partial<Record<NumericChannel, Float32Array>>>;
  /** SOURCE_CODE per sample; null where the log has no source column. */
  readonly sources: Uint8Array | null;
  /** Index + 1 into the fault words of the series; 0 = no fault. Null where the log has no fault column. */
  readonly faults: Uint16Array | null;
};

/** A fault code as the log writes it, and the cause the column map gives it, if any. */
export type FaultWord = { readonly code: string; readonly meaning: TransferCause | null };

/** Causes of a transfer, definitions D6. */
export const TRANSFER_CAUSES = [
  "fault",
  "overload",
  "dc-limit",
  "over-temperature",
  "low-battery",
  "motor-start",
  "load-step",
  "scheduled",
  "in-gap",
  "unexplained",
] as const;

export type TransferCause = (typeof TRANSFER_CAUSES)[number];
