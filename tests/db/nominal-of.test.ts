import { afterAll, beforeAll, expect, test } from "vitest";
import type { TransactionSql } from "../../db/samples/copy-in";
import { nominalOf } from "../../db/samples/nominal-of";
import { makePartitions } from "../../db/samples/partitions";
import { type RebuiltLogger, rebuildMinutes } from "../../db/samples/rebuild-minutes";
import { addSite } from "../../db/writes/add-site";
import { ensureLogger } from "../../db/writes/ensure-logger";
import { SMALL_SITE } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// What is asked of a long log must not read all of it, though the planner knows nothing of a month that has just come in.

const MAY = Date.UTC(2026, 4, 3);
const SAMPLES = 1_000_000;
const LAST = MAY + (SAMPLES - 1) * 1000;

let database: TestDatabase;

beforeAll(async () => {
  database = await testDatabase();
});
afterAll(() => database.drop());

test("the interval of a long log and the minutes around its end are made from a few samples of its million", async () => {
  const { siteId } = await addSite(database, SMALL_SITE);
  await makePartitions(database.sql, MAY, LAST);
  await database.sql.begin(async (tx) => {
    const loggerId = await ensureLogger(tx, siteId, "main");
    await tx`insert into sample (site_id, logger_id, at_ms, load_l1_w)
      select ${siteId}, ${loggerId}, ${MAY}::bigint + i * 1000::bigint, i
      from generate_series(0, ${SAMPLES - 1}::int) as i`;
    let before = await samplesRead(tx);
    expect(await nominalOf(tx, siteId, loggerId)).toBe(1000);
    let after = await samplesRead(tx);
    expect(after - before).toBeGreaterThan(0);
    expect(after - before).toBeLessThanOrEqual(1000);
    before = after;
    const logger: RebuiltLogger = {
      siteId,
      loggerId,
      channels: ["loadL1W"],
      hasSource: false,
      nominalMs: 1000,
    };
    await rebuildMinutes(tx, logger, { fromMs: LAST, toMs: LAST });
    after = await samplesRead(tx);
    expect(after - before).toBeGreaterThan(0);
    expect(after - before).toBeLessThan(500);
  });
});

/** Samples that the transaction has read so far. */
async function samplesRead(tx: TransactionSql): Promise<number> {
  const [{ count }] = await tx<{ count: number }[]>`
    select sum(seq_tup_read + coalesce(idx_tup_fetch, 0))::float8 as count from pg_stat_xact_user_tables
    where relname like 'sample_2%'`;
  return count;
}
