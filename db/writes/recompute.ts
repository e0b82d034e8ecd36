import { isDeepStrictEqual } from "node:util";
import { deserialize } from "node:v8";
import { inflateRawSync } from "node:zlib";
import { createLocalClock } from "../../src/analysis/local-time";
import { passConfig } from "../../src/analysis/pass-config";
import type { PassOptions, PassState } from "../../src/analysis/review-pass";
import type { FaultWord, Series } from "../../src/analysis/series";
import { AppError } from "../app-error";
import { dieAt } from "../die-at";
import type { Database } from "../open-database";
import type { TransactionSql } from "../samples/copy-in";
import { readLoggers } from "../samples/read-loggers";
import { readSamples } from "../samples/read-samples";
import { type SampledLogger, sampledLoggers } from "../samples/sampled-loggers";
import type { JobProgress } from "../schema/job";
import { toAppError } from "../to-app-error";
import { checkedSite } from "./add-site";
import { type ComputedResults, configHash, createResultsByDay, type KeptMidnight } from "./results-by-day";
import { writeResults } from "./write-results";

/** What a recompute came to. */
export type RecomputeOutcome = {
  /** Revision of the samples that the results now stand on. */
  revision: number;
  /** False where newer results stood already. */
  written: boolean;
  /** Samples that the pass went over: of a history of which a part had changed, that part and what hangs on it. */
  samples: number;
};

type Follow = { signal?: AbortSignal; onProgress?: (progress: JobProgress) => void };

/**
 * Computes a site's results from its stored samples, of all loggers that count and of one snapshot. It goes on from the last local
 * midnight before which neither samples nor ratings nor settings have changed, stops at the first midnight after
 * the changes at which the pass stands as an earlier one had, bit for bit, and replaces what lies between in
 * one transaction. What changes meanwhile has put another recompute in line.
 *
 * @param whole true: from the beginning to the end, whatever is kept
 * @throws AppError not-found, cancelled, and what `toAppError` tells of the server
 */
export async function recompute(
  database: Database,
  siteId: number,
  { signal, onProgress, whole = false }: Follow & { whole?: boolean } = {},
): Promise<RecomputeOutcome> {
  try {
    const computed = await database.sql.begin("isolation level repeatable read read only", async (tx) => {
      const [[row], { loggers, stored, passedOver, site: parsed }, before, last] = await Promise.all([
        tx<SiteRow[]>`
          select config, samples_revision as revision, results_revision as "resultsRevision",
            changed_from_ms as "changedFromMs", changed_to_ms as "changedToMs",
            exists (select from kept_state
              where kept_state.site_id = site.site_id and midnight_ms > changed_to_ms) as "keptAfter"
          from site where site_id = ${siteId}`,
        sampledLoggers(tx, siteId),
        resultsBefore(tx, siteId),
        lastKept(tx, siteId),
      ]);
      if (row === undefined)
        throw new AppError("not-found", "There is no such site; it may have been removed.");
      if (loggers.length === 0) return { revision: row.revision, samples: 0, results: null };
      const site = parsed ?? checkedSite(row.config);
      const options = {
        zone: site.timezone,
        ratings: site.ratings,
        settings: site.settings,
        channels: loggers.flatMap((logger) => logger.channels),
        hasSource: loggers.some((logger) => logger.hasSource),
        hasFault: loggers.some((logger) => logger.hasFault),
        ...(stored.length > 1 ? { loggers: loggers.map(givenBy), passedOver } : {}),
      };
      // Events keep the number of their fault word: it must still be the same one.
      const goesOn =
        !whole &&
        row.resultsRevision !== null &&
        before !== null &&
        beginsWith(faultWordsOf(loggers), before.faultWords);
      const plan = goesOn ? await planOf(tx, siteId, options, row, before, last) : BEGINNING;
      return {
        revision: row.revision,
        ...(await compute(tx, siteId, options, loggers, plan, { signal, onProgress })),
      };
    });
    dieAt("recompute");
    const written = await database.sql.begin((tx) =>
      writeResults(tx, siteId, computed.revision, computed.results),
    );
    return { revision: computed.revision, samples: computed.samples, written };
  } catch (error) {
    throw toAppError(error);
  }
}

