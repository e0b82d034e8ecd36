import type { LogVerdict } from "../../src/ingest/log-verdict";

type Taken = Extract<LogVerdict, { refused: false }>;

/** Counts of a stored verdict; null where there is none or nothing was read. */
export function verdictCounts(verdict: unknown): Taken["counts"] | null {
  return takenVerdict(verdict)?.counts ?? null;
}

/** A stored verdict of a log that was read; the database keeps it without its rejects. */
export function takenVerdict(verdict: unknown): Omit<Taken, "rejects"> | null {
  const found = verdict as LogVerdict | null;
  return found === null || found.refused ? null : found;
}
