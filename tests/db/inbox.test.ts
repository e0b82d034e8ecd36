import { type ChildProcess, execFileSync, fork } from "node:child_process";
import { once } from "node:events";
import {
  appendFileSync,
  existsSync,
  linkSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { afterAll, afterEach, beforeAll, expect, test, vi } from "vitest";
import { addSite } from "../../db/writes/add-site";
import { runLegroom } from "../run-legroom";
import { zipArchive } from "../unit/ingest/zip-archive";
import { SMALL_SITE, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// Starting a worker and a command takes its time where others use the machine, too.
vi.setConfig({ testTimeout: 180_000 });

// The real worker on real files. Names of columns that are inferred without doubt.

const MAY = Date.UTC(2026, 4, 3);
const STEP = 10_000;
const HEADER = "Time,Load L1 W,Load L2 W,Source,Fault code";
const SITE = { ...SMALL_SITE, loggers: [{ name: "main" }, { name: "meter" }] };

let database: TestDatabase;
let home: string;
let inbox: string;
let siteId: number;
let sites = 0;
let worker: ChildProcess | null = null;
let said = "";

beforeAll(async () => {
  database = await testDatabase();
});
afterAll(() => database.drop());
afterEach(async () => {
  if (worker !== null) {
    worker.kill("SIGTERM");
    await once(worker, "exit");
  }
  worker = null;
  rmSync(home, { recursive: true, force: true });
});

/** A site with an inbox, and a worker that looks every fifth of a second and waits a second. */
async function start(environment: Record<string, string> = {}): Promise<void> {
  home = mkdtempSync(join(tmpdir(), "legroom-inbox-"));
  const name = `Inbox ${++sites}`;
  ({ siteId } = await addSite(database, { ...SITE, name }));
  inbox = join(home, `inbox-${sites}`);
  mkdirSync(inbox);
  await database.sql`insert into inbox (site_id, folder) values (${siteId}, ${inbox})`;
  said = "";
  worker = fork(fileURLToPath(new URL("../../src/worker/main.ts", import.meta.url)), {
    execArgv: ["--import", "tsx"],
    stdio: ["ignore", "inherit", "pipe", "ipc"],
    env: {
      ...process.env,
      DATABASE_URL: database.url,
      LEGROOM_DATA_DIR: home,
      LEGROOM_INBOX_LOOK_S: "0.2",
      LEGROOM_INBOX_QUIET_S: "1",
      LEGROOM_INBOX_GROW_S: "0.5",
      ...environment,
    },
  });
  worker.stderr?.on("data", (bytes) => {
    said += bytes;
  });
}

const rows = (first: number, samples: number) => smallRows({ fromMs: MAY + first * STEP, samples });
const csv = (first: number, samples: number) => `${HEADER}\n${lines(first, samples)}`;
const lines = (first: number, samples: number) =>
  rows(first, samples)
    .map((row) => `${row}\n`)
    .join("");

const logs = () => database.sql<{ name: string; logger: string; taken: number; size: number }[]>`
  select l.name, g.name as logger, (verdict #>> '{counts,taken}')::int as taken, size_bytes as size
  from log l join logger g using (site_id, logger_id) where site_id = ${siteId} and state = 'imported' order by log_id`;

async function until(
  what: string,
  holds: () => boolean | Promise<boolean>,
  withinMs = 150_000,
): Promise<void> {
  const deadline = performance.now() + withinMs;
  while (!(await holds())) {
    if (performance.now() > deadline)
      throw new Error(`not within ${withinMs} ms: ${what}. The worker said: ${said}`);
    await sleep(100);
  }
}

const files = (...path: string[]) =>
  existsSync(join(inbox, ...path)) ? readdirSync(join(inbox, ...path)).sort() : [];

test("a file that has stopped growing is imported and moved to done; results follow", async () => {
  await start();
  const path = join(inbox, "may.csv");
  writeFileSync(path, csv(0, 100));
  for (let i = 1; i < 8; i++) {
    await sleep(250);
    appendFileSync(path, lines(i * 100, 100));
    expect(existsSync(path)).toBe(true);
  }
  await until("moved", () => files("done").length === 1);
  expect(files("done")).toEqual(["may.csv"]);
  expect(await logs()).toMatchObject([{ name: "may.csv", logger: "main", taken: 800 }]);
  await until("results", async () => {
    const [site] =
      await database.sql`select results_revision as r, samples_revision as s from site where site_id = ${siteId}`;
    return site.r !== null && site.r === site.s;
  });
});

test("what can't be taken goes to refused, with the reason beside it as text", async () => {
  await start();
  writeFileSync(join(inbox, "empty.csv"), "");
  writeFileSync(join(inbox, "prose.txt"), "Dear reader\nthis is a letter\n");
  writeFileSync(join(inbox, "bad.zip"), zipArchive([{ name: "a.csv", text: csv(0, 9), flags: 1 }]));
  await until("refused", () => files("refused").length === 6);
  expect(files("refused")).toEqual([
    "bad.zip",
    "bad.zip.reason.txt",
    "empty.csv",
    "empty.csv.reason.txt",
    "prose.txt",
    "prose.txt.reason.txt",
  ]);
  const reason = (name: string) => readFileSync(join(inbox, "refused", `${name}.reason.txt`), "utf8");
  expect(reason("empty.csv")).toMatch(
    /empty\.csv was not imported into "Inbox \d+", logger "main"[\s\S]*0 bytes.*file\.empty/,
  );
  expect(reason("bad.zip")).toMatch(/encrypted[\s\S]*file\.archive-encrypted/);
  expect(await logs()).toEqual([]);
});

test("files of one name are numbered, names may be odd, loggers have folders, archives are taken apart", async () => {
  await start();
  mkdirSync(join(inbox, "meter"));
  mkdirSync(join(inbox, "not-a-logger"));
  const odd = "Märzlog \u{1f3fa} (a); rm -rf $HOME <b>.csv";
  writeFileSync(join(inbox, odd), csv(0, 50));
  // Bytes that are no text in any encoding of names.
  writeFileSync(
    Buffer.concat([Buffer.from(`${inbox}/no-text-`), Buffer.from([0xff, 0xfe]), Buffer.from(".csv")]),
    csv(200, 50),
  );
  writeFileSync(join(inbox, "meter", "m.csv"), csv(0, 60));
  writeFileSync(join(inbox, "not-a-logger", "n.csv"), csv(900, 60));
  writeFileSync(join(inbox, ".hidden.csv"), csv(900, 60));
  writeFileSync(
    join(inbox, "days.data"),
    zipArchive([
      { name: "1.csv", text: csv(400, 10) },
      { name: "2.csv", text: csv(410, 10) },
    ]),
  );
  writeFileSync(join(inbox, "x.csv"), gzipSync(csv(500, 10)));
  await until("five", () => files("done").length === 4 && files("meter", "done").length === 1);
  writeFileSync(join(inbox, "x.csv"), csv(600, 10));
  await until("numbered", () => files("done").length === 5);
  expect(files("done")).toContain("x (2).csv");
  expect(files("done")).toContain(odd);
  expect((await logs()).map(({ name, logger, taken }) => `${name} ${logger} ${taken}`).toSorted()).toEqual(
    [
      `${odd} main 50`,
      "no-text-\u{fffd}\u{fffd}.csv main 50",
      "m.csv meter 60",
      "days.data/1.csv main 10",
      "days.data/2.csv main 10",
      "x.csv main 10",
      "x.csv main 10",
    ].toSorted(),
  );
  expect(files()).toEqual([".hidden.csv", "done", "meter", "not-a-logger"]);
});

test("links and special files are never followed: they are refused, and what they lead to is left alone", async () => {
  await start();
  const secret = join(home, "secret.csv");
  writeFileSync(secret, csv(0, 20));
  symlinkSync(secret, join(inbox, "soft.csv"));
  symlinkSync(join(home, "nowhere"), join(inbox, "dangling.csv"));
  linkSync(secret, join(inbox, "hard.csv"));
  execFileSync("mkfifo", [join(inbox, "pipe.csv")]);
  // A folder that leads elsewhere is none.
  mkdirSync(join(home, "elsewhere"));
  writeFileSync(join(home, "elsewhere", "e.csv"), csv(100, 20));
  symlinkSync(join(home, "elsewhere"), join(inbox, "meter"));
  await until("refused", () => files("refused").filter((name) => name.endsWith(".reason.txt")).length === 5);
  const reason = (name: string) => readFileSync(join(inbox, "refused", `${name}.reason.txt`), "utf8");
  expect(reason("soft.csv")).toMatch(/It is a link/);
  expect(reason("dangling.csv")).toMatch(/It is a link/);
  expect(reason("hard.csv")).toMatch(/hard link/);
  expect(reason("pipe.csv")).toMatch(/special/);
  expect(reason("meter")).toMatch(/It is a link/);
  await sleep(1500);
  expect(await logs()).toEqual([]);
  expect(readFileSync(secret, "utf8")).toBe(csv(0, 20));
  expect(readdirSync(join(home, "elsewhere"))).toEqual(["e.csv"]);
});

test("where done is a link to another place nothing is moved there, and it is said", async () => {
  await start();
  mkdirSync(join(home, "elsewhere"));
  symlinkSync(join(home, "elsewhere"), join(inbox, "done"));
  writeFileSync(join(inbox, "a.csv"), csv(0, 20));
  await until("said", () => /a\.csv stays where it is/.test(said));
  expect(readdirSync(join(home, "elsewhere"))).toEqual([]);
  expect(files()).toEqual(["a.csv", "done"]);
  expect(await logs()).toMatchObject([{ taken: 20 }]);
});

test("a file in growing stays, and its new rows are taken as one log", async () => {
  await start();
  mkdirSync(join(inbox, "growing"));
  const path = join(inbox, "growing", "live.csv");
  writeFileSync(path, csv(0, 300));
  await until("first rows", async () => (await logs())[0]?.taken === 300);
  for (let i = 0; i < 30; i++) {
    appendFileSync(path, lines(300 + i, 1));
    await sleep(100);
  }
  await until("all rows", async () => (await logs())[0]?.taken === 330);
  expect(await logs()).toMatchObject([{ name: "live.csv", taken: 330, size: readFileSync(path).length }]);
  expect(files("growing")).toEqual(["live.csv"]);
});

test("a folder that vanishes is waited for; a file of which half has come in before is taken whole", async () => {
  await start();
  rmSync(inbox, { recursive: true });
  await until("said", () => /is not there/.test(said));
  mkdirSync(inbox);
  // As a copying program does: under a hidden name, and renamed when it is whole.
  writeFileSync(join(inbox, ".coming"), csv(0, 40));
  renameSync(join(inbox, ".coming"), join(inbox, "whole.csv"));
  await until("taken", () => files("done").length === 1);
  expect(await logs()).toMatchObject([{ name: "whole.csv", taken: 40 }]);
  expect(worker?.exitCode).toBeNull();
});

test("the command shows the inbox in the data folder, makes it, and sets another one", async () => {
  await start();
  const other = mkdtempSync(join(home, "other "));
  const legroom = (...words: string[]) =>
    runLegroom(["inbox", "--site", `Inbox ${sites}`, ...words], {
      DATABASE_URL: database.url,
      LEGROOM_DATA_DIR: home,
    });
  expect((await legroom("--default")).out).toBe(`${join(home, "inbox", `inbox-${sites}`)}\n`);
  expect(existsSync(join(home, "inbox", `inbox-${sites}`))).toBe(true);
  expect(await legroom("--folder", other)).toMatchObject({ code: 0, out: `${other}\n` });
  writeFileSync(join(other, "a.csv"), csv(0, 20));
  await until("taken", () => existsSync(join(other, "done", "a.csv")));
  const missing = await legroom("--folder", join(home, "nowhere"));
  expect(missing).toMatchObject({ code: 1, out: "" });
  expect(missing.err).toMatch(/no such file/);
});
