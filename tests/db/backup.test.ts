import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { deserialize } from "node:v8";
import { afterAll, beforeAll, expect, test } from "vitest";
import yazl from "yazl";
import { AppError } from "../../db/app-error";
import { BACKED_UP_TABLES, LEFT_OUT_TABLES, tablesOf } from "../../db/backup/backup-format";
import { openBackup } from "../../db/backup/open-backup";
import { restoreBackup } from "../../db/backup/restore-backup";
import { writeBackup } from "../../db/backup/write-backup";
import { type Database, openDatabase } from "../../db/open-database";
import { keptMaps } from "../../db/queries/kept-maps";
import { siteResults } from "../../db/queries/site-results";
import { storedLogSource } from "../../db/queries/stored-log-source";
import { addPersonNote } from "../../db/writes/add-person-note";
import { addSite } from "../../db/writes/add-site";
import { changePersonNote } from "../../db/writes/change-person-note";
import { importLog } from "../../db/writes/import-log";
import { receiveLog } from "../../db/writes/receive-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { withdrawLog } from "../../db/writes/withdraw-log";
import { runLegroom, startLegroom } from "../run-legroom";
import { startPostgres15 } from "./postgres-15";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

/*
 * A backup restored elsewhere gives the same samples, minutes and results, bit for bit; what is not a whole backup
 * restores nothing; and a kill leaves nothing half, at either end.
 */

const MAY = Date.UTC(2026, 4, 3);
const RECEIVED = Date.UTC(2026, 11, 1);

let database: TestDatabase;
let folder: string;
let file: string;

beforeAll(async () => {
  database = await testDatabase();
  folder = mkdtempSync(join(tmpdir(), "legroom backup "));
  file = join(folder, "all.zip");
  await fill(database);
  await writeBackup(database, file);
}, 120_000);
afterAll(async () => {
  rmSync(folder, { recursive: true, force: true });
  await database?.drop();
});

/** Two sites: logs that overlap, replace, stamp the end, are withdrawn, were only received; two loggers. */
async function fill(into: Database): Promise<void> {
  const altered = (row: string, index: number) => (index % 5 === 0 ? row.replace(/,(\d+)/, ",1$1") : row);
  const { siteId } = await addSite(into, {
    ...SMALL_SITE,
    loggers: [{ name: "main" }, { name: "second" }],
  });
  const take = (name: string, from: number, samples: number, more: object = {}, map = SMALL_MAP) =>
    importLog(into, {
      siteId,
      loggerName: "main",
      source: smallLog(smallRows({ fromMs: MAY + from * 10_000, samples, ...more }), name),
      columnMap: map,
      guessed: ["time"],
      receivedAtMs: RECEIVED,
      ...more,
    });
  await take("a.csv", 0, 3000);
  await take("b, 'quoted'.csv", 2500, 3000, { change: altered });
  await take("c.csv", 4000, 500, { change: altered, replace: { fromMs: null, toMs: null } });
  await take("end.csv", 9000, 900, {}, { ...SMALL_MAP, time: { ...SMALL_MAP.time, stamps: "end" } });
  await take("second.csv", 0, 700, { loggerName: "second", intervalS: 60 });
  const gone = await take("withdrawn.csv", 100, 400, { change: altered });
  if (gone.kind === "imported") await withdrawLog(into, siteId, gone.logId);
  const body = smallLog(smallRows({ fromMs: MAY, samples: 50 }), "waiting.csv");
  await receiveLog(into, { siteId, loggerName: "main", name: "waiting.csv", body: body.open() });
  await runDueJobs(into, { siteId });
  const written = { text: "Kiln on, \"cone 6\".\n<b>ä – 火</b> \\ 'x'", isChange: false };
  await addPersonNote(into, siteId, { kind: "day", date: "2026-05-03" }, { ...written, isChange: true });
  await addPersonNote(into, siteId, { kind: "transfer", atMs: MAY + 3_000_001 }, written);
  const { noteId } = await addPersonNote(into, siteId, { kind: "dropout", atMs: MAY }, written);
  await changePersonNote(into, siteId, noteId, { ...written, text: "x".repeat(2000) });
  const other = await addSite(into, { ...SMALL_SITE, name: "The other one", timezone: "America/Phoenix" });
  await importLog(into, {
    siteId: other.siteId,
    loggerName: "main",
    source: smallLog(smallRows({ fromMs: MAY, samples: 600 }), "other.csv"),
    columnMap: SMALL_MAP,
    receivedAtMs: RECEIVED,
  });
  await runDueJobs(into, { siteId: other.siteId });
}

