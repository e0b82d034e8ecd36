import { type ChildProcess, fork } from "node:child_process";
import { once } from "node:events";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { afterAll, afterEach, beforeAll, expect, test } from "vitest";
import { RECOMPUTE_PAUSE } from "../../db/queries/due-jobs";
import { jobById } from "../../db/queries/job-by-id";
import { transactionOrm } from "../../db/transaction-orm";
import { addSite } from "../../db/writes/add-site";
import { enqueueImport } from "../../db/writes/enqueue-import";
import { enqueueRecompute } from "../../db/writes/enqueue-recompute";
import { importLog } from "../../db/writes/import-log";
import { SITE_LOCK } from "../../db/writes/job-lock";
import { receiveLog } from "../../db/writes/receive-log";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

let database: TestDatabase;
let siteId: number;
let month = 0;
const workers: ChildProcess[] = [];

beforeAll(async () => {
  database = await testDatabase();
  ({ siteId } = await addSite(database, SMALL_SITE));
});
afterEach(() => {
  for (const worker of workers.splice(0)) worker.kill("SIGKILL");
});
afterAll(() => database.drop());

function startWorker(): ChildProcess {
  const worker = fork(fileURLToPath(new URL("../../src/worker/main.ts", import.meta.url)), {
    execArgv: ["--import", "tsx"],
    env: { ...process.env, DATABASE_URL: database.url },
  });
  workers.push(worker);
  return worker;
}

async function enqueue(samples: number): Promise<number> {
  const log = smallLog(smallRows({ fromMs: Date.UTC(2026, month++, 3), samples }));
  const { logId } = await receiveLog(database, {
    siteId,
    loggerName: "main",
    name: log.name,
    body: log.open(),
  });
  const payload = { logId, columnMap: SMALL_MAP, evidence: null, allOrNothing: false };
  return (await enqueueImport(database, siteId, payload)).jobId;
}

async function untilState(jobId: number, state: string, withinMs = 30_000): Promise<void> {
  const deadline = performance.now() + withinMs;
  for (;;) {
    const job = await jobById(database, siteId, jobId);
    if (job?.state === state) return;
    if (performance.now() > deadline) throw new Error(`the job is ${JSON.stringify(job)}, not ${state}`);
    await sleep(50);
  }
}

test("the worker runs what is in line when it starts and what comes later, and ends at SIGTERM", async () => {
  const first = await enqueue(2000);
  const worker = startWorker();
  await untilState(first, "done");
  const second = await enqueue(2000);
  await untilState(second, "done");
  worker.kill("SIGTERM");
  expect(await once(worker, "exit")).toEqual([0, null]);
});

test("of rows that come one by one the first is computed at once, many cause few recomputes, and a person's change doesn't wait", async () => {
  const base = Date.UTC(2026, 1, 3);
  const rows = smallRows({ fromMs: base, samples: 80, intervalS: 1 });
  const post = (n: number) =>
    importLog(database, {
      siteId,
      loggerName: "main",
      source: smallLog(rows.slice(n, n + 1), `${n}.csv`),
      columnMap: SMALL_MAP,
      receivedAtMs: Date.UTC(2026, 11, 1),
    });
  const current = async () => {
    const [site] = await database.sql<{ is: boolean }[]>`
      select samples_revision = results_revision as is from site where site_id = ${siteId}`;
    return site.is;
  };
  const untilCurrent = async () => {
    const began = performance.now();
    while (!(await current())) {
      if (performance.now() - began > 20_000) throw new Error("no results of it");
      await sleep(20);
    }
    return performance.now() - began;
  };
  await post(0);
  startWorker();
  await untilCurrent();
  await sleep(RECOMPUTE_PAUSE.mostMs / 2);
  const revisions = new Set<number>();
  const began = performance.now();
  for (let n = 1; n < rows.length; n++) {
    await post(n);
    const [{ revision }] = await database.sql<{ revision: number }[]>`
      select results_revision as revision from site where site_id = ${siteId}`;
    revisions.add(revision);
    await sleep(30);
  }
  const tookMs = performance.now() - began;
  // The one before, one at the first row, and one more a pause at most.
  expect(revisions.size).toBeLessThanOrEqual(3 + tookMs / RECOMPUTE_PAUSE.leastMs);
  expect(rows.length).toBeGreaterThan(2 * (3 + tookMs / RECOMPUTE_PAUSE.leastMs));
  await untilCurrent();

  // As if the last one had taken long: rows wait, what a person changes doesn't.
  await database.sql`
    update job set started_at_ms = finished_at_ms - 60000, finished_at_ms = (extract(epoch from clock_timestamp()) * 1000)::bigint
    where site_id = ${siteId} and kind = 'recompute' and state = 'done'`;
  await database.sql`update site set samples_revision = samples_revision + 1 where site_id = ${siteId}`;
  await database.sql.begin((tx) => enqueueRecompute(transactionOrm(tx), siteId, { forRows: true }));
  await sleep(1500);
  expect(await current()).toBe(false);
  await database.sql.begin((tx) => enqueueRecompute(transactionOrm(tx), siteId));
  await database.sql.begin((tx) => enqueueRecompute(transactionOrm(tx), siteId, { forRows: true }));
  expect(await untilCurrent()).toBeLessThan(RECOMPUTE_PAUSE.mostMs - 3000);
});

test("a worker whose parent is gone ends by itself", async () => {
  const worker = startWorker();
  const jobId = await enqueue(1000);
  await untilState(jobId, "done");
  worker.disconnect();
  expect(await once(worker, "exit")).toEqual([0, null]);
});

test("a job whose worker was killed is taken up again by the next one within ten seconds", async () => {
  const holder = await database.sql.reserve();
  await holder`select pg_advisory_lock(${SITE_LOCK}, ${siteId})`;
  const jobId = await enqueue(2000);
  const worker = startWorker();
  await untilState(jobId, "running");
  worker.kill("SIGKILL");
  await once(worker, "exit");
  await holder`select pg_advisory_unlock(${SITE_LOCK}, ${siteId})`;
  holder.release();
  startWorker();
  await untilState(jobId, "done", 10_000);
  expect(await jobById(database, siteId, jobId)).toMatchObject({ attempts: 2 });
});
