import { spawnSync } from "node:child_process";
import {
  chmodSync,
  chownSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import postgres from "postgres";
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from "vitest";
import { startPostgres15 } from "./postgres-15";
import { copyCheckout } from "./processes/checkout-copy";
import { processesOf } from "./processes/processes-of";
import { type Member, startMember } from "./processes/start-member";

// Real processes, a data folder of its own for each test, in a path with spaces.

/** After whatever death, the server is back this soon after the next start. Making the data takes longer. */
const BACK_WITHIN_MS = 10_000;

let template: string;
let above: string;
let dataDir: string;
let members: Member[];

beforeAll(async () => {
  template = mkdtempSync(join(tmpdir(), "legroom template "));
  chmodSync(template, 0o755);
  const first = startMember(join(template, "data folder"));
  expect((await first.said()).message).toBeUndefined();
  await first.leave();
});

afterAll(() => {
  rmSync(template, { recursive: true, force: true });
});

beforeEach(() => {
  above = mkdtempSync(join(tmpdir(), "legroom processes "));
  chmodSync(above, 0o755);
  dataDir = join(above, "data folder");
  members = [];
});

afterEach(async () => {
  await Promise.all(members.map((member) => member.kill()));
  for (const { pid } of processesOf(dataDir)) tryKill(pid);
  await untilNothingRuns();
  rmSync(above, { recursive: true, force: true });
});

test("the first process starts the server, the next one joins it, the last one to leave stops it", async () => {
  const first = member();
  const { url } = await first.said();
  const second = member();
  expect(await second.said()).toMatchObject({ url, embedded: true });
  await first.leave();
  expect(await query(url!, "select 1 as one")).toEqual([{ one: 1 }]);
  await second.leave();
  expect(processesOf(dataDir)).toEqual([]);
});

test("the server is there for this computer only, by password, and its secrets are its user's", async () => {
  usedBefore();
  const { url } = await member().said();
  const settings = await query(
    url!,
    `select current_setting('listen_addresses') as addresses, current_setting('unix_socket_directories') as sockets,
      current_setting('password_encryption') as passwords, current_setting('fsync') as fsync,
      current_setting('lc_collate', true) as none, (select datcollate from pg_database where datname = 'legroom') as collate,
      current_setting('server_encoding') as encoding, current_setting('data_checksums') as checksums`,
  );
  expect(settings).toEqual([
    {
      addresses: "127.0.0.1",
      sockets: "",
      passwords: "scram-sha-256",
      fsync: "on",
      none: null,
      collate: "C",
      encoding: "UTF8",
      checksums: "on",
    },
  ]);
  const wrong = new URL(url!);
  wrong.password = "wrong";
  await expect(query(wrong.href, "select 1")).rejects.toMatchObject({ code: "28P01" });
  expect(statSync(join(dataDir, "server", "password")).mode & 0o777).toBe(0o600);
  expect(statSync(join(dataDir, "server")).mode & 0o777).toBe(0o700);
});

test("when the last member is killed the server stops, with nothing to recover", async () => {
  usedBefore();
  const first = member();
  await first.said();
  await first.kill();
  await untilNothingRuns();
  expect(readdirSync(join(dataDir, "server", "data"))).not.toContain("postmaster.pid");
});

test("when all members are killed at once the server stops, and the next start is quick", async () => {
  usedBefore();
  const all = [member(), member(), member()];
  const urls = await Promise.all(all.map(async (one) => (await one.said()).url));
  expect(new Set(urls).size).toBe(1);
  await Promise.all(all.map((one) => one.kill()));
  await untilNothingRuns();
  await expectBack();
});

test("a killed postmaster is started again on the same port, even while a long statement runs", async () => {
  usedBefore();
  const first = member();
  const { url } = await first.said();
  await query(url!, "create table kept as select 1 as step");
  const busy = query(
    url!,
    "select count(*) from generate_series(1, 4000000000) as a, generate_series(1, 1000000) as b",
  ).catch((error: unknown) => error);
  await sleep(500);
  process.kill(postmaster(), "SIGKILL");
  const again = await first.ensure();
  expect(again.url).toBe(url);
  expect(again.tookMs).toBeLessThan(BACK_WITHIN_MS);
  expect(await busy).toBeInstanceOf(Error);
  expect(await query(url!, "select step from kept")).toEqual([{ step: 1 }]);
  await first.leave();
  await untilNothingRuns();
});

test("after postmaster, keeper and members are all killed the next start finds what was committed, and only that", async () => {
  usedBefore();
  const first = member();
  const { url } = await first.said();
  await query(url!, "create table kept (step int)");
  await query(url!, "insert into kept values (1)");
  const sql = postgres(url!, { max: 1 });
  const open = sql.begin(async (tx) => {
    await tx`insert into kept values (2)`;
    await sleep(60_000, undefined, { ref: false });
  });
  const lost = expect(open).rejects.toThrow();
  await sleep(300);
  process.kill(postmaster(), "SIGKILL");
  for (const { pid, commandLine } of processesOf(dataDir))
    if (commandLine.includes("keeper.sh")) tryKill(pid);
  await first.kill();
  await lost;
  await sql.end({ timeout: 1 });
  const again = await expectBack(async (back) => {
    expect(await query(back, "select step from kept")).toEqual([{ step: 1 }]);
  });
  expect(again.tookMs).toBeLessThan(BACK_WITHIN_MS);
});

test.each([20, 150, 400, 700, 1000, 1300, 1600, 2000])(
  "a first start that is killed after %i ms is made good by the next one",
  async (afterMs) => {
    const first = member();
    await sleep(afterMs);
    await first.kill();
    await expectBack(async () => {}, 6 * BACK_WITHIN_MS);
  },
);

test("when the keeper is killed, the last member to leave still stops the server", async () => {
  usedBefore();
  const first = member();
  await first.said();
  for (const { pid, commandLine } of processesOf(dataDir))
    if (commandLine.includes("keeper.sh")) tryKill(pid);
  await sleep(100);
  await first.leave();
  await untilNothingRuns();
});

test("joining while the server stops waits for the end and starts it anew", async () => {
  usedBefore();
  for (let round = 0; round < 5; round++) {
    const leaving = member();
    await leaving.said();
    const gone = round % 2 ? leaving.kill() : leaving.leave();
    const joining = member();
    const { url } = await joining.said();
    await gone;
    expect(await query(url!, "select 1 as one")).toEqual([{ one: 1 }]);
    await joining.leave();
  }
  expect(processesOf(dataDir)).toEqual([]);
});

test("a port that somebody has taken meanwhile is left to them", async () => {
  usedBefore();
  const port = Number(readFileSync(join(dataDir, "server", "port"), "utf8"));
  const other = createServer();
  await new Promise<void>((resolve) => other.listen(port, "127.0.0.1", resolve));
  try {
    const second = member();
    const { url } = await second.said();
    expect(Number(new URL(url!).port)).not.toBe(port);
    expect(await query(url!, "select 1 as one")).toEqual([{ one: 1 }]);
    await second.leave();
  } finally {
    await new Promise((resolve) => other.close(resolve));
  }
});

test("data of another major version is refused, and a backup named as the way", async () => {
  usedBefore();
  writeFileSync(join(dataDir, "server", "data", "PG_VERSION"), "17\n");
  expect(await member().said()).toMatchObject({
    code: "server-version",
    message: expect.stringMatching(/PostgreSQL 17.*restore your last backup/),
  });
  await untilNothingRuns();
});

test("a data folder that is a file is refused by name", async () => {
  writeFileSync(dataDir, "");
  expect(await member().said()).toMatchObject({
    code: "data-folder",
    message: expect.stringContaining(dataDir),
  });
});

test("broken data is told in PostgreSQL's own words, and nothing is left running", async () => {
  usedBefore();
  rmSync(join(dataDir, "server", "data", "global", "pg_control"));
  expect(await member().said()).toMatchObject({
    code: "server-start",
    message: expect.stringMatching(/could not find the database system|pg_control/),
  });
  await untilNothingRuns();
});

test("a checkout that only its owner can reach, in a path with spaces, serves all the same", async () => {
  const home = join(above, "home of one");
  const root = join(home, "check out");
  copyCheckout(root);
  chmodSync(home, 0o700);
  const first = startMember(dataDir, { root });
  members.push(first);
  const said = await first.said();
  expect(said.message).toBeUndefined();
  expect(await query(said.url!, "select 1 as one")).toEqual([{ one: 1 }]);
  await first.leave();
  await untilNothingRuns();
});

test("an ordinary user runs it from a home that nobody else can enter", async () => {
  // Run by root this is done as the user "nobody"; run by an ordinary user it is that user.
  const asRoot = process.getuid?.() === 0;
  const home = join(above, "home");
  const root = join(home, "checkout");
  copyCheckout(root);
  mkdirSync(join(home, "data"));
  if (asRoot) for (const path of [home, join(home, "data")]) chownSync(path, 65_534, 65_534);
  chmodSync(home, 0o700);
  dataDir = join(home, "data", "of legroom");
  const first = startMember(dataDir, { root, ...(asRoot && { uid: 65_534, gid: 65_534 }) });
  members.push(first);
  const said = await first.said();
  expect(said.message).toBeUndefined();
  const running = processesOf(dataDir).map(({ pid }) => statSync(`/proc/${pid}`).uid);
  expect(running.length).toBeGreaterThan(1);
  expect(new Set(running)).toEqual(new Set([asRoot ? 65_534 : process.getuid?.()]));
  await first.leave();
  await untilNothingRuns();
});

test("a server that DATABASE_URL names is used as it is, and nothing is started", async () => {
  const other = await startPostgres15();
  try {
    const first = startMember(dataDir, { env: { DATABASE_URL: other.url } });
    members.push(first);
    expect(await first.said()).toMatchObject({ url: other.url, embedded: false });
    expect(processesOf(dataDir)).toEqual([]);
    expect(
      (await query(other.url, "select current_setting('server_version_num')::int / 10000 as major"))[0],
    ).toEqual({
      major: 15,
    });
    await first.leave();
  } finally {
    await other.stop();
  }
});

/** Gives the test a data folder that has been used before, as `cp` keeps it: making one takes PostgreSQL a while. */
function usedBefore(): void {
  expect(spawnSync("cp", ["-a", join(template, "data folder"), above]).status).toBe(0);
}

function member(): Member {
  const started = startMember(dataDir);
  members.push(started);
  return started;
}

function postmaster(): number {
  return Number(readFileSync(join(dataDir, "server", "data", "postmaster.pid"), "utf8").split("\n")[0]);
}

function tryKill(pid: number): void {
  try {
    process.kill(pid, "SIGKILL");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ESRCH") throw error;
  }
}

/** Starts a member, which must be up within that time of being started, and has it leave again. */
async function expectBack(check: (url: string) => Promise<void> = async () => {}, withinMs = BACK_WITHIN_MS) {
  const startedAt = performance.now();
  const next = member();
  const said = await next.said();
  expect(said.message).toBeUndefined();
  expect(performance.now() - startedAt).toBeLessThan(withinMs);
  await check(said.url!);
  await next.leave();
  await untilNothingRuns();
  return said;
}

async function untilNothingRuns(): Promise<void> {
  const deadline = Date.now() + 10_000;
  while (processesOf(dataDir).length > 0 && Date.now() < deadline) await sleep(50);
  expect(processesOf(dataDir)).toEqual([]);
}

async function query(url: string, text: string): Promise<unknown[]> {
  const sql = postgres(url, { max: 1, onnotice: () => {} });
  try {
    return [...(await sql.unsafe(text))];
  } finally {
    await sql.end({ timeout: 1 });
  }
}
