/**
 * How a battery's power or current goes with its state of charge: the correlation of the charge taken out
 * (what counts up, integrated over stretches of the log) with the fall of the state of charge. Near 1: positive is
 * discharging; near −1: positive is charging. NaN where there is too little to see, or no time. `timesMs` are the rows' times.
 */
export function chargeLink(
  values: Float64Array,
  socPct: Float64Array,
  timesMs: Float64Array,
): { correlation: number; stretches: number } {
  const n = values.length;
  const wanted = Math.min(60, Math.floor(n / 6));
  if (wanted < 6) return { correlation: Number.NaN, stretches: 0 };
  const steps = Array.from({ length: n - 1 }, (_, i) => timesMs[i + 1] - timesMs[i]).filter(
    (step) => step > 0,
  );
  steps.sort((a, b) => a - b);
  // Over a hole nobody knows what was taken.
  const longest = 5 * (steps[steps.length >> 1] ?? 0);
  const out: number[] = [];
  const fall: number[] = [];
  const length = Math.floor(n / wanted);
  for (let from = 0; from + length < n; from += length) {
    let taken = 0;
    let fallen = 0;
    let good = 0;
    for (let i = from; i < from + length; i++) {
      const step = timesMs[i + 1] - timesMs[i];
      const change = socPct[i] - socPct[i + 1];
      if (!(step > 0) || step > longest || Number.isNaN(values[i]) || Number.isNaN(change)) continue;
      taken += (values[i] * step) / 3_600_000;
      fallen += change;
      good++;
    }
    if (good < 0.7 * length) continue;
    out.push(taken);
    fall.push(fallen);
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
