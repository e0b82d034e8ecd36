import { AppError } from "../../db/app-error";
import type { LocalClock } from "../../src/analysis/local-time";

/** A period of a request; an end that wasn't given is null. */
export type AskedPeriod = { fromMs: number | null; toMs: number | null };

const DATE_LENGTH = "2026-05-01".length;

/**
 * The period that a request names by local dates or instants; null where it names none.
 *
 * @throws AppError bad-input where a date doesn't exist, or the period ends before it begins
 */
export function periodOf(
  { from, to }: { from?: string; to?: string },
  clock: LocalClock,
): AskedPeriod | null {
  if (from === undefined && to === undefined) return null;
  const fromMs = from === undefined ? null : momentMs("from", from, clock);
  const toMs = to === undefined ? null : momentMs("to", to, clock);
  if (fromMs !== null && toMs !== null && fromMs >= toMs) {
    throw refused("to", `The period ends at ${to}, which is not after its beginning, ${from}.`);
  }
  return { fromMs, toMs };
}

function momentMs(name: string, text: string, clock: LocalClock): number {
  try {
    // A day that there isn't is refused for instants, too: they would be read as one of the next month.
    const dayMs = clock.dateStartMs(text.slice(0, DATE_LENGTH));
    const atMs = text.length === DATE_LENGTH ? dayMs : Date.parse(text);
    if (Number.isFinite(atMs)) return atMs;
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
  }
  throw refused(name, `"${text}" is no moment of ${clock.zone}.`);
}

function refused(name: string, message: string): AppError {
  return new AppError("bad-input", message, {
    more: {
      where: `query, ${name}`,
      hint: "Give a local date such as 2026-05-01, or an instant such as 2026-05-01T06:00:00Z. The end is no part of the period.",
    },
  });
}
