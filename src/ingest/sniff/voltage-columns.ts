import type { SniffColumn } from "./power-sources";

/** Columns of voltages, by name or by their narrow band. */
export type VoltageColumns = {
  /** Near 120 V, by name of the legs' where they say it. */
  readonly legs: readonly SniffColumn[];
  readonly packs: readonly SniffColumn[];
  /** Of the grid, or of both legs together. */
  readonly grid: readonly SniffColumn[];
  /** Near 50 or 60 and hardly moving. */
  readonly frequencies: readonly SniffColumn[];
};

/**
 * Sorts out the columns that hold a supply's voltage or frequency, or a pack's voltage: by what their names say, and
 * where they don't, by a narrow band near 120, 240, 60, 50, or a pack's nominal voltage.
 */
export function voltageColumns(columns: readonly SniffColumn[]): VoltageColumns {
  const legs: SniffColumn[] = [];
  const packs: SniffColumn[] = [];
  const grid: SniffColumn[] = [];
  const frequencies: SniffColumn[] = [];
  const nameless: SniffColumn[] = [];
  for (const column of columns) {
    const { name, facts, shape } = column;
    if (facts.numeric < 0.9 || facts.present === 0) continue;
    const { concepts, canonical, quantity } = name;
    if (canonical !== null) {
      if (/^loadL[12]V$/.test(canonical)) legs.push(column);
      else if (canonical === "batteryV") packs.push(column);
      else if (canonical === "gridV") grid.push(column);
      else if (canonical === "frequencyHz") frequencies.push(column);
      continue;
    }
    if (concepts.has("aside") || concepts.has("limit") || concepts.has("health") || concepts.has("circuit"))
      continue;
    if (concepts.has("peak") || concepts.has("elsewhere") || concepts.has("time")) continue;
    if (quantity === "Hz") frequencies.push(column);
    else if (quantity === "V" || (quantity === null && column.name.otherUnit === null)) {
      const band = shape.high > 0 ? (shape.high - Math.max(0, shape.low)) / shape.high : 1;
      const middle = name.unit === "mV" || facts.median > 10_000 ? facts.median / 1000 : facts.median;
      const steady = band < 0.2 && shape.low > 0;
      const byName = quantity === "V";
      if (concepts.has("solar") || concepts.has("string") || concepts.has("source") || concepts.has("fault"))
        continue;
      if (byName && (concepts.has("battery") || concepts.has("dc"))) packs.push(column);
      else if (byName && concepts.has("grid")) {
        if (name.leg === null) grid.push(column);
      } else if (byName && name.leg !== null) legs.push(column);
      else if (
        !byName &&
        (concepts.has("load") ||
          concepts.has("soc") ||
          (facts.decimals === 0 && facts.words !== null && facts.words.length < 4))
      )
        continue;
      else if (steady && middle > 100 && middle < 140 && (byName || band < 0.1))
        (byName ? legs : nameless).push(column);
      else if (steady && middle > 200 && middle < 260 && (byName || band < 0.1)) grid.push(column);
      else if (!byName && isMainsFrequency(middle, shape.high - shape.low)) frequencies.push(column);
      else if (
        (band < 0.3 && isPack(middle) && shape.roughness < 0.2 && facts.decimals > 0) ||
        (byName && isPack(middle))
      ) {
        if (byName || !name.telling || concepts.has("battery") || concepts.has("dc")) packs.push(column);
      }
    }
  }
  // A steady load can look like one leg's voltage, but not like two of nearly the same.
  for (const one of nameless) {
    if (
      nameless.some((o) => o !== one && Math.abs(o.facts.median - one.facts.median) < 0.03 * one.facts.median)
    )
      legs.push(one);
  }
  return { legs, packs, grid, frequencies };
}

function isMainsFrequency(middle: number, width: number): boolean {
  return (Math.abs(middle - 50) < 1 || Math.abs(middle - 60) < 1) && width < 1.2;
}

/** Packs of 12, 24, 36 and 48 V, from empty to charging. */
function isPack(middle: number): boolean {
  return (middle > 10.5 && middle < 15.5) || (middle > 21 && middle < 31) || (middle > 33 && middle < 62);
}
