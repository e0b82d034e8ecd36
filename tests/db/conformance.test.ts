import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { monthResults } from "../../db/queries/month-results";
import { monthsOf } from "../../db/queries/months-of";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { recompute } from "../../db/writes/recompute";
import { addShares, zeroShares } from "../../src/analysis/energy-shares";
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

/** The stored results of all months, in the shape that the analysis gave them. */
async function storedResults(database: TestDatabase, siteId: number): Promise<ReviewResult> {
  const result: ReviewResult = {
    coverage: { fromMs: null, toMs: null, samples: 0, nominalS: null, heldS: 0, ratio: null, gaps: [] },
    nearLimit: [],
    transfers: [],
    dropouts: [],
    days: [],
    hours: [],
    total: zeroShares(),
    longestRunHeldS: null,
    returnDelay: { medianS: null, q1S: null, q3S: null, n: 0 },
    imbalance: null,
    demand: null,
    notes: [],
  };
  for (const month of await monthsOf(database, siteId)) {
    const stored = await monthResults(database, siteId, month);
    if (stored === null) throw new Error(`no results for ${month}`);
    result.nearLimit.push(...stored.nearLimit);
    result.transfers.push(...stored.transfers);
    result.days.push(...stored.days);
  }
  for (const day of result.days) addShares(result.total, day.shares);
  return result;
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
      expectAgreement(byTime(stored.nearLimit, "from"), byTime(one.expected.nearLimit, "from"), "nearLimit");
      expectAgreement(byTime(stored.transfers, "at"), byTime(one.expected.transfers, "at"), "transfers");
      expectAgreement(stored.shares.total, one.expected.shares.total, "shares.total");
      expectAgreement(stored.shares.days, one.expected.shares.days, "shares.days");
      return stored;
    };
    const asItPassed = await check();
    await recompute(database, siteId);
    // To the bit, not only within the tolerance of another implementation.
    expect(await check()).toEqual(asItPassed);
  });
});
