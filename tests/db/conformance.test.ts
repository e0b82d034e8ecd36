import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { siteResults } from "../../db/queries/site-results";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { recompute } from "../../db/writes/recompute";
import type { ReviewResult } from "../../src/analysis/results";
import { fileLogSource } from "../../src/ingest/file-log-source";
import { clockOf } from "../../src/report/format";
import { reviewJson } from "../../src/report/review-json";
import { columnMap } from "../../src/site/column-map";
import { parseColumnMap } from "../../src/site/parse-column-map";
import { parseSite } from "../../src/site/parse-site";
import { byTime, conformanceCases, expectAgreement } from "../reference/conformance-pack";
import { type TestDatabase, testDatabase } from "./test-database";

const cases = conformanceCases();

/** The stored results of the whole history. */
async function storedResults(database: TestDatabase, siteId: number): Promise<ReviewResult> {
  const stored = await siteResults(database, siteId);
  if (stored === null) throw new Error("there are no results");
  return stored;
}

describe.skipIf(cases.length === 0)("the conformance pack through import and the database", () => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await testDatabase();
  });
  afterAll(async () => {
    await database?.drop();
  });

  it.each(cases)("agrees with $name, analysed as it passes and again from what is stored", async (one) => {
    const config = JSON.parse(readFileSync(one.site, "utf8"));
    const parsed = parseSite(config);
    const given = parseColumnMap(JSON.parse(readFileSync(one.columns, "utf8")));
    if (!parsed.ok || !given.ok) throw new Error("the case's own files are refused");
    const map = columnMap(given.map);
    if (map === null) throw new Error("the case's map has no time");
    const { siteId } = await addSite(database, config);
    const outcome = await importLog(database, {
      siteId,
      loggerName: "main",
      source: await fileLogSource(one.log),
      columnMap: map,
      receivedAtMs: Date.now(),
    });
    expect(outcome.kind).toBe("imported");

    const clock = clockOf(parsed.site.timezone);
    const check = async () => {
      const stored = reviewJson(
        await storedResults(database, siteId),
        parsed.site,
        [],
        clock,
      ) as unknown as typeof one.expected;
      expectAgreement(stored.coverage, one.expected.coverage, "coverage");
      expectAgreement(stored.returnDelay, one.expected.returnDelay, "returnDelay");
      expectAgreement(stored.imbalance, one.expected.imbalance, "imbalance");
      expectAgreement(stored.demand, one.expected.demand, "demand");
      expectAgreement(byTime(stored.nearLimit, "from"), byTime(one.expected.nearLimit, "from"), "nearLimit");
      expectAgreement(byTime(stored.transfers, "at"), byTime(one.expected.transfers, "at"), "transfers");
      expectAgreement(stored.shares.total, one.expected.shares.total, "shares.total");
      expectAgreement(stored.shares.days, one.expected.shares.days, "shares.days");
      return stored;
    };
    const asItPassed = await check();
    await recompute(database, siteId, { whole: true });
    // To the bit, not only within the tolerance of another implementation.
    expect(await check()).toEqual(asItPassed);
  });
});
