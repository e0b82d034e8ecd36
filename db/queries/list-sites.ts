import { and, asc, eq, getTableColumns, gte, inArray, isNotNull, like, lt, ne, sql } from "drizzle-orm";
import type { Quantity } from "../../src/analysis/results";
import type { Database } from "../open-database";
import { job } from "../schema/job";
import { logger } from "../schema/logger";
import { dayResult, transfer } from "../schema/results";
import { site } from "../schema/site";
import { JOB_COLUMNS, type JobRow } from "./jobs-of";
import { localMonth, neighbourMonth } from "./local-month";
import { monthsOf } from "./months-of";

/** What a list of sites shows of one. "This month" is the latest local month with samples. */
export type SiteCard = {
  siteId: number;
  slug: string;
  name: string;
  timezone: string;
  samplesRevision: number;
  resultsRevision: number | null;
  resultsComputedAtMs: number | null;
  /** Instants of the first and the last sample; null before the first import. */
  firstMs: number | null;
  lastMs: number | null;
  /** Local months with results, yyyy-MM, ascending. */
  months: string[];
  latestMonth: string | null;
  transfersThisMonth: number;
  transfersMonthBefore: number;
  /** Greatest loading of this month; null where none is known. */
  peak: { loading: number; quantity: Quantity; atMs: number } | null;
  /** Held time over the length of this month's days from the first to the last with samples; null where none. */
  coverage: number | null;
  /** The job that runs or waits longest, if any. */
  job: JobRow | null;
};

/** Every site, by name. */
export async function listSites(database: Database): Promise<SiteCard[]> {
  return database.orm.transaction(
    async (orm) => {
      const { config: _config, createdAtMs: _createdAtMs, ...columns } = getTableColumns(site);
      const sites = await orm.select(columns).from(site).orderBy(asc(site.name));
      const cards: SiteCard[] = [];
      for (const row of sites) {
        const [span] = await orm
          .select({
            firstMs: sql<number | null>`min(${logger.firstMs})::float8`,
            lastMs: sql<number | null>`max(${logger.lastMs})::float8`,
          })
          .from(logger)
          .where(eq(logger.siteId, row.siteId));
        const months = await monthsOf({ orm }, row.siteId);
        const latestMonth = months.at(-1) ?? null;
        const [open] = await orm
          .select(JOB_COLUMNS)
          .from(job)
          .where(
            and(
              eq(job.siteId, row.siteId),
              inArray(job.state, ["waiting", "running"]),
              // No figure here waits for a look through the logs' days.
              ne(job.kind, "assess"),
            ),
          )
          .orderBy(sql`${job.state} = 'running' desc`, asc(job.jobId))
          .limit(1);
        cards.push({
          ...row,
          firstMs: span.firstMs,
          lastMs: span.lastMs,
          months,
          latestMonth,
          ...(latestMonth === null
            ? NO_MONTH
            : await monthFigures(orm, row.siteId, row.timezone, latestMonth)),
          job: open ?? null,
        });
      }
      return cards;
    },
    { isolationLevel: "repeatable read", accessMode: "read only" },
  );
}

type MonthFigures = Pick<SiteCard, "transfersThisMonth" | "transfersMonthBefore" | "peak" | "coverage">;

const NO_MONTH: MonthFigures = { transfersThisMonth: 0, transfersMonthBefore: 0, peak: null, coverage: null };

async function monthFigures(
  orm: Pick<Database["orm"], "select" | "$count">,
  siteId: number,
  timezone: string,
  month: string,
): Promise<MonthFigures> {
  const transfersIn = ({ fromMs, toMs }: { fromMs: number; toMs: number }) =>
    orm.$count(
      transfer,
      and(eq(transfer.siteId, siteId), gte(transfer.atMs, fromMs), lt(transfer.atMs, toMs)),
    );
  const days = and(eq(dayResult.siteId, siteId), like(dayResult.date, `${month}-%`));
  const [held] = await orm
    .select({
      coverage: sql<
        number | null
      >`sum(${dayResult.heldS}) * 1000 / nullif(max(${dayResult.toMs}) - min(${dayResult.fromMs}), 0)`,
    })
    .from(dayResult)
    .where(days);
  const [peak] = await orm
    .select({
      loading: dayResult.peakLoading,
      quantity: dayResult.peakQuantity,
      atMs: dayResult.peakAtMs,
    })
    .from(dayResult)
    .where(and(days, isNotNull(dayResult.peakLoading)))
    .orderBy(sql`${dayResult.peakLoading} desc`, asc(dayResult.date))
    .limit(1);
  return {
    transfersThisMonth: await transfersIn(localMonth(timezone, month)),
    transfersMonthBefore: await transfersIn(localMonth(timezone, neighbourMonth(month, -1))),
    peak: peak === undefined ? null : { loading: peak.loading!, quantity: peak.quantity!, atMs: peak.atMs! },
    coverage: held.coverage,
  };
}
