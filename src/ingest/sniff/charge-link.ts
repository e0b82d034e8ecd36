/**
 * How a battery's power or current goes with its state of charge: the correlation of the charge taken out
 * (what counts up, integrated over stretches of the log) with the fall of the state of charge. Near 1: positive is
 * discharging; near −1: positive is charging. NaN where there is too little to see. `timesMs` are the rows' times.
 */
export function chargeLink(
  values: Float64Array,
  socPct: Float64Array,
  timesMs: Float64Array,
): { correlation: number; stretches: number } {
  const n = values.length;
  const wanted = Math.min(60, Math.floor(n / 6));
  if (wanted < 6) return { correlation: Number.NaN, stretches: 0 };
  const out: number[] = [];
  const fall: number[] = [];
  const length = Math.floor(n / wanted);
  for (let from = 0; from + length < n; from += length) {
    let taken = 0;
    let good = 0;
    for (let i = from; i < from + length; i++) {
      const hours = Number.isNaN(timesMs[i + 1] - timesMs[i]) ? 1 : (timesMs[i + 1] - timesMs[i]) / 3_600_000;
      if (Number.isNaN(values[i]) || !(hours > 0) || hours > 6) continue;
      taken += values[i] * hours;
      good++;
    }
    const change = socPct[from] - socPct[from + length];
    if (good < 0.7 * length || Number.isNaN(change)) continue;
    out.push(taken);
    fall.push(change);
  }
  return { correlation: correlationOf(out, fall), stretches: out.length };
}

function correlationOf(a: readonly number[], b: readonly number[]): number {
  const n = a.length;
  if (n < 6) return Number.NaN;
  let ma = 0;
  let mb = 0;
  for (let i = 0; i < n; i++) {
    ma += a[i] / n;
    mb += b[i] / n;
  }
  let ab = 0;
  let aa = 0;
  let bb = 0;
  for (let i = 0; i < n; i++) {
    ab += (a[i] - ma) * (b[i] - mb);
    aa += (a[i] - ma) ** 2;
    bb += (b[i] - mb) ** 2;
  }
  return aa === 0 || bb === 0 ? Number.NaN : ab / Math.sqrt(aa * bb);
}
