import { and, asc, eq, gte, inArray, lt } from "drizzle-orm";
import { type Battery, batteryOf, createBatterySums, mergeBattery } from "../../src/analysis/battery";
import { createDemandSums, type Demand, demandOf, mergeDemand } from "../../src/analysis/demand";
import {
  createLoadDurationSums,
  type LoadDuration,
  loadDurationOf,
  mergeLoadDuration,
} from "../../src/analysis/load-duration";
import { createLocalClock } from "../../src/analysis/local-time";
import type { Transfer } from "../../src/analysis/results";
import type { Database } from "../open-database";
import { dayResult, transfer } from "../schema/results";
import { daySumsOf } from "./day-sums-of";
import type { DateRange } from "./legs-results";
import { nextDate } from "./local-month";
import { RESULT_COLUMNS } from "./result-columns";
import { ONE_SNAPSHOT, type ResultHead, resultHead } from "./result-head";

/** What the analysis found of the battery in a period, all of one revision. */
export type BatteryResults = Pick<
  ResultHead,
  "revision" | "samplesRevision" | "computedAtMs" | "nominalS"
> & {
  /** The period that the figures stand for; null where the site has no samples at all. */
  range: DateRange | null;
  /** First instant of the period, and the first one after it. */
  fromMs: number;
  toMs: number;
  /** Held time in the period, s; 0 where it has no samples. */
  heldS: number;
  /** Null where the log says nothing of the battery. */
  battery: Battery | null;
  loadDuration: LoadDuration | null;
  demand: Demand | null;
  /** Transfers that begin in the period because the battery was low or at its current limit, ascending. */
  transfers: Transfer[];
};

/**
 * The battery over a period of a site, read in one snapshot.
 *
 * @param range null: from the first day with samples to the last
 * @returns null where there is no such site
 */
export async function batteryResults(
  database: Database,
  siteId: number,
  range: DateRange | null,
): Promise<BatteryResults | null> {
  return database.orm.transaction(async (orm) => {
    const head = await resultHead(orm, siteId);
    if (head === null) return null;
    const { timezone, revision, samplesRevision, computedAtMs, nominalS } = head;
    const days = await orm
      .select({
        date: dayResult.date,
        heldS: dayResult.heldS,
        samples: dayResult.samples,
        sums: dayResult.sums,
      })
      .from(dayResult)
      .where(
        and(
          eq(dayResult.siteId, siteId),
          range === null ? undefined : gte(dayResult.date, range.firstDate),
          range === null ? undefined : lt(dayResult.date, nextDate(range.lastDate)),
        ),
      )
      .orderBy(asc(dayResult.date));
    const shown =
      range ?? (days.length === 0 ? null : { firstDate: days[0].date, lastDate: days[days.length - 1].date });
    const clock = createLocalClock(timezone);
    const fromMs = shown === null ? 0 : clock.dateStartMs(shown.firstDate);
    const toMs = shown === null ? 0 : clock.dateStartMs(nextDate(shown.lastDate));
    const battery = createBatterySums();
    const load = createLoadDurationSums();
    const demand = createDemandSums();
    let heldS = 0;
    for (const day of days) {
      const sums = daySumsOf(day.sums);
      mergeBattery(battery, sums.battery);
      mergeLoadDuration(load, sums.load);
      mergeDemand(demand, sums.demand);
      heldS += day.heldS;
    }
    const transfers = await orm
      .select(RESULT_COLUMNS.transfer)
      .from(transfer)
      .where(
        and(
          eq(transfer.siteId, siteId),
          gte(transfer.atMs, fromMs),
          lt(transfer.atMs, toMs),
          inArray(transfer.cause, ["low-battery", "dc-limit"]),
        ),
      )
      .orderBy(asc(transfer.atMs));
    return {
      range: shown,
      fromMs,
      toMs,
      revision,
      samplesRevision,
      computedAtMs,
      nominalS,
      heldS,
      battery: batteryOf(battery),
      loadDuration: loadDurationOf(load),
      demand: demandOf(demand, days.filter((day) => day.samples > 0).length),
      transfers,
    };
  }, ONE_SNAPSHOT);
}
