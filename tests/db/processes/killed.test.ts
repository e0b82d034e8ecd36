import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { chmodSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import postgres from "postgres";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { type Database, openDatabase } from "../../../db/open-database";
import { resultsRevision } from "../../../db/queries/results-revision";
import { siteByName } from "../../../db/queries/site-by-name";
import { programRoot } from "../../../db/server/program-root";
import { addSite } from "../../../db/writes/add-site";
import { enqueueImport } from "../../../db/writes/enqueue-import";
import { importLog } from "../../../db/writes/import-log";
import { receiveLog } from "../../../db/writes/receive-log";
import { startLegroom } from "../../run-legroom";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "../small-log";
import { processesOf } from "./processes-of";
import { type Member, startMember } from "./start-member";

// kill -9 of the real command, the real worker and the real embedded server, each at a named moment. Afterwards a log
// is wholly in or wholly out, the next start is usable within ten seconds, what was begun is completed, and when all
// have left nothing runs.

const BACK_WITHIN_MS = 10_000;
const MAY = Date.UTC(2026, 4, 3);
const SAMPLES = 20_000;
const FIRST = smallLog(smallRows({ fromMs: MAY, samples: SAMPLES }), "first.csv");
const SECOND = smallLog(smallRows({ fromMs: MAY + SAMPLES * 10_000, samples: SAMPLES }), "second.csv");

let above: string;
let dataDir: string;
let holder: Member;
let url: string;
let children: ChildProcess[];
const at = (name: string) => join(above, name);

beforeEach(async () => {
  above = mkdtempSync(join(tmpdir(), "legroom killed "));
  chmodSync(above, 0o755);
  dataDir = at("data");
  children = [];
  writeFileSync(at("site.json"), JSON.stringify(SMALL_SITE));
  writeFileSync(at("columns.json"), JSON.stringify(SMALL_MAP));
  for (const log of [FIRST, SECOND]) writeFileSync(at(log.name), log.text);
  // Holds the server, so that a killed command doesn't end it, and leaves the database empty: it doesn't migrate.
  holder = startMember(dataDir);
  url = (await holder.said()).url ?? "";
});

afterEach(async () => {
  for (const child of children) child.kill("SIGKILL");
  await holder.leave();
  await until(() => processesOf(dataDir).length === 0, BACK_WITHIN_MS);
  rmSync(above, { recursive: true, force: true });
});

describe("in the middle of a migration", () => {
  test.each(["the command", "the worker", "the server"])(
    "the kill of %s leaves nothing half",
    async (victim) => {
      // Another session is about to make a table of that name: the migration waits in its middle.
      const other = postgres(url, { max: 1, onnotice: () => {} });
      let letGo = () => {};
      const held = new Promise<void>((resolve) => {
        letGo = resolve;
      });
      const blocking = other.begin(async (tx) => {
        await tx`create table transfer (id int)`;
        await held;
        throw new Error("given up");
      });
      blocking.catch(() => undefined);
      const child = victim === "the worker" ? worker() : command(["sites"]).child;
      const ended = once(child, "close");
      const watch = postgres(url, { max: 1, onnotice: () => {} });
      const waiting = () => watch`
      select 1 from pg_stat_activity where wait_event_type = 'Lock' and query ilike '%create table%transfer%'`;
      await until(async () => (await waiting()).length === 1, BACK_WITHIN_MS);
      expect((await watch`select to_regclass('site') is null as hidden`)[0].hidden).toBe(true);
      if (victim === "the server") process.kill(postmaster(), "SIGKILL");
      else child.kill("SIGKILL");
      letGo();
      await Promise.all([
        blocking.catch(() => undefined),
        other.end({ timeout: 1 }),
        watch.end({ timeout: 1 }),
      ]);
      if (victim !== "the worker") await ended;
      const after = await usable();
      expect(await after.sql`select 1 from site`).toHaveLength(0);
      await after.close();
    },
  );
});

describe("the import of a log by the command", () => {
  beforeEach(addTheSite);

  test.each([
    ["copy", "the command"],
    ["copy", "the server"],
    ["before-commit", "the command"],
    ["before-commit", "the server"],
  ])(
    "at %s, the kill of %s leaves it wholly out, or wholly in and says so, and the same again completes it",
    async (moment, victim) => {
      let wholly = [0];
      const first = await importing(FIRST.name, dying(moment, victim)).ended;
      if (victim === "the command") expect(first.signal).toBe("SIGKILL");
      else {
        expect(first.code).toBe(1);
        // A server process that has the commit in hand before it notices the death completes it.
        const says = {
          in: /What was said so far is stored/,
          out: /can't be reached.*Nothing of this was stored/,
          open: /whether it is stored is not known/,
        };
        const said = first.out !== "" ? "in" : says.open.test(first.err) ? "open" : "out";
        if (moment === "copy") expect(said).toBe("out");
        expect(first.err).toMatch(says[said]);
        if (said !== "out") wholly = said === "in" ? [SAMPLES] : [0, SAMPLES];
      }
      const database = await usable();
      const samples = await stored(database);
      expect(wholly).toContain(samples);
      for (const table of samples > 0
        ? []
        : ["log", "log_chunk", "sample", "rollup", "reject", "job", "day_result"]) {
        expect(await database.sql`select 1 from ${database.sql(table)}`, table).toHaveLength(0);
      }
      const again = await importing(FIRST.name).ended;
      expect(again.out).toMatch(samples > 0 ? /was imported already/ : /20000 taken/);
      await completed(database, SAMPLES);
      await database.close();
    },
  );

  test.each(["the command", "the server"])(
    "at recompute, the kill of %s leaves the log whole and the old results; the next one computes them",
    async (victim) => {
      expect((await importing(FIRST.name).ended).code).toBe(0);
      const killed = await importing(SECOND.name, dying("recompute", victim)).ended;
      if (victim === "the command") expect(killed.signal).toBe("SIGKILL");
      else expect(killed.code).toBe(1);
      const database = await usable();
      expect(await stored(database)).toBe(2 * SAMPLES);
      const site = await siteByName(database, SMALL_SITE.name);
      expect(await resultsRevision(database, site?.siteId ?? 0)).toMatchObject({
        samplesRevision: 2,
        resultsRevision: 1,
      });
      expect((await importing(SECOND.name).ended).out).toMatch(/was imported already/);
      await completed(database, 2 * SAMPLES);
      await database.close();
    },
  );
});

describe("a job of the worker", () => {
  beforeEach(addTheSite);

  test.each([
    ["copy", "the worker"],
    ["copy", "the server"],
    ["before-commit", "the worker"],
    ["before-commit", "the server"],
    ["recompute", "the worker"],
    ["recompute", "the server"],
  ])("at %s, after the kill of %s, is taken up again and completed", async (moment, victim) => {
    const database = await openDatabase({ url });
    const siteId = (await siteByName(database, SMALL_SITE.name))?.siteId ?? 0;
    const logs = moment === "recompute" ? [FIRST, SECOND] : [FIRST];
    // A site with samples has its results computed in a job of their own.
    if (moment === "recompute") {
      const receivedAtMs = Date.UTC(2026, 11, 1);
      await importLog(database, {
        siteId,
        loggerName: "main",
        source: FIRST,
        columnMap: SMALL_MAP,
        receivedAtMs,
      });
    }
    const log = logs[logs.length - 1];
    const { logId } = await receiveLog(database, {
      siteId,
      loggerName: "main",
      name: log.name,
      body: log.open(),
    });
    await enqueueImport(database, siteId, {
      logId,
      columnMap: SMALL_MAP,
      evidence: null,
      allOrNothing: false,
    });
    const server = postmaster();
    const first = worker(dying(moment, victim));
    if (victim === "the worker") expect((await once(first, "close"))[1]).toBe("SIGKILL");
    else await until(() => !isRunning(server), BACK_WITHIN_MS);
    await database.close();
    const after = await usable();
    expect([0, SAMPLES]).toContain((await stored(after)) - (logs.length - 1) * SAMPLES);
    if (victim === "the worker") worker();
    await until(async () => {
      const open = await after.sql`select 1 from job where state in ('waiting', 'running')`;
      return open.length === 0;
    }, BACK_WITHIN_MS);
    await completed(after, logs.length * SAMPLES);
    expect(await after.sql`select 1 from job where state <> 'done'`).toHaveLength(0);
    await after.close();
  });
});

async function addTheSite(): Promise<void> {
  const database = await openDatabase({ url });
  await addSite(database, SMALL_SITE);
  await database.close();
}

function dying(moment: string, victim: string): Record<string, string> {
  return {
    LEGROOM_DIE_AT: moment,
    ...(victim === "the server" && { LEGROOM_DIE_PID: String(postmaster()) }),
  };
}

function command(words: readonly string[], environment: Record<string, string> = {}) {
  const started = startLegroom(words, { LEGROOM_DATA_DIR: dataDir, ...environment });
  children.push(started.child);
  return started;
}

function importing(name: string, environment: Record<string, string> = {}) {
  const words = ["import", at(name), "--site", SMALL_SITE.name, "--columns", at("columns.json")];
  return command(words, environment);
}

function worker(environment: Record<string, string> = {}): ChildProcess {
  const { DATABASE_URL: _, LEGROOM_DIE_AT: __, ...inherited } = process.env;
  const child = spawn(process.execPath, ["--import", "tsx", "src/worker/main.ts"], {
    cwd: programRoot(),
    env: { ...inherited, LEGROOM_DATA_DIR: dataDir, ...environment } as NodeJS.ProcessEnv,
    // It ends when its standard input does.
    stdio: ["pipe", "ignore", "ignore"],
  });
  children.push(child);
  return child;
}

/** The database after the death, opened as the next start does; within ten seconds or not at all. */
async function usable(): Promise<Database> {
  const beganAt = performance.now();
  url = (await holder.ensure()).url ?? "";
  const database = await openDatabase({ url });
  await database.sql`select 1`;
  expect(performance.now() - beganAt).toBeLessThan(BACK_WITHIN_MS);
  return database;
}

async function stored(database: Database): Promise<number> {
  const [{ samples }] = await database.sql`select count(*)::int as samples from sample`;
  return samples;
}

/** All samples once, the logs kept as they came, and results that stand on them. */
async function completed(database: Database, samples: number): Promise<void> {
  expect(await stored(database)).toBe(samples);
  const site = await siteByName(database, SMALL_SITE.name);
  const revision = await resultsRevision(database, site?.siteId ?? 0);
  expect(revision?.resultsRevision).toBe(revision?.samplesRevision);
  const logs = await database.sql<{ state: string; sizeBytes: number }[]>`
    select state, size_bytes as "sizeBytes" from log order by log_id`;
  const expected = [FIRST, SECOND].slice(0, samples / SAMPLES);
  expect(logs.map((log) => ({ ...log }))).toEqual(
    expected.map(({ text }) => ({ state: "imported", sizeBytes: text.length })),
  );
}

function postmaster(): number {
  return Number(readFileSync(join(dataDir, "server", "data", "postmaster.pid"), "utf8").split("\n")[0]);
}

function isRunning(pid: number): boolean {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, "utf8") !== "";
  } catch {
    return false;
  }
}

async function until(holds: () => boolean | Promise<boolean>, withinMs: number): Promise<void> {
  const deadline = performance.now() + withinMs;
  while (!(await holds())) {
    if (performance.now() > deadline) throw new Error(`not within ${withinMs} ms`);
    await sleep(50);
  }
}