function givenBy({ name, channels, hasSource, hasFault }: SampledLogger) {
  return { name, channels, hasSource, hasFault };
}

function faultWordsOf(loggers: readonly SampledLogger[]): FaultWord[] {
  return loggers.find((logger) => logger.hasFault)?.faultWords ?? [];
}

/** Where a recompute begins, and what lets it stop. */
type Plan = {
  /** The SOC that the battery's stock began with where the log didn't know it yet. */
  firstSocPct: number | null;
  from: { midnightMs: number; state: PassState } | null;
  /** States kept after the changes, by midnight: where the pass stands the same, it may stop. */
  known: ReadonlyMap<number, Pick<KeptMidnight, "passConfig" | "state">>;
  /** Nominal interval that the earlier pass ended with, ms; NaN where there is none. */
  nominalMs: number;
};

const BEGINNING: Plan = { firstSocPct: null, from: null, known: new Map(), nominalMs: Number.NaN };

/** The site as it is now, and what has changed since its results were computed. */
type SiteRow = {
  config: unknown;
  revision: number;
  resultsRevision: number | null;
  changedFromMs: number | null;
  changedToMs: number | null;
  /** Whether a state was kept after the changes. */
  keptAfter: boolean;
};

/** What the results that stand were computed with. */
type ResultsBefore = {
  passConfig: string;
  firstSocPct: number | null;
  nominalMs: number | null;
  faultWords: FaultWord[];
};

async function resultsBefore(tx: TransactionSql, siteId: number): Promise<ResultsBefore | null> {
  const [before] = await tx<ResultsBefore[]>`
    select pass_config as "passConfig", first_soc_pct as "firstSocPct", nominal_ms as "nominalMs",
      fault_words as "faultWords"
    from site_result where site_id = ${siteId}`;
  return before ?? null;
}

/** The last state that was kept before the changes; null where there is none. */
async function lastKept(tx: TransactionSql, siteId: number): Promise<KeptMidnight | null> {
  const [last] = await tx<KeptMidnight[]>`
    select midnight_ms as "midnightMs", pass_config as "passConfig", state from kept_state
    where site_id = ${siteId} and midnight_ms <= (
      select coalesce(changed_from_ms, ${Number.MAX_SAFE_INTEGER}) from site where site_id = ${siteId})
    order by midnight_ms desc limit 1`;
  return last ?? null;
}

async function planOf(
  tx: TransactionSql,
  siteId: number,
  given: Omit<PassOptions, "state" | "firstSocPct">,
  { changedFromMs, changedToMs, keptAfter }: SiteRow,
  before: ResultsBefore,
  last: KeptMidnight | null,
): Promise<Plan> {
  const options: PassOptions = { ...given, firstSocPct: before.firstSocPct };
  const clock = createLocalClock(options.zone);
  const hashes = new Map<string, string>();
  const isValid = ({ midnightMs, passConfig: hash }: Pick<KeptMidnight, "midnightMs" | "passConfig">) => {
    const config = passConfig(options, clock, midnightMs);
    if (!hashes.has(config)) hashes.set(config, configHash(config));
    return hashes.get(config) === hash;
  };
  const from = last === null || isValid(last) ? last : await lastValid(tx, siteId, last.midnightMs, isValid);
  const known = new Map<number, KeptMidnight>();
  const same = before.passConfig === configHash(passConfig(options, clock, Number.POSITIVE_INFINITY));
  if (keptAfter && same && changedFromMs !== null) {
    const states = await tx<KeptMidnight[]>`
      select midnight_ms as "midnightMs", pass_config as "passConfig", state from kept_state
      where site_id = ${siteId} and midnight_ms > ${changedToMs}`;
    for (const one of states) known.set(one.midnightMs, one);
  }
  return {
    firstSocPct: before.firstSocPct,
    from:
      from === null
        ? null
        : {
            midnightMs: from.midnightMs,
            state: deserialize(inflateRawSync(from.state)) as PassState,
          },
    known,
    nominalMs: before.nominalMs ?? Number.NaN,
  };
}