/** What only says when and in which turn something was computed. */
const NOT_COMPARED: Readonly<Record<string, readonly string[]>> = {
  site: [
    "samples_revision",
    "results_revision",
    "results_computed_at_ms",
    "changed_from_ms",
    "changed_to_ms",
    "assess_from_ms",
    "assess_to_ms",
  ],
  log: ["compressed_bytes"],
  // Fault words are numbered as logs bring them, and a refold numbers them anew: what counts is the word.
  transfer: ["found"],
  dropout: ["found"],
  site_result: ["fault_words", "conclude_config", "pass_config"],
};

/** Tables whose rows come back one by one: everything but what is left out for what it is. */
const COMPARED = [
  ...BACKED_UP_TABLES,
  ...Object.keys(LEFT_OUT_TABLES).filter(
    (table) =>
      !["job", "api_token", "log_growth", "log_further", "log_chunk", "fault_word", "kept_state"].includes(
        table,
      ),
  ),
];

async function contents(of: Database): Promise<Record<string, unknown[]>> {
  const tables: Record<string, unknown[]> = {};
  for (const table of COMPARED) {
    const left = NOT_COMPARED[table] ?? [];
    // Fault numbers are each log's own: what counts is the word.
    const fault =
      table === "sample"
        ? `, (select code || coalesce(meaning, '') from fault_word w where w.site_id = t.site_id
             and w.logger_id = t.logger_id and w.fault = t.fault) as fault`
        : "";
    const rows = await of.sql.unsafe(`select t.*${fault} from ${table} t`);
    tables[table] = rows
      .map((row) =>
        Object.fromEntries(
          Object.entries(row)
            .filter(([column]) => !left.includes(column) && column !== "segment_ms" && column !== "digest")
            .map(([column, value]) => [column, Buffer.isBuffer(value) ? deserialize(value) : value]),
        ),
      )
      .sort((a, b) => (JSON.stringify(a) < JSON.stringify(b) ? -1 : 1));
  }
  return tables;
}

async function restored(path: string, into: Database, options = {}): Promise<void> {
  const backup = await openBackup(path);
  try {
    await backup.verify();
    const { sites } = await restoreBackup(into, backup, options);
    for (const { siteId } of sites) await runDueJobs(into, { siteId });
  } finally {
    backup.close();
  }
}

test("restored into an empty database everything is the same, bit for bit, and can be backed up the same again", async () => {
  const empty = await testDatabase();
  try {
    await restored(file, empty);
    const before = await contents(database);
    expect(before.transfer.length).toBeGreaterThan(5);
    expect(before.person_note).toHaveLength(3);
    expect(before.reject.length).toBeGreaterThan(0);
    const after = await contents(empty);
    for (const table of COMPARED) expect(after[table], table).toEqual(before[table]);
    for (const siteId of [1, 2])
      expect(await siteResults(empty, siteId)).toEqual(await siteResults(database, siteId));

    for (const { siteId, logId, name, sizeBytes } of await database.sql<
      { siteId: number; logId: number; name: string; sizeBytes: number }[]
    >`select site_id as "siteId", log_id as "logId", name, size_bytes as "sizeBytes" from log`) {
      const bytes = async (of: Database) => {
        const pieces: Uint8Array[] = [];
        for await (const piece of storedLogSource(of, siteId, { logId, name, sizeBytes }).open())
          pieces.push(piece);
        return Buffer.concat(pieces);
      };
      expect((await bytes(empty)).equals(await bytes(database))).toBe(true);
    }
    expect((await keptMaps(empty, 1)).length).toBeGreaterThan(0);

    // A new log gets an id that no other has, and the fold goes on.
    const next = await importLog(empty, {
      siteId: 1,
      loggerName: "main",
      source: smallLog(smallRows({ fromMs: MAY + 20_000 * 10_000, samples: 20 }), "next.csv"),
      columnMap: SMALL_MAP,
      receivedAtMs: RECEIVED,
    });
    expect(next).toMatchObject({ kind: "imported", added: 20 });
    // And so does a new note.
    const about = { kind: "day", date: "2026-05-04" } as const;
    expect(await addPersonNote(empty, 1, about, { text: "later", isChange: false })).toEqual({ noteId: 4 });
  } finally {
    await empty.drop();
  }
});

