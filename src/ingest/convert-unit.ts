import type { Unit } from "../site/column-map-schema";

/** A figure in another unit of the same quantity; NaN where the two units are of different quantities. */
export function convertUnit(value: number, from: Unit, to: Unit): number {
  if (from === to) return value;
  if (from === "F" && to === "C") return ((value - 32) * 5) / 9;
  if (from === "C" && to === "F") return (value * 9) / 5 + 32;
  const a = SCALES[from];
  const b = SCALES[to];
  if (a === undefined || b === undefined || a.quantity !== b.quantity) return Number.NaN;
  // A quotient of whole numbers is rounded once only.
  return a.scale >= b.scale ? value * (a.scale / b.scale) : value / (b.scale / a.scale);
}

/** Sizes of units, in the smallest of their quantity. */
const SCALES: { readonly [U in Unit]?: { quantity: string; scale: number } } = {
  W: { quantity: "power", scale: 1 },
  kW: { quantity: "power", scale: 1000 },
  Wh: { quantity: "energy", scale: 1 },
  kWh: { quantity: "energy", scale: 1000 },
  MWh: { quantity: "energy", scale: 1_000_000 },
  VA: { quantity: "apparent power", scale: 1 },
  kVA: { quantity: "apparent power", scale: 1000 },
  mA: { quantity: "current", scale: 1 },
  A: { quantity: "current", scale: 1000 },
  mV: { quantity: "voltage", scale: 1 },
  V: { quantity: "voltage", scale: 1000 },
  "%": { quantity: "ratio", scale: 1 },
  share: { quantity: "ratio", scale: 100 },
};
