import { eq } from "drizzle-orm";
import { afterAll, beforeAll, expect, test } from "vitest";
import { gap, resultNote, transfer } from "../../db/schema/results";
import { addSite } from "../../db/writes/add-site";
import { insertRows } from "../../db/writes/insert-rows";
import { SMALL_SITE } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

let database: TestDatabase;
let siteId: number;

beforeAll(async () => {
  database = await testDatabase();
  ({ siteId } = await addSite(database, SMALL_SITE));
});
afterAll(() => database.drop());

test("rows come back as they were given, to the bit", async () => {
  const row: typeof transfer.$inferInsert = {
    siteId,
    segmentMs: -Number.MAX_SAFE_INTEGER,
    atMs: Number.MAX_SAFE_INTEGER,
    returnedAtMs: null,
    onUtilityS: 0.1 + 0.2,
    lowerBound: true,
    to: "utility",
    found: Buffer.from([0, 255, 92, 120, 10]),
    digest: `a "quoted" \\ backslash, a tab\t and ½ ü 漢`,
    delayS: Number.MIN_VALUE,
    cause: "overload",
    alsoHolds: [],
    certainty: "seen",
    limiting: "L1",
    peakLoading: Number.MAX_VALUE,
    peakAtMs: null,
    tags: ["one-leg"],
    nuisance: null,
    avoidable: false,
    evidence: [],
  };
  const note = { siteId, ordinal: 0, date: null, code: "derived", figures: { what: '\\"', ratio: 1 / 3 } };
  await database.sql.begin(async (tx) => {
    await Promise.all([insertRows(tx, transfer, [row]), insertRows(tx, resultNote, [note])]);
  });
  expect(await database.orm.select().from(transfer).where(eq(transfer.siteId, siteId))).toEqual([row]);
  expect(await database.orm.select().from(resultNote).where(eq(resultNote.siteId, siteId))).toEqual([note]);
});

test("more rows than one statement takes are all there, and what is no number as well", async () => {
  const rows = Array.from({ length: 2345 }, (_, i) => ({
    siteId,
    segmentMs: 0,
    fromMs: i === 0 ? Number.NaN : i === 1 ? Number.NEGATIVE_INFINITY : i / 7,
    toMs: i,
  }));
  await database.sql.begin((tx) => insertRows(tx, gap, rows));
  const stored = await database.orm.select().from(gap).where(eq(gap.siteId, siteId)).orderBy(gap.toMs);
  expect(stored).toEqual(rows);
});

test("a key that is not one of the table's columns is left out, and no rows are no statement", async () => {
  const row = { siteId, segmentMs: 1, fromMs: 5e6, toMs: 6e6, lengthS: 1000 };
  await database.sql.begin(async (tx) => {
    await insertRows(tx, gap, [row]);
    await insertRows(tx, gap, []);
  });
  const [{ lengthS: _, ...stored }] = [row];
  expect(await database.orm.select().from(gap).where(eq(gap.segmentMs, 1))).toEqual([stored]);
});