test("what a backup holds and what it leaves out is every table that there is", async () => {
  const tables = await database.sql<{ name: string }[]>`
    select relname as name from pg_class
    where relkind in ('r', 'p') and not relispartition and relnamespace = 'public'::regnamespace`;
  const known = [...BACKED_UP_TABLES, ...Object.keys(LEFT_OUT_TABLES)];
  expect(tables.map(({ name }) => name).sort()).toEqual(known.sort());
});

test("beside other sites it is restored only under new names", async () => {
  const busy = await testDatabase();
  try {
    await addSite(busy, SMALL_SITE);
    const backup = await openBackup(file);
    await expect(restoreBackup(busy, backup)).rejects.toThrow(/--into-new-names/);
    expect(await busy.sql`select count(*)::int as n from log`).toEqual([{ n: 0 }]);
    backup.close();
    await restored(file, busy, { intoNewNames: true });
    const sites = await busy.sql<{ name: string; slug: string; inside: string }[]>`
      select name, slug, config ->> 'name' as inside from site order by site_id`;
    expect(sites.map(({ name }) => name).sort()).toEqual(
      [SMALL_SITE.name, `${SMALL_SITE.name} (restored)`, "The other one"].sort(),
    );
    for (const { name, inside } of sites) expect(inside).toBe(name);
    const ofMain = async (of: Database, name: string) =>
      of.sql`select at_ms, cause, on_utility_s, evidence from transfer join site using (site_id)
        where name = ${name} order by at_ms`;
    expect(await ofMain(busy, `${SMALL_SITE.name} (restored)`)).toEqual(
      await ofMain(database, SMALL_SITE.name),
    );
  } finally {
    await busy.drop();
  }
});

test("a file that is damaged anywhere, cut off or something else restores nothing, and says so", async () => {
  const whole = readFileSync(file);
  const refusal = async (bytes: Buffer): Promise<string> => {
    const path = join(folder, "broken.zip");
    writeFileSync(path, bytes);
    try {
      const backup = await openBackup(path);
      try {
        await backup.verify();
      } finally {
        backup.close();
      }
    } catch (error) {
      expect(error).toBeInstanceOf(AppError);
      return (error as AppError).message;
    }
    return "";
  };
  expect(await refusal(whole)).toBe("");
  for (let at = 0; at < whole.length; at += Math.ceil(whole.length / 150)) {
    const flipped = Buffer.from(whole);
    flipped[at] ^= 0x10;
    const said = await refusal(flipped);
    // Bits that say nothing about the content, such as an entry's time, may be others.
    if (said === "") {
      const path = join(folder, "broken.zip");
      const backup = await openBackup(path);
      expect(backup.manifest).toEqual((await openBackup(file)).manifest);
      backup.close();
    }
  }
  for (const part of [0, 1, 30, whole.length / 2, whole.length - 1]) {
    expect(await refusal(whole.subarray(0, part))).toMatch(/is no backup that can be restored|is damaged/);
  }
  expect(await refusal(Buffer.from("Time,L1 W\n2026-05-01,1\n"))).toContain("is no backup");
  const other = new yazl.ZipFile();
  other.addBuffer(Buffer.from('{"format":"another"}'), "manifest.json");
  other.end();
  const pieces: Buffer[] = [];
  for await (const piece of other.outputStream) pieces.push(piece as Buffer);
  expect(await refusal(Buffer.concat(pieces))).toContain('doesn\'t say "legroom-backup"');
});

