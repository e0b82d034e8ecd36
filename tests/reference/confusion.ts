import { TRANSFER_CAUSES, type TransferCause } from "../../src/analysis/series";
import type { TrueCause } from "../../src/simulate/simulate";
import type { SeenEvent, SimulatedReview } from "./simulated-review";

/** Counts of true cause against found cause over the transfers that have samples on both sides. */
export type Confusion = {
  counts: Record<TrueCause, Record<TransferCause | "none found", number>>;
  /** Transfers found with certainty "seen", and those of them whose truth is neither the cause nor in alsoHolds. */
  seen: number;
  seenWrong: number;
  /** True transfers without a sample on one side: a gap, or there and back between two samples. */
  hidden: number;
  /** Found transfers with no true one near. */
  spurious: number;
  /** Motor starts, and those whose inrush no sample shows (loading under 1 in the window). */
  inrush: number;
  inrushUnseen: number;
  /** Fewest events of each true cause in any one seed, hidden ones too. */
  fewest: Record<TrueCause, number>;
};

/** What a log can tell of each true cause: above 5 s a motor start is a load step, and nobody sees a finger. */
export function isRight(truth: TrueCause, found: TransferCause, intervalS: number): boolean {
  if (truth === "by-hand") return found === "unexplained";
  if (truth === "motor-start" && intervalS > 5) return found === "load-step" || found === "motor-start";
  return found === truth;
}

export const TRUE_CAUSES: readonly TrueCause[] = [
  "overload",
  "motor-start",
  "low-battery",
  "dc-limit",
  "over-temperature",
  "scheduled",
  "fault",
  "by-hand",
];

/**
 * Holds true transfers against found ones, one log of each seed. A true transfer takes the nearest found one
 * that is still free within 60 s or two intervals, those with samples on both sides first.
 */
export function confusionOf(reviews: readonly SimulatedReview[]): Confusion {
  const zeros = () => Object.fromEntries(FOUND.map((found) => [found, 0])) as Confusion["counts"][TrueCause];
  const confusion: Confusion = {
    counts: Object.fromEntries(TRUE_CAUSES.map((cause) => [cause, zeros()])) as Confusion["counts"],
    seen: 0,
    seenWrong: 0,
    hidden: 0,
    spurious: 0,
    inrush: 0,
    inrushUnseen: 0,
    fewest: Object.fromEntries(
      TRUE_CAUSES.map((cause) => [cause, Number.POSITIVE_INFINITY]),
    ) as Confusion["fewest"],
  };
  for (const review of reviews) {
    const { events, result, log } = review;
    const found = matched(review);
    for (const [i, event] of events.entries()) {
      if (event.cause === "motor-start") confusion.inrush++;
      if (event.cause === "motor-start" && event.shownLoading < 1) confusion.inrushUnseen++;
      if (!event.shownOnBothSides) {
        confusion.hidden++;
        continue;
      }
      const transfer = found[i];
      confusion.counts[event.cause][transfer?.cause ?? "none found"]++;
      if (transfer?.certainty !== "seen") continue;
      confusion.seen++;
      const held = [transfer.cause, ...transfer.alsoHolds];
      if (!held.some((cause) => isRight(event.cause, cause, log.intervalS))) confusion.seenWrong++;
    }
    confusion.spurious += result.transfers.length - found.filter((transfer) => transfer !== null).length;
    for (const cause of TRUE_CAUSES) {
      const n = events.filter((event) => event.cause === cause).length;
      confusion.fewest[cause] = Math.min(confusion.fewest[cause], n);
    }
  }
  return confusion;
}

/** The found transfer of each true event, or null. */
function matched({ events, result, log }: SimulatedReview) {
  const free = new Set(result.transfers);
  const take = (event: SeenEvent) => {
    let best: (typeof result.transfers)[number] | null = null;
    let bestS = Math.max(60, 2 * log.intervalS);
    for (const transfer of free) {
      const apartS = Math.abs(transfer.atMs / 1000 - event.at);
      if (apartS > bestS) continue;
      best = transfer;
      bestS = apartS;
    }
    if (best !== null) free.delete(best);
    return best;
  };
  const found: ReturnType<typeof take>[] = events.map(() => null);
  for (const both of [true, false]) {
    for (const [i, event] of events.entries()) if (event.shownOnBothSides === both) found[i] = take(event);
  }
  return found;
}

/** Transfers of a true cause that have samples on both sides. */
export function shownOf(confusion: Confusion, truth: TrueCause): number {
  return Object.values(confusion.counts[truth]).reduce((sum, n) => sum + n, 0);
}

/** Share of a true cause that is found as what it is. */
export function recallOf(confusion: Confusion, truth: TrueCause, intervalS: number): number {
  let right = 0;
  for (const found of TRANSFER_CAUSES) {
    if (isRight(truth, found, intervalS)) right += confusion.counts[truth][found];
  }
  return right / shownOf(confusion, truth);
}

/** Share of all transfers that are found as what they are. */
export function rightOf(confusion: Confusion, intervalS: number): number {
  let right = 0;
  let all = 0;
  for (const truth of TRUE_CAUSES) {
    const shown = shownOf(confusion, truth);
    if (shown > 0) right += recallOf(confusion, truth, intervalS) * shown;
    all += shown;
  }
  return right / all;
}

const FOUND = [...TRANSFER_CAUSES, "none found"] as const;
