/** Times of the same texts, read by one candidate pattern. */
export type ReadTimes = {
  readonly format: string;
  /** Wall times in the order of the log; NaN where the pattern doesn't fit. */
  readonly walls: readonly number[];
};

/** What is known of a log's days apart from its times. */
export type KnownDays = {
  /** No time of the log can be later. */
  readonly latestMs?: number;
  /** Days as "2026-05-01" that the log's name or the lines above its table say. */
  readonly days?: readonly string[];
  /** How many times as long as its head the log is, and which part of the times read is of the head. */
  readonly length?: { readonly ratio: number; readonly headPart: number };
};

/** The candidate that is right, and what says so; null where it is open. */
export type SettledOrder = {
  readonly at: number;
  readonly confidence: number;
  readonly figures: { readonly [name: string]: number | string };
};

/**
 * Settles which of several readings of the same times is right, where day, month and year could change places. In
 * a log time goes on from row to row: read the right way round the day changes by one at midnight; read the wrong
 * way a month or a year is jumped over. Times from further in must lie about as far as the log's length says. Where
 * no other day is seen, a reading that lies in the future is wrong, and
 * one whose day the log's name states is right. Of a year in front and one at the end, the one within twenty years
 * of today counts.
 */
export function settleDayOrder(candidates: readonly ReadTimes[], known: KnownDays): SettledOrder | null {
  const seen = candidates.map(({ walls }) => midnights(walls));
  const steady = seen.map((s, at) => ({ ...s, at })).filter((s) => s.jumps === 0 && s.steps > 0);
  if (steady.length === 1 && seen.every((s, at) => at === steady[0].at || s.jumps > 0)) {
    const { at, steps } = steady[0];
    const jumps = Math.max(...seen.filter((_, i) => i !== at).map((s) => s.jumps));
    return {
      at,
      confidence: steps > 1 ? 0.98 : 0.95,
      figures: { daysThatFollow: steps, jumpsOtherwise: jumps },
    };
  }
  const byLength = settleByLength(candidates, known);
  if (byLength !== null) return byLength;
  const possible = candidates
    .map(({ walls }, at) => ({ at, range: rangeOf(walls) }))
    .filter(({ range }) => known.latestMs === undefined || range.max <= known.latestMs + DAY_MS);
  if (possible.length === 1) {
    return { at: possible[0].at, confidence: 0.95, figures: { otherwise: "in the future" } };
  }
  const stated = possible.filter(({ range }) =>
    (known.days ?? []).some((day) => day === dayOf(range.min) || day === dayOf(range.max)),
  );
  if (stated.length === 1) {
    const { at, range } = stated[0];
    return { at, confidence: 0.9, figures: { statedDay: dayOf(range.min) } };
  }
  return settleByYear(candidates, possible, known);
}

const DAY_MS = 86_400_000;
const YEARS = 20;

function settleByYear(
  candidates: readonly ReadTimes[],
  possible: readonly { at: number; range: { min: number; max: number } }[],
  { latestMs }: KnownDays,
): SettledOrder | null {
  if (latestMs === undefined) return null;
  const recent = possible.filter(({ range }) => range.min > latestMs - YEARS * 365.25 * DAY_MS);
  const yearFirst = (at: number) => /^[^a-zA-Z]*y/.test(candidates[at].format);
  const others = possible.filter((p) => !recent.includes(p));
  // Only whether the year leads or ends is told by it, never whether the day or the month comes first.
  if (recent.length !== 1 || others.length === 0) return null;
  if (!others.every((o) => yearFirst(o.at) !== yearFirst(recent[0].at))) return null;
  return { at: recent[0].at, confidence: 0.85, figures: { otherwise: "over twenty years ago" } };
}

/** The log's span by one reading is as its length says, and by the others over ten times as much. */
function settleByLength(candidates: readonly ReadTimes[], { length }: KnownDays): SettledOrder | null {
  if (length === undefined) return null;
  const spans = candidates.map(({ walls }) => {
    const head = rangeOf(walls.slice(0, Math.max(1, Math.floor(length.headPart * walls.length))));
    const all = rangeOf(walls);
    return { expected: (head.max - head.min) * length.ratio, span: all.max - all.min };
  });
  const fitting = spans.map(({ expected, span }) => span <= 3 * expected + DAY_MS / 4);
  const others = spans.filter((_, at) => !fitting[at]);
  if (fitting.filter(Boolean).length !== 1) return null;
  if (!others.every(({ expected, span }) => span > 10 * expected && span > JUMP_DAYS * DAY_MS)) return null;
  const at = fitting.indexOf(true);
  const days = (ms: number) => Math.round((ms / DAY_MS) * 10) / 10;
  return {
    at,
    confidence: 0.92,
    figures: { spanDays: days(spans[at].span), otherwiseDays: days(Math.min(...others.map((o) => o.span))) },
  };
}

/** How often the day changes as it does in a log that goes on, and how often it jumps by weeks or more. */
function midnights(walls: readonly number[]): { steps: number; jumps: number } {
  const deltas: number[] = [];
  for (let i = 1; i < walls.length; i++) {
    const delta = Math.abs(walls[i] - walls[i - 1]);
    if (delta > 0) deltas.push(delta);
  }
  const nominal = [...deltas].sort((a, b) => a - b)[deltas.length >> 1] ?? 0;
  let steps = 0;
  let jumps = 0;
  for (let i = 1; i < walls.length; i++) {
    const delta = Math.abs(walls[i] - walls[i - 1]);
    if (Number.isNaN(delta) || Math.floor(walls[i] / DAY_MS) === Math.floor(walls[i - 1] / DAY_MS)) continue;
    if (delta <= Math.max(3 * nominal, DAY_MS / 8) && delta < 3 * DAY_MS) steps++;
    else if (delta >= JUMP_DAYS * DAY_MS) jumps++;
  }
  return { steps, jumps };
}

const JUMP_DAYS = 20;

function rangeOf(walls: readonly number[]): { min: number; max: number } {
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  for (const wall of walls) {
    if (wall < min) min = wall;
    if (wall > max) max = wall;
  }
  return { min, max };
}

function dayOf(wallMs: number): string {
  return Number.isFinite(wallMs) ? new Date(wallMs).toISOString().slice(0, 10) : "";
}