test("the command writes and restores, keeps a file that is there, and asks for an empty database", async () => {
  const empty = await testDatabase();
  try {
    const path = join(folder, "by command.zip");
    const from = { DATABASE_URL: database.url };
    const written = await runLegroom(["backup", path], from);
    expect(written).toMatchObject({ code: 0 });
    expect(written.out).toMatch(/2 sites with 8 logs, \d+ bytes\.\n$/);
    expect(statSync(path).mode & 0o777).toBe(0o600);
    expect((await runLegroom(["backup", path], from)).err).toContain("--overwrite");
    expect((await runLegroom(["backup", join(folder, "none", "a.zip")], from)).err).toContain(
      "no such folder",
    );
    // The archive is open to any tool: its logs are gzip files.
    const csv = execFileSync(process.execPath, ["-e", UNZIP, path, "sites/2/logs/8.csv.gz"], {
      encoding: "utf8",
    });
    expect(csv.split("\n")[0]).toBe("Time,L1 W,L2 W,Source,Fault");

    const back = await runLegroom(["restore", path], { DATABASE_URL: empty.url });
    expect(back).toMatchObject({ code: 0 });
    expect(back.out).toContain('"The other one": 1 log restored.');
    expect(await contents(empty)).toEqual(await contents(database));
    const again = await runLegroom(["restore", path], { DATABASE_URL: empty.url });
    expect(again).toMatchObject({ code: 1, out: "" });
    expect(again.err).toContain("--into-new-names");
    expect((await runLegroom(["restore", "7"], from)).code).toBe(2);
    expect((await runLegroom(["restore", join(folder, "none.zip")], from)).err).toContain("no such file");
  } finally {
    await empty.drop();
  }
}, 300_000);

const UNZIP = `
  const yauzl = require("yauzl"), zlib = require("zlib");
  yauzl.open(process.argv[1], { lazyEntries: true }, (e, zip) => {
    zip.on("entry", (entry) => entry.fileName === process.argv[2]
      ? zip.openReadStream(entry, (e, s) => s.pipe(zlib.createGunzip()).pipe(process.stdout)) : zip.readEntry());
    zip.readEntry();
  });`;

test("killed while it writes there is no backup, and the next one clears up; killed while it restores nothing is there", async () => {
  const empty = await testDatabase();
  try {
    const path = join(folder, "killed.zip");
    const killed = await startLegroom(["backup", path], {
      DATABASE_URL: database.url,
      LEGROOM_DIE_AT: "backup",
    }).ended;
    expect(killed.signal).toBe("SIGKILL");
    expect(existsSync(path)).toBe(false);
    expect(readdirSync(folder).filter((name) => name.includes("partial")).length).toBe(1);
    expect((await runLegroom(["backup", path], { DATABASE_URL: database.url })).code).toBe(0);
    expect(readdirSync(folder).filter((name) => name.includes("partial"))).toEqual([]);

    for (const moment of ["refold", "copy", "before-commit"]) {
      const environment = { DATABASE_URL: empty.url, LEGROOM_DIE_AT: moment };
      const run = await startLegroom(["restore", path], environment).ended;
      expect(run.signal).toBe("SIGKILL");
      for (const table of ["site", "log", "log_chunk", "sample", "job"]) {
        expect(await empty.sql.unsafe(`select 1 from ${table} limit 1`), `${moment}: ${table}`).toHaveLength(
          0,
        );
      }
    }
    expect((await runLegroom(["restore", path], { DATABASE_URL: empty.url })).code).toBe(0);
    expect(await contents(empty)).toEqual(await contents(database));
  } finally {
    await empty.drop();
  }
}, 300_000);

test("PostgreSQL 15 and 18 give the same of one another's backups", async () => {
  const other = await startPostgres15();
  const open = openDatabase({ url: other.url });
  try {
    const fifteen = await open;
    expect((await fifteen.sql`show server_version`)[0].server_version).toMatch(/^15\./);
    await restored(file, fifteen);
    expect(await contents(fifteen)).toEqual(await contents(database));
    const back = join(folder, "from 15.zip");
    await writeBackup(fifteen, back);
    const empty = await testDatabase();
    try {
      await restored(back, empty);
      expect(await contents(empty)).toEqual(await contents(database));
    } finally {
      await empty.drop();
    }
  } finally {
    await (await open).close();
    await other.stop();
  }
}, 300_000);

test("a backup of a database before a table came is whole without an entry of it", () => {
  expect(tablesOf(10)).toEqual(["site", "logger", "log", "kept_map", "reject"]);
  expect(tablesOf(11)).toEqual([...tablesOf(10), "inbox"]);
  expect(tablesOf(12)).toEqual([...tablesOf(11), "person_note"]);
  expect(tablesOf(99)).toEqual([...BACKED_UP_TABLES]);
});
