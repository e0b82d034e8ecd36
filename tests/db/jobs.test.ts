import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, beforeEach, expect, test } from "vitest";
import { jobById } from "../../db/queries/job-by-id";
import { jobsOf } from "../../db/queries/jobs-of";
import { logById } from "../../db/queries/log-by-id";
import { resultsRevision } from "../../db/queries/results-revision";
import { samplesBetween } from "../../db/queries/samples-between";
import { addSite } from "../../db/writes/add-site";
import { cancelJob } from "../../db/writes/cancel-job";
import { changeSite } from "../../db/writes/change-site";
import { discardLog } from "../../db/writes/discard-log";
import { enqueueImport } from "../../db/writes/enqueue-import";
import { importLog } from "../../db/writes/import-log";
import { JOB_LOCK, SITE_LOCK } from "../../db/writes/job-lock";
import { receiveLog } from "../../db/writes/receive-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

const MAY = Date.UTC(2026, 4, 3);
const SAMPLES = 30_000;

let database: TestDatabase;
let siteId: number;
let sites = 0;
let folder: string;
const log = smallLog(smallRows({ fromMs: MAY, samples: SAMPLES }));

beforeAll(async () => {
  database = await testDatabase();
  folder = mkdtempSync(join(tmpdir(), "legroom-jobs-"));
});
afterAll(async () => {
  rmSync(folder, { recursive: true });
  await database.drop();
});
beforeEach(async () => {
  ({ siteId } = await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}` }));
});

const receive = () => receiveLog(database, { siteId, loggerName: "main", name: log.name, body: log.open() });

async function enqueue(): Promise<{ jobId: number; logId: number }> {
  const { logId } = await receive();
  const payload = { logId, columnMap: SMALL_MAP, evidence: null, allOrNothing: false };
  return { logId, ...(await enqueueImport(database, siteId, payload)) };
}

async function samplesStored(): Promise<number> {
  const stretch = await samplesBetween(database, siteId, 0, Date.UTC(2100, 0, 1), 1_000_000);
  return stretch?.series.timesMs.length ?? 0;
}

/** Runs the child to its end, which is expected to be that by SIGKILL at `moment`. */
async function dieAt(moment: string, path?: string): Promise<void> {
  const script = fileURLToPath(new URL("./run-jobs-child.ts", import.meta.url));
  const child = spawn(
    process.execPath,
    ["--import", "tsx", script, database.url, String(siteId), ...(path === undefined ? [] : [path])],
    { env: { ...process.env, LEGROOM_DIE_AT: moment }, stdio: ["ignore", "inherit", "inherit"] },
  );
  const [, signal] = await once(child, "exit");
  expect(signal).toBe("SIGKILL");
}

test("a log that was received is kept with its head, and is imported by the job that is put in line", async () => {
  const received = await receive();
  expect(received).toMatchObject({ state: "received", alreadyThere: false, sizeBytes: log.sizeBytes });
  expect(received.head.toString()).toBe(log.text.slice(0, 1 << 20));
  expect(await samplesStored()).toBe(0);
  const { jobId, logId } = await enqueue();
  expect(logId).toBe(received.logId);
  expect(await jobById(database, siteId, jobId)).toMatchObject({ state: "waiting", attempts: 0 });
  await runDueJobs(database, { siteId });
  expect(await jobById(database, siteId, jobId)).toMatchObject({
    state: "done",
    attempts: 1,
    result: { kind: "imported", added: SAMPLES, verdict: { counts: { taken: SAMPLES } } },
  });
  expect(await logById(database, siteId, logId)).toMatchObject({ state: "imported", columnMap: SMALL_MAP });
  expect(await samplesStored()).toBe(SAMPLES);
  expect(await receive()).toMatchObject({ logId, state: "imported", alreadyThere: true });
});

test("a log that was received and is discarded leaves nothing; one that is imported can't be discarded", async () => {
  const { logId } = await receive();
  expect(await discardLog(database, siteId, logId)).toBe(true);
  expect(await database.sql`select 1 from log_chunk where site_id = ${siteId}`).toHaveLength(0);
  const { logId: imported } = await enqueue();
  await runDueJobs(database, { siteId });
  expect(await discardLog(database, siteId, imported)).toBe(false);
  expect(await samplesStored()).toBe(SAMPLES);
});

test("an upload that breaks off leaves nothing", async () => {
  async function* broken() {
    for await (const bytes of log.open()) {
      yield bytes;
      throw new Error("the browser went away");
    }
  }
  const running = receiveLog(database, { siteId, loggerName: "main", name: "half.csv", body: broken() });
  await expect(running).rejects.toThrow("the browser went away");
  expect(await database.sql`select 1 from log where site_id = ${siteId}`).toHaveLength(0);
  expect(await receive()).toMatchObject({ alreadyThere: false });
});

test("a job that waits is cancelled at once, and its log stays received", async () => {
  const { jobId, logId } = await enqueue();
  expect(await cancelJob(database, siteId, jobId)).toBe(true);
  expect(await runDueJobs(database, { siteId })).toBe(0);
  expect(await jobById(database, siteId, jobId)).toMatchObject({ state: "cancelled" });
  expect(await logById(database, siteId, logId)).toMatchObject({ state: "received" });
  expect(await cancelJob(database, siteId, jobId)).toBe(false);
});

test("a job that runs is cancelled soon, and nothing of it is stored", async () => {
  const { jobId } = await enqueue();
  // Somebody holds the site: the job runs, and waits its turn.
  const holder = await database.sql.reserve();
  await holder`select pg_advisory_lock(${SITE_LOCK}, ${siteId})`;
  const running = runDueJobs(database, { siteId });
  while ((await jobById(database, siteId, jobId))?.state !== "running");
  expect(await cancelJob(database, siteId, jobId)).toBe(true);
  expect(await running).toBe(1);
  expect(await jobById(database, siteId, jobId)).toMatchObject({ state: "cancelled" });
  await holder`select pg_advisory_unlock(${SITE_LOCK}, ${siteId})`;
  holder.release();
  expect(await samplesStored()).toBe(0);
});

test("a job whose runner has to stop is put back in line as if it had not been taken up", async () => {
  const { jobId } = await enqueue();
  const holder = await database.sql.reserve();
  await holder`select pg_advisory_lock(${SITE_LOCK}, ${siteId})`;
  const stop = new AbortController();
  const running = runDueJobs(database, { siteId, signal: stop.signal });
  while ((await jobById(database, siteId, jobId))?.state !== "running");
  stop.abort();
  await running;
  expect(await jobById(database, siteId, jobId)).toMatchObject({ state: "waiting", attempts: 0 });
  await holder`select pg_advisory_unlock(${SITE_LOCK}, ${siteId})`;
  holder.release();
  await runDueJobs(database, { siteId });
  expect(await samplesStored()).toBe(SAMPLES);
});

test("two runners at once do a job once", async () => {
  await enqueue();
  const ran = await Promise.all([
    runDueJobs(database, { siteId, wait: true }),
    runDueJobs(database, { siteId, wait: true }),
    runDueJobs(database, { siteId, wait: true }),
  ]);
  // The import, and the look through its days that it leaves.
  expect(ran.reduce((sum, count) => sum + count)).toBe(2);
  const kinds = (await jobsOf(database, siteId)).map(({ kind, attempts }) => [kind, attempts]);
  expect(kinds).toContainEqual(["import", 1]);
  expect(await samplesStored()).toBe(SAMPLES);
});

test.each(["copy", "before-commit"])(
  "an import that is killed at %s leaves nothing, and the same again completes it",
  async (moment) => {
    const path = join(folder, "small.csv");
    writeFileSync(path, log.text);
    await dieAt(moment, path);
    for (const table of ["log", "log_chunk", "sample", "rollup", "job", "day_result"]) {
      expect(
        await database.sql`select 1 from ${database.sql(table)} where site_id = ${siteId}`,
        table,
      ).toHaveLength(0);
    }
    const outcome = await importLog(database, {
      siteId,
      loggerName: "main",
      source: log,
      columnMap: SMALL_MAP,
      receivedAtMs: Date.UTC(2026, 11, 1),
    });
    expect(outcome).toMatchObject({ kind: "imported", added: SAMPLES });
  },
);

test.each(["copy", "before-commit"])(
  "a job whose runner is killed at %s is taken up again",
  async (moment) => {
    const { jobId } = await enqueue();
    await dieAt(moment);
    expect(await samplesStored()).toBe(0);
    expect(await jobById(database, siteId, jobId)).toMatchObject({ state: "running", attempts: 1 });
    await untilLetGo(jobId);
    expect(await runDueJobs(database, { siteId })).toBe(2);
    expect(await jobById(database, siteId, jobId)).toMatchObject({ state: "done", attempts: 2 });
    expect(await samplesStored()).toBe(SAMPLES);
  },
);

test("a recompute that is killed leaves the results as they were, and is taken up again", async () => {
  await enqueue();
  await runDueJobs(database, { siteId });
  const before = await database.sql`select * from transfer where site_id = ${siteId} order by at_ms`;
  expect(before.length).toBeGreaterThan(20);
  await changeSite(database, siteId, {
    ...SMALL_SITE,
    name: `Site ${sites}`,
    ratings: [{ from: "2026-01-01", legLimitW: 8000 }],
  });
  await dieAt("recompute");
  expect(await database.sql`select * from transfer where site_id = ${siteId} order by at_ms`).toEqual(before);
  expect(await resultsRevision(database, siteId)).toMatchObject({ samplesRevision: 2, resultsRevision: 1 });
  const [{ jobId }] = await jobsOf(database, siteId);
  await untilLetGo(jobId);
  await runDueJobs(database, { siteId });
  expect(await resultsRevision(database, siteId)).toMatchObject({ samplesRevision: 2, resultsRevision: 2 });
  const after = await database.sql`select * from transfer where site_id = ${siteId} order by at_ms`;
  expect(after.map((row) => row.at_ms)).toEqual(before.map((row) => row.at_ms));
  expect(after).not.toEqual(before);
});

test("a job that killed its runner three times is given up on, with the reason", async () => {
  const { jobId } = await enqueue();
  await database.sql`update job set state = 'running', attempts = 3 where job_id = ${jobId}`;
  await runDueJobs(database, { siteId });
  expect(await jobById(database, siteId, jobId)).toMatchObject({
    state: "failed",
    error: { message: expect.stringContaining("taken up 3 times") },
  });
});

test("changes that come while a recompute waits don't put another in line; one that comes while it runs does", async () => {
  await enqueue();
  await runDueJobs(database, { siteId });
  const change = (legLimitW: number) =>
    changeSite(database, siteId, {
      ...SMALL_SITE,
      name: `Site ${sites}`,
      ratings: [{ from: "2026-01-01", legLimitW }],
    });
  await change(5000);
  await change(6000);
  const waiting = async () =>
    (await jobsOf(database, siteId)).filter((job) => job.kind === "recompute" && job.state === "waiting");
  expect(await waiting()).toHaveLength(1);
  await database.sql`update job set state = 'running' where site_id = ${siteId} and state = 'waiting'`;
  await change(7000);
  expect(await waiting()).toHaveLength(1);
  await runDueJobs(database, { siteId });
  expect(await resultsRevision(database, siteId)).toMatchObject({ samplesRevision: 4, resultsRevision: 4 });
});

/** The server notices a killed runner when its connection closes, a moment later. */
async function untilLetGo(jobId: number): Promise<void> {
  for (let held = 1; held > 0; ) {
    [{ held }] = await database.sql<{ held: number }[]>`
      select count(*)::int as held from pg_locks where locktype = 'advisory' and classid = ${JOB_LOCK} and objid = ${jobId}`;
  }
}
