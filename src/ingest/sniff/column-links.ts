import type { SniffColumn } from "./power-sources";

/** Columns that say the same thing twice. */
export type ColumnLinks = {
  /** `total` is the sum of the two `parts`, but for `open` of it. */
  readonly sums: readonly {
    readonly total: number;
    readonly parts: readonly [number, number];
    readonly open: number;
  }[];
  /** `power` is current times voltage over `divide` (1 or 1000), but for `open` of it. */
  readonly products: readonly {
    readonly power: number;
    readonly current: number;
    readonly voltage: number;
    readonly divide: 1 | 1000;
    readonly open: number;
  }[];
  /** `copy` shows what `original` does. */
  readonly copies: readonly { readonly original: number; readonly copy: number }[];
};

const ROWS = 200;
/** The product of volts and amperes is the power but for the power factor; a direct one but for rounding. */
const OPEN_PRODUCT = 0.08;
const OPEN_SUM = 0.01;
const MAX_COLUMNS = 24;

/**
 * Finds legs that add up to a total, currents that with a voltage give a power, and columns there twice, among columns
 * that move. Columns are named by their index in the log.
 */
export function columnLinks(powers: readonly SniffColumn[], voltages: readonly SniffColumn[]): ColumnLinks {
  const moving = powers.filter((c) => c.shape.high > c.shape.low).slice(0, MAX_COLUMNS);
  const length = moving[0]?.facts.values.length ?? 0;
  const step = Math.max(1, Math.floor(length / ROWS));
  const rows = Array.from({ length: Math.floor(length / step) }, (_, k) => k * step);
  const seen = new Map(
    [...moving, ...voltages].map((c) => [c.index, Float64Array.from(rows, (i) => c.facts.values[i])]),
  );
  const of = (c: SniffColumn) => seen.get(c.index) as Float64Array;
  const sums: ColumnLinks["sums"][number][] = [];
  const products: ColumnLinks["products"][number][] = [];
  const copies: ColumnLinks["copies"][number][] = [];
  for (let i = 0; i < moving.length; i++) {
    for (let j = i + 1; j < moving.length; j++) {
      const a = of(moving[i]);
      const b = of(moving[j]);
      if (openShare(a, b) < 0.005) copies.push({ original: moving[i].index, copy: moving[j].index });
      const sum = a.map((v, k) => v + b[k]);
      for (const total of moving) {
        if (
          total === moving[i] ||
          total === moving[j] ||
          moving[i].shape.zeroShare > 0.98 ||
          moving[j].shape.zeroShare > 0.98
        )
          continue;
        const open = openShare(of(total), sum);
        if (open < OPEN_SUM)
          sums.push({ total: total.index, parts: [moving[i].index, moving[j].index], open });
      }
    }
  }
  for (const current of moving) {
    if (current.shape.size > 500) continue;
    for (const voltage of voltages) {
      // Power and current of a pack may count up in opposite ways.
      const product = of(current).map((v, k) => Math.abs(v * of(voltage)[k]));
      for (const power of moving) {
        if (power === current) continue;
        for (const divide of [1, 1000] as const) {
          const open = openShare(
            of(power).map(Math.abs),
            divide === 1 ? product : product.map((v) => v / divide),
          );
          if (open < OPEN_PRODUCT) {
            products.push({
              power: power.index,
              current: current.index,
              voltage: voltage.index,
              divide,
              open,
            });
          }
        }
      }
    }
  }
  products.sort((a, b) => a.open - b.open);
  return { sums, products, copies };
}

function openShare(a: Float64Array, b: Float64Array): number {
  let apart = 0;
  let size = 0;
  for (let i = 0; i < a.length; i++) {
    const d = Math.abs(a[i] - b[i]);
    if (Number.isNaN(d)) continue;
    apart += d;
    size += Math.abs(a[i]);
  }
  return size === 0 ? 1 : apart / size;
}
