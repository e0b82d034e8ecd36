import { balanceFit } from "./balance-fit";

/** Powers of the sampled rows in W, canonical sign; null where the log has none. */
export type RowPowers = {
  readonly load: Float64Array | null;
  readonly solar: Float64Array | null;
  readonly battery: Float64Array | null;
  readonly grid: Float64Array | null;
};

/** What the rows say of a signed power's direction. */
export type SignEvidence = {
  /** 1: as it is read; -1: the other way round; null: they don't show it. */
  readonly sign: 1 | -1 | null;
  readonly confidence: number;
  /** How far the balance closes, in per cent left open, as read and the other way round, and over how many rows. */
  readonly figures: Readonly<Record<string, number>>;
};

const MIN_ROWS = 8;

/**
 * Whether a battery's or grid's power is read in the right direction: by the balance over the rows in which it isn't
 * near zero, both ways. `link` is `chargeLink` of the battery as it is read, NaN for none: near 1 it is right.
 */
export function signEvidence(powers: RowPowers, role: "battery" | "grid", link: number): SignEvidence {
  const own = powers[role];
  if (own === null || powers.load === null) return fromLink(link, {});
  const n = own.length;
  let greatest = 0;
  for (const v of own) if (Math.abs(v) > greatest) greatest = Math.abs(v);
  const floor = Math.max(40, 0.04 * greatest);
  const rows: number[] = [];
  for (let i = 0; i < n; i++) if (Math.abs(own[i]) > floor) rows.push(i);
  const other = role === "battery" ? powers.grid : powers.battery;
  const given = new Float64Array(n);
  const turnover = new Float64Array(n);
  const closed = { right: 0, wrong: 0 };
  const closing = (sign: 1 | -1) => {
    for (const i of rows) {
      const load = powers.load === null ? 0 : powers.load[i];
      const sun = powers.solar === null ? 0 : Math.max(0, powers.solar[i]);
      const rest = other === null ? 0 : other[i];
      given[i] = sun + rest + sign * own[i];
      turnover[i] = Math.max(Math.abs(load), sun, Math.abs(rest), Math.abs(own[i]));
      const losses = given[i] - load;
      const closes = losses > -Math.max(20, 0.05 * turnover[i]) && losses < Math.max(100, 0.2 * turnover[i]);
      // Only what the other way would leave wide open tells one from the other.
      const otherLosses = losses - 2 * sign * own[i];
      const otherCloses =
        otherLosses > -Math.max(20, 0.05 * turnover[i]) && otherLosses < Math.max(100, 0.2 * turnover[i]);
      if (closes && !otherCloses) closed[sign === 1 ? "right" : "wrong"]++;
    }
    return balanceFit(given, powers.load as Float64Array, turnover, rows);
  };
  const right = closing(1);
  const wrong = closing(-1);
  const figures = {
    rows: right.rows,
    closesToPct: pct(Math.min(right.open, wrong.open)),
    otherwiseToPct: pct(Math.max(right.open, wrong.open)),
    ...(Number.isNaN(link) ? {} : { socCorrelation: Math.round(link * 100) / 100 }),
  };
  if (right.rows < MIN_ROWS) return fromLink(link, figures);
  const [less, more] = [Math.min(right.open, wrong.open), Math.max(right.open, wrong.open)];
  const wide = less <= 0.3 && more >= 1.6 * less + 0.08;
  // A small power beside large ones opens little, and yet always the same way.
  const narrow = less <= 0.06 && more >= 3 * less + 0.004 && right.rows >= 30;
  const clear = wide || narrow;
  // Where a power is missing the balance closes in some rows only; those still tell.
  const most = Math.max(closed.right, closed.wrong);
  const least = Math.min(closed.right, closed.wrong);
  const some = most >= Math.max(MIN_ROWS, 0.12 * right.rows) && least <= 0.12 * most;
  const byClosing = closed.right > closed.wrong ? 1 : -1;
  const byOpen = right.open < wrong.open ? 1 : -1;
  let sign: 1 | -1 | null = null;
  let confidence = 0;
  if (clear && (!some || byClosing === byOpen)) {
    sign = byOpen;
    confidence = wide ? Math.min(0.98, 0.8 + 0.2 * (1 - less / more)) : 0.78;
  } else if (some && !clear) {
    sign = byClosing;
    confidence = Math.min(0.9, 0.7 + (0.2 * (most - least)) / right.rows);
    Object.assign(figures, { rowsThatClose: most, rowsThatCloseOtherwise: least });
  }
  const linked = fromLink(link, figures);
  if (sign === null) return linked;
  if (linked.sign !== null && linked.sign !== sign) return { sign: null, confidence: 0, figures };
  return { sign, confidence, figures };
}

function fromLink(link: number, figures: SignEvidence["figures"]): SignEvidence {
  if (Number.isNaN(link)) return { sign: null, confidence: 0, figures };
  const all = { ...figures, socCorrelation: Math.round(link * 100) / 100 };
  if (Math.abs(link) < 0.6) return { sign: null, confidence: 0, figures: all };
  return { sign: link > 0 ? 1 : -1, confidence: 0.5 + 0.45 * Math.abs(link), figures: all };
}

function pct(share: number): number {
  return Math.round(share * 1000) / 10;
}
