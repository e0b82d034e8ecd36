import { afterAll, beforeAll, expect, test } from "vitest";
import { lockSite } from "../../db/writes/lock-site";
import { type TestDatabase, testDatabase } from "./test-database";

let database: TestDatabase;

beforeAll(async () => {
  database = await testDatabase();
});
afterAll(() => database.drop());

const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

/** Holds the lock of a site until it is let go. */
async function holder(siteId: number) {
  let letGo = () => {};
  const until = new Promise<void>((resolve) => {
    letGo = resolve;
  });
  let held = () => {};
  const holding = new Promise<void>((resolve) => {
    held = resolve;
  });
  const done = database.sql.begin(async (tx) => {
    await lockSite(tx, siteId, undefined);
    held();
    await until;
  });
  await holding;
  return {
    letGo: async () => {
      letGo();
      await done;
    },
  };
}

test("whoever waits for a site, longer than one look takes, gets it when it is let go, and its statements have no limit then", async () => {
  const other = await holder(1);
  let got = false;
  const waiting = database.sql.begin(async (tx) => {
    await lockSite(tx, 1, undefined);
    got = true;
    const [{ limit }] = await tx<{ limit: string }[]>`select current_setting('lock_timeout') as limit`;
    return limit;
  });
  await sleep(1300);
  expect(got).toBe(false);
  await other.letGo();
  expect(await waiting).toBe("0");
});

test("another site is no matter, and one who waits for a site can be called off", async () => {
  const other = await holder(1);
  const stop = new AbortController();
  await database.sql.begin((tx) => lockSite(tx, 2, undefined));
  const waiting = database.sql.begin((tx) => lockSite(tx, 1, stop.signal));
  const refused = expect(waiting).rejects.toThrow("called off");
  stop.abort(new Error("called off"));
  await refused;
  await other.letGo();
  await database.sql.begin((tx) => lockSite(tx, 1, undefined));
});
