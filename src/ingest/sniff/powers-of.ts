import type { NumericChannel } from "../../analysis/series";
import type { NumericColumn } from "../../site/column-map";
import { signOf } from "../../site/column-map-schema";
import type { PowerColumns } from "./signs";
import type { SniffState } from "./sniff-state";

/** Powers in W as far as the draft has them; null without any load. */
export function powersOf(state: SniffState): PowerColumns | null {
  const value = (channel: NumericChannel): Float64Array | null => {
    const column = state.draft.channels[channel];
    if (column === undefined || column.unit === undefined) {
      if (column === undefined || state.guessed.has(channel)) return null;
    }
    return signedValues(state, channel, column as NumericColumn);
  };
  const legs = (["L1", "L2"] as const).map(
    (leg) =>
      value(`load${leg}W`) ?? product(value(`load${leg}A`), value(`load${leg}V`)) ?? value(`load${leg}Va`),
  );
  const load = sum(legs) ?? value("loadW");
  if (load === null) return null;
  const gridLegs = (["L1", "L2"] as const).map((leg) => value(`grid${leg}W`));
  return {
    load,
    solar:
      value("solarW") ??
      sumOfPresent([value("solar1W"), value("solar2W"), value("solar3W"), value("solar4W")]),
    battery: value("batteryW") ?? product(value("batteryA"), value("batteryV")),
    grid: value("gridW") ?? sum(gridLegs),
  };
}

function signedValues(
  state: SniffState,
  channel: NumericChannel,
  column: NumericColumn,
): Float64Array | null {
  const pair = typeof column.column === "object" ? column.column : { plus: column.column, minus: null };
  const scale =
    column.unit === "kW" || column.unit === "kVA"
      ? 1000
      : column.unit === "mA" || column.unit === "mV"
        ? 0.001
        : 1;
  const sign = column.positive !== undefined && column.positive === signOf(channel)?.[1] ? -1 : 1;
  const plus = state.factsOf(pair.plus)?.values;
  if (plus === undefined) return null;
  const minus = pair.minus === null ? undefined : state.factsOf(pair.minus)?.values;
  return plus.map((v, i) => sign * scale * (v - (minus === undefined ? 0 : minus[i])));
}

function product(a: Float64Array | null, b: Float64Array | null): Float64Array | null {
  return a === null || b === null ? null : a.map((v, i) => v * b[i]);
}

function sum(parts: readonly (Float64Array | null)[]): Float64Array | null {
  const [a, b] = parts;
  return a === null || b === null ? null : a.map((v, i) => v + b[i]);
}

function sumOfPresent(parts: readonly (Float64Array | null)[]): Float64Array | null {
  const present = parts.filter((p) => p !== null);
  if (present.length === 0) return null;
  return present[0].map((_, i) => present.reduce((total, p) => total + p[i], 0));
}
