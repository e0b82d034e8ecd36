import { isDeepStrictEqual } from "node:util";
import { deserialize } from "node:v8";
import { inflateRawSync } from "node:zlib";
import { and, asc, eq, gt, or } from "drizzle-orm";
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
import { keptState, siteResult } from "../schema/results";
import { site as siteTable } from "../schema/site";
import { toAppError } from "../to-app-error";
import { transactionOrm } from "../transaction-orm";
import { checkedSite } from "./add-site";
import {
  BEGINNING_MS,
  type ComputedResults,
  configHash,
  createResultsByDay,
  type KeptMidnight,
} from "./results-by-day";
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
      const [row] = await tx<
        { config: unknown; revision: number; changedFromMs: number | null; changedToMs: number | null }[]
      >`
        select config, samples_revision as revision, changed_from_ms as "changedFromMs",
          changed_to_ms as "changedToMs" from site where site_id = ${siteId}`;
      if (row === undefined)
        throw new AppError("not-found", "There is no such site; it may have been removed.");
      const { loggers, stored, passedOver } = await sampledLoggers(tx, siteId);
      if (loggers.length === 0) return { revision: row.revision, samples: 0, results: null };
      const site = checkedSite(row.config);
      const options = {
        zone: site.timezone,
        ratings: site.ratings,
        settings: site.settings,
        channels: loggers.flatMap((logger) => logger.channels),
        hasSource: loggers.some((logger) => logger.hasSource),
        hasFault: loggers.some((logger) => logger.hasFault),
        ...(stored.length > 1 ? { loggers: loggers.map(givenBy), passedOver } : {}),
      };
      const plan = whole ? BEGINNING : await planOf(tx, siteId, options, faultWordsOf(loggers), row);
      return {
        revision: row.revision,
        ...(await compute(tx, siteId, options, loggers, plan, { signal, onProgress })),
      };
    });
    dieAt("recompute");
    const written = await database.orm.transaction((orm) =>
      writeResults(orm, siteId, computed.revision, computed.results),
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

async function planOf(
  tx: TransactionSql,
  siteId: number,
  given: Omit<PassOptions, "state" | "firstSocPct">,
  faultWords: readonly FaultWord[],
  { changedFromMs, changedToMs }: { changedFromMs: number | null; changedToMs: number | null },
): Promise<Plan> {
  const orm = transactionOrm(tx);
  const [before] = await orm
    .select({
      passConfig: siteResult.passConfig,
      firstSocPct: siteResult.firstSocPct,
      nominalMs: siteResult.nominalMs,
      faultWords: siteResult.faultWords,
      revision: siteTable.resultsRevision,
    })
    .from(siteResult)
    .innerJoin(siteTable, eq(siteTable.siteId, siteResult.siteId))
    .where(eq(siteResult.siteId, siteId));
  // Events keep the number of their fault word: it must still be the same one.
  if (before === undefined || before.revision === null || !beginsWith(faultWords, before.faultWords)) {
    return BEGINNING;
  }
  const options: PassOptions = { ...given, firstSocPct: before.firstSocPct };
  const clock = createLocalClock(options.zone);
  const kept = await orm
    .select({ midnightMs: keptState.midnightMs, passConfig: keptState.passConfig })
    .from(keptState)
    .where(eq(keptState.siteId, siteId))
    .orderBy(asc(keptState.midnightMs));
  const unchangedUntilMs = changedFromMs ?? Number.POSITIVE_INFINITY;
  const hashes = new Map<string, string>();
  const valid = (midnightMs: number, hash: string) => {
    const config = passConfig(options, clock, midnightMs);
    if (!hashes.has(config)) hashes.set(config, configHash(config));
    return hashes.get(config) === hash;
  };
  let from: number | null = null;
  for (let i = kept.length - 1; i >= 0 && from === null; i--) {
    const { midnightMs, passConfig: hash } = kept[i];
    if (midnightMs <= unchangedUntilMs && valid(midnightMs, hash)) from = midnightMs;
  }
  const same = before.passConfig === configHash(passConfig(options, clock, Number.POSITIVE_INFINITY));
  const known = new Map<number, Pick<KeptMidnight, "passConfig" | "state">>();
  const stopsFromMs = changedToMs ?? Number.NEGATIVE_INFINITY;
  const states = await orm
    .select({ midnightMs: keptState.midnightMs, passConfig: keptState.passConfig, state: keptState.state })
    .from(keptState)
    .where(
      and(
        eq(keptState.siteId, siteId),
        // Without a change after which it could stop, only the state that it goes on from is wanted.
        same && changedFromMs !== null && stopsFromMs < Number.MAX_SAFE_INTEGER
          ? or(eq(keptState.midnightMs, from ?? BEGINNING_MS), gt(keptState.midnightMs, stopsFromMs))
          : eq(keptState.midnightMs, from ?? BEGINNING_MS),
      ),
    );
  let state: PassState | null = null;
  for (const one of states) {
    if (one.midnightMs === from) state = deserialize(inflateRawSync(one.state)) as PassState;
    else known.set(one.midnightMs, one);
  }
  return {
    firstSocPct: before.firstSocPct,
    from: from === null || state === null ? null : { midnightMs: from, state },
    known,
    nominalMs: before.nominalMs ?? Number.NaN,
  };
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