/** The last state before a midnight that ratings and settings haven't changed before; null where there is none. */
async function lastValid(
  tx: TransactionSql,
  siteId: number,
  beforeMs: number,
  isValid: (one: Pick<KeptMidnight, "midnightMs" | "passConfig">) => boolean,
): Promise<KeptMidnight | null> {
  const kept = await tx<Pick<KeptMidnight, "midnightMs" | "passConfig">[]>`
    select midnight_ms as "midnightMs", pass_config as "passConfig" from kept_state
    where site_id = ${siteId} and midnight_ms < ${beforeMs} order by midnight_ms desc`;
  const valid = kept.find(isValid);
  if (valid === undefined) return null;
  const [last] = await tx<KeptMidnight[]>`
    select midnight_ms as "midnightMs", pass_config as "passConfig", state from kept_state
    where site_id = ${siteId} and midnight_ms = ${valid.midnightMs}`;
  return last;
}

function beginsWith(words: readonly FaultWord[], before: readonly FaultWord[]): boolean {
  return before.every(
    (word, i) => words[i] !== undefined && words[i].code === word.code && words[i].meaning === word.meaning,
  );
}

async function compute(
  tx: TransactionSql,
  siteId: number,
  options: Omit<PassOptions, "state" | "firstSocPct">,
  loggers: readonly SampledLogger[],
  plan: Plan,
  { signal, onProgress }: Follow,
): Promise<{ results: ComputedResults; samples: number }> {
  const startedMs = performance.now();
  const running = createResultsByDay(
    { ...options, firstSocPct: plan.firstSocPct, ...(plan.from === null ? {} : { state: plan.from.state }) },
    plan.from?.midnightMs ?? null,
    ({ midnightMs, passConfig: hash, state }) => {
      const known = plan.known.get(midnightMs);
      return known !== undefined && known.passConfig === hash && sameState(known.state, state);
    },
  );
  let rows = 0;
  const totalRows = loggers.reduce((sum, logger) => sum + logger.samples, 0);
  const follow = (series: Series) => {
    if (signal?.aborted) throw new AppError("cancelled", "Cancelled: the results are as they were.");
    rows += series.timesMs.length;
    onProgress?.(progressOf(rows, totalRows, performance.now() - startedMs));
  };
  const fromMs = plan.from?.midnightMs ?? null;
  if (loggers.length === 1) {
    const range = fromMs === null ? {} : { fromMs };
    for await (const series of readSamples(tx, { siteId, logger: loggers[0], ...range })) {
      follow(series);
      if (running.push(series)) break;
    }
  } else {
    await readLoggers(tx, siteId, loggers, createLocalClock(options.zone), fromMs, {
      ...running.several,
      push(logger, series) {
        follow(series);
        running.several.push(logger, series);
      },
    });
  }
  const finished = running.finish(faultWordsOf(loggers));
  if (finished.results !== null) {
    const { results } = finished;
    // Under a thousand samples the interval is settled at the end only, which is as it was.
    if (results.untilMs !== null) results.nominalMs = plan.nominalMs;
    return { results, samples: rows };
  }
  // Definitions D10: the battery's stock begins with the first known SOC, which is another one than thought.
  const again = { ...BEGINNING, firstSocPct: finished.otherFirstSocPct };
  return compute(tx, siteId, options, loggers, again, { signal, onProgress });
}

/** Bit for bit; but the same number can be serialised in two ways, depending on where it came from. */
function sameState(one: Buffer, other: Buffer): boolean {
  const read = (state: Buffer): unknown => deserialize(inflateRawSync(state));
  return one.equals(other) || isDeepStrictEqual(read(one), read(other));
}

function progressOf(rows: number, totalRows: number, elapsedMs: number): JobProgress {
  const rowsPerS = elapsedMs > 0 ? (rows / elapsedMs) * 1000 : 0;
  return {
    bytes: 0,
    totalBytes: 0,
    rows,
    rowsPerS,
    leftS: rowsPerS > 0 ? Math.max(0, totalRows - rows) / rowsPerS : null,
  };
}
