/** What a log replaces of the logs before it in its logger's fold. */
export type Replacement = {
  replaces: boolean;
  /** First and last instant; null for the log's own first or last sample. */
  replacesFromMs: number | null;
  replacesToMs: number | null;
};

type Span = { fromMs: number; toMs: number };

/**
 * The period in which samples of earlier logs don't count; null where the log replaces nothing.
 *
 * @param span the log's own first and last sample; null where it has none, and then it replaces nothing
 */
export function replacedPeriod(
  { replaces, replacesFromMs, replacesToMs }: Replacement,
  span: Span | null,
): Span | null {
  if (!replaces || span === null) return null;
  const fromMs = replacesFromMs ?? span.fromMs;
  const toMs = replacesToMs ?? span.toMs;
  return fromMs > toMs ? null : { fromMs, toMs };
}

/** From the first to the last instant at which a log adds, hides or takes out samples; null where it has none. */
export function hullOf(log: Replacement, span: Span | null): Span | null {
  const period = replacedPeriod(log, span);
  if (span === null || period === null) return span;
  return { fromMs: Math.min(span.fromMs, period.fromMs), toMs: Math.max(span.toMs, period.toMs) };
}
