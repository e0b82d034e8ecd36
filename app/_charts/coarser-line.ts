import type { Line } from "./day-picture";
import { thinPoints } from "./thin-points";

/** Fewer points: of minutes several in one with their least and greatest, of samples those that reach farthest. */
export function coarserLine(line: Line, most: number): Line {
  if (line.s.length <= most) return line;
  if (line.lo === undefined || line.hi === undefined) {
    if (line.s.length <= 2 * most) return line;
    const kept = thinPoints(
      line.v.map((value) => value ?? Number.NaN),
      2 * most,
    );
    return { s: kept.map((i) => line.s[i]), v: kept.map((i) => line.v[i]) };
  }
  const size = Math.ceil(line.s.length / most);
  const out = {
    s: [] as number[],
    v: [] as (number | null)[],
    lo: [] as (number | null)[],
    hi: [] as (number | null)[],
  };
  for (let from = 0; from < line.s.length; from += size) {
    const known: number[] = [];
    for (let i = from; i < Math.min(from + size, line.s.length); i += 1)
      if (line.v[i] !== null) known.push(i);
    const of = (values: readonly (number | null)[], reduce: (numbers: number[]) => number) =>
      known.length === 0 ? null : reduce(known.map((i) => values[i]!));
    out.s.push(line.s[from]);
    out.v.push(of(line.v, (numbers) => numbers.reduce((sum, value) => sum + value, 0) / numbers.length));
    out.lo.push(of(line.lo, (numbers) => Math.min(...numbers)));
    out.hi.push(of(line.hi, (numbers) => Math.max(...numbers)));
  }
  return out;
}
