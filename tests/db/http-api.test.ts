import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { ReadableStream } from "node:stream/web";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { MAX_AT_ONCE_BYTES } from "../../app/_api/api-limits";
import { API_SCHEMAS, type ApiSchemaName } from "../../app/_api/api-schemas";
import { logMap } from "../../app/_data/log-map";
import * as nowhere from "../../app/api/v1/[...path]/route";
import * as problems from "../../app/api/v1/problems/[code]/route";
import * as rejectsRoute from "../../app/api/v1/sites/[site]/logs/[log]/rejects/route";
import * as logRoute from "../../app/api/v1/sites/[site]/logs/[log]/route";
import * as logsRoute from "../../app/api/v1/sites/[site]/logs/route";
import * as monthRoute from "../../app/api/v1/sites/[site]/months/[month]/route";
import * as reviewRoute from "../../app/api/v1/sites/[site]/review/route";
import * as sitesRoute from "../../app/api/v1/sites/route";
import { logById } from "../../db/queries/log-by-id";
import { logsPage } from "../../db/queries/logs-page";
import { samplesBetween } from "../../db/queries/samples-between";
import { tokensOf } from "../../db/queries/tokens-of";
import { ALL_SITES } from "../../db/schema/api-token";
import { addSite } from "../../db/writes/add-site";
import { addToken } from "../../db/writes/add-token";
import { discardLog } from "../../db/writes/discard-log";
import { revokeToken } from "../../db/writes/revoke-token";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { spendToken, TOKEN_RATE } from "../../db/writes/spend-token";
import { sniffFile } from "../../src/cli/map-log";
import { reviewLogs } from "../../src/cli/review-logs";
import { fileLogSource } from "../../src/ingest/file-log-source";
import { SNIFF_BYTES, sniffLog } from "../../src/ingest/sniff-log";
import { clockOf } from "../../src/report/format";
import { reviewJson } from "../../src/report/review-json";
import { parseSite } from "../../src/site/parse-site";
import { zipArchive } from "../unit/ingest/zip-archive";
import { SMALL_SITE, textLog } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// The route handlers as the web server calls them, on a database of their own.

let database: TestDatabase;
let siteId: number;
let slug: string;
let write: string;
let sites = 0;

beforeAll(async () => {
  database = await testDatabase();
  (globalThis as Record<symbol, unknown>)[Symbol.for("legroom.database")] = Promise.resolve(database);
});
afterAll(async () => {
  delete (globalThis as Record<symbol, unknown>)[Symbol.for("legroom.database")];
  await database.drop();
});
beforeEach(async () => {
  ({ siteId, slug } = await addSite(database, { ...SMALL_SITE, name: `Alder Creek ${++sites}` }));
  ({ token: write } = await addToken(database, { siteId, scope: "write", name: "logger" }));
});

type Sent = { method?: string; token?: string | null; body?: BodyInit; headers?: Record<string, string> };

function request(path: string, { method, token = write, body, headers = {} }: Sent = {}): Request {
  return new Request(`http://127.0.0.1:3000${path}`, {
    method: method ?? (body === undefined ? "GET" : "POST"),
    headers: {
      host: "127.0.0.1:3000",
      ...(token === null ? {} : { authorization: `Bearer ${token}` }),
      ...(body === undefined ? {} : { "content-type": "text/csv" }),
      ...headers,
    },
    body,
    duplex: "half",
  } as RequestInit);
}

const params = <P extends object>(given: P) => ({ params: Promise.resolve(given) });
const send = (body: BodyInit | Buffer, query = "", sent: Sent = {}) =>
  logsRoute.POST(
    request(`/api/v1/sites/${slug}/logs${query}`, { body: body as BodyInit, ...sent }),
    params({ site: slug }),
  );
const list = (query = "", sent: Sent = {}) =>
  logsRoute.GET(request(`/api/v1/sites/${slug}/logs${query}`, sent), params({ site: slug }));
const readLog = (log: number | string, sent: Sent = {}) =>
  logRoute.GET(request(`/api/v1/sites/${slug}/logs/${log}`, sent), params({ site: slug, log: String(log) }));

/** The body of an answer, which must be what the document says it is. */
async function json<Name extends ApiSchemaName>(answer: Response, name: Name) {
  const body = await answer.json();
  return API_SCHEMAS[name].parse(body) as ReturnType<(typeof API_SCHEMAS)[Name]["parse"]>;
}

async function problem(answer: Response, status: number, code: string) {
  expect(answer.headers.get("content-type")).toBe("application/problem+json");
  const body = await json(answer, "Problem");
  expect(body).toMatchObject({ status, code, type: `/api/v1/problems/${code}` });
  expect(answer.status).toBe(status);
  return body;
}

const FROM = Date.UTC(2026, 4, 3, 6);

/** A log that says by its names how it is read. */
function csv(rows: number, fromMs = FROM, everyS = 10): string {
  const lines = Array.from({ length: rows }, (_, i) => {
    const at = new Date(fromMs + i * everyS * 1000).toISOString();
    return `${at},${600 + ((i * 7919) % 3300)},${300 + ((i * 104_729) % 1900)}\n`;
  });
  return `Time,Load L1 W,Load L2 W\n${lines.join("")}`;
}

function inOrder<Review extends { notes: { message: string }[] }>(review: Review): Review {
  return { ...review, notes: [...review.notes].sort((a, b) => a.message.localeCompare(b.message)) };
}

async function samples(): Promise<number> {
  const stretch = await samplesBetween(database, siteId, 0, Date.UTC(2100, 0, 1), 1_000_000);
  return stretch?.series.timesMs.length ?? 0;
}

async function logCount(): Promise<number> {
  return (await logsPage(database, siteId, { limit: 1000 })).logs.length;
}

describe("a log that is sent", () => {
  test("is imported at once where it is small, and the answer says what became of it", async () => {
    const answer = await send(csv(100), "?name=May.csv");
    expect(answer.status).toBe(201);
    const { log, alreadyThere, rejects } = await json(answer, "ReceivedLog");
    expect(answer.headers.get("location")).toBe(`/api/v1/sites/${slug}/logs/${log.logId}`);
    expect({ alreadyThere, rejects }).toEqual({ alreadyThere: false, rejects: [] });
    expect(log).toMatchObject({
      name: "May.csv",
      logger: "main",
      state: "imported",
      from: "2026-05-03T00:00:00-06:00",
      counts: { records: 100, taken: 100, duplicates: 0, conflicts: 0, rejected: 0, skipped: 0 },
      screen: `/sites/${slug}/logs/${log.logId}`,
      job: null,
    });
    expect(await samples()).toBe(100);
    expect((await json(await readLog(log.logId), "LogState")).sha256).toBe(log.sha256);
  });

  test("comes in one row at a time, each log kept, without a name", async () => {
    for (let i = 0; i < 5; i++) {
      const answer = await send(csv(1, FROM + i * 1000, 1));
      expect(answer.status).toBe(201);
      expect((await json(answer, "ReceivedLog")).log.name).toMatch(/^20\d\d-.*Z\.csv$/);
    }
    expect(await samples()).toBe(5);
    expect(await logCount()).toBe(5);
    const waiting = await database.sql`
      select 1 from job where site_id = ${siteId} and kind = 'recompute' and state = 'waiting'`;
    expect(waiting.length).toBeLessThanOrEqual(1);
  });

  test("again changes nothing, whatever its name and however it is packed", async () => {
    const first = await json(await send(csv(50)), "ReceivedLog");
    const again = await send(csv(50), "?name=another.csv");
    expect(again.status).toBe(200);
    expect(await json(again, "ReceivedLog")).toMatchObject({
      alreadyThere: true,
      log: { logId: first.log.logId },
    });
    const packed = await send(gzipSync(csv(50)), "", { headers: { "content-encoding": "gzip" } });
    expect(packed.status).toBe(200);
    expect(await logCount()).toBe(1);
    expect(await samples()).toBe(50);
  });

  test.each([
    ["small", 50],
    ["large", 30_000],
  ])("twice in the same moment is one log (%s)", async (_, rows) => {
    const answers = await Promise.all(Array.from({ length: 2 }, () => send(csv(rows))));
    for (const { status } of answers) expect(status).toBeLessThan(300);
    const bodies = await Promise.all(answers.map((one) => json(one, "ReceivedLog")));
    expect(bodies[1].log.logId).toBe(bodies[0].log.logId);
    expect(bodies.filter(({ alreadyThere }) => alreadyThere)).toHaveLength(1);
    await runDueJobs(database, { siteId });
    expect(await logCount()).toBe(1);
    expect(await samples()).toBe(rows);
  });

  test("is received and put in line where it is large, and can be followed", async () => {
    const text = csv(40_000);
    expect(text.length).toBeGreaterThan(MAX_AT_ONCE_BYTES);
    const answer = await send(text, "?name=long.csv");
    expect(answer.status).toBe(202);
    const { log } = await json(answer, "ReceivedLog");
    expect(answer.headers.get("location")).toBe(`/api/v1/sites/${slug}/logs/${log.logId}`);
    expect(log).toMatchObject({
      state: "received",
      counts: null,
      job: { action: "import", state: "waiting" },
    });
    expect((await send(text)).status).toBe(202);
    await runDueJobs(database, { siteId });
    expect(await json(await readLog(log.logId), "LogState")).toMatchObject({
      state: "imported",
      counts: { taken: 40_000 },
      job: { state: "done" },
    });
    expect((await send(text)).status).toBe(200);
    const packed = await send(gzipSync(csv(40_000, FROM, 5)), "", {
      headers: { "content-encoding": "gzip" },
    });
    expect(packed.status).toBe(202);
  });

  test("goes to the logger that it names, which the site must have", async () => {
    const refused = await problem(await send(csv(5), "?logger=shed"), 400, "bad-input");
    expect(refused).toMatchObject({ where: "query, logger", hint: expect.stringContaining("main") });
    await problem(await send(csv(5), "?loger=main"), 400, "bad-input");
    expect(await logCount()).toBe(0);
    expect((await send(csv(5), "?logger=main")).status).toBe(201);
  });

  test("with rows that can't be taken says which, and gives them all as CSV", async () => {
    const text = `${csv(10)}2026-05-03T06:01:41Z,many,few\n2026-05-03T25:01:42Z,1,2\n${csv(10, FROM + 3_600_000).slice(25)}`;
    const { log, rejects } = await json(await send(text), "ReceivedLog");
    expect(log.counts).toMatchObject({ records: 22, taken: 20, rejected: 2 });
    expect(rejects.map(({ line, code }) => [line, code])).toContainEqual([13, "cell.not-a-time"]);
    const answer = await rejectsRoute.GET(
      request(`/api/v1/sites/${slug}/logs/${log.logId}/rejects`),
      params({ site: slug, log: String(log.logId) }),
    );
    expect(answer.headers.get("content-type")).toContain("text/csv");
    expect((await answer.text()).trim().split("\n")).toHaveLength(rejects.length + 1);
  });

  test("that doesn't say how it is read is kept as it came, and asked about once", async () => {
    const text = "Time,Alpha,Beta\n1/2/2026 00:00,1,2\n1/2/2026 00:01,3,4\n";
    const asked = await problem(await send(text), 422, "unsettled");
    expect(asked.questions?.length).toBeGreaterThan(0);
    expect(asked.screen).toBe(`/sites/${slug}/logs/${asked.logId}`);
    expect(asked.hint).toContain(asked.screen);
    expect(await json(await readLog(asked.logId!), "LogState")).toMatchObject({
      state: "received",
      counts: null,
    });
    expect((await problem(await send(text), 422, "unsettled")).logId).toBe(asked.logId);
    expect(await logCount()).toBe(1);
    expect(await discardLog(database, siteId, asked.logId!)).toBe(true);
  });

  test("that is none is refused with the reason, and not stored", async () => {
    for (const [body, code] of [
      ["", "file.empty"],
      ["\0\x01\x02\x03".repeat(100), "file.not-a-table"],
    ]) {
      const refused = await problem(await send(body), 422, "unreadable");
      expect(refused).toMatchObject({ logCode: code, hint: expect.any(String), where: expect.any(String) });
    }
    expect(await logCount()).toBe(0);
  });

  test("of a type that is not taken, or larger than is taken, is refused", async () => {
    const type = { "content-type": "application/json" };
    await problem(await send("{}", "", { headers: type }), 415, "unsupported-type");
    const length = { "content-length": String(17 * 1024 ** 3) };
    await problem(await send(csv(5), "", { headers: length }), 413, "too-large");
    expect(await logCount()).toBe(0);
  });

  test.each([
    ["small", 50],
    ["large", 40_000],
  ])("whose body breaks off leaves nothing (%s)", async (_, rows) => {
    const bytes = Buffer.from(csv(rows));
    const broken = new ReadableStream<Uint8Array>({
      start(controller) {
        controller.enqueue(bytes.subarray(0, bytes.length - 20));
      },
      pull(controller) {
        controller.error(new Error("aborted"));
      },
    });
    await problem(await send(broken as unknown as BodyInit), 400, "cut-off");
    const short = { "content-length": String(bytes.length + 5) };
    await problem(await send(bytes, "", { headers: short }), 400, "cut-off");
    const packed = gzipSync(bytes).subarray(0, -30);
    await problem(await send(packed, "", { headers: { "content-encoding": "gzip" } }), 400, "cut-off");
    for (const table of ["log", "log_chunk", "job", "sample"]) {
      expect(await database.sql`select 1 from ${database.sql(table)} where site_id = ${siteId}`).toHaveLength(
        0,
      );
    }
    expect((await send(bytes)).status).toBe(rows > 1000 ? 202 : 201);
  });

  test("waits no longer than so many others of its site do: then it is refused, with the time to come back", async () => {
    const { logId } = (await json(await send(csv(40_000)), "ReceivedLog")).log;
    await database.sql`
      insert into job (site_id, kind, payload) select ${siteId}, 'import', ${database.sql.json({ logId })}
      from generate_series(1, 31)`;
    const answer = await send(csv(40_000, FROM, 5));
    const refused = await problem(answer, 429, "too-many");
    expect(Number(answer.headers.get("retry-after"))).toBe(refused.retryAfterS);
    expect(await logCount()).toBe(1);
  });
});

const ZIP = { headers: { "content-type": "application/zip" } };
const GZIP = { headers: { "content-type": "application/gzip" } };

/** What could be left behind by a request that is refused. */
async function expectNothingStored() {
  for (const table of ["log", "log_chunk", "log_further", "job", "sample"]) {
    const rows = await database.sql`select 1 from ${database.sql(table)} where site_id = ${siteId}`;
    expect([table, rows.length]).toEqual([table, 0]);
  }
}

describe("an archive that is sent", () => {
  test("as gzip is the log in it, small or large, and the same content as before is known", async () => {
    const answer = await send(gzipSync(csv(50)), "?name=May.csv.gz", GZIP);
    expect(answer.status).toBe(201);
    const { log } = await json(answer, "ReceivedLog");
    expect(log).toMatchObject({ name: "May.csv.gz", state: "imported", counts: { taken: 50 } });
    expect((await send(csv(50))).status).toBe(200);
    const large = await send(gzipSync(csv(40_000, FROM + 1000)), "", GZIP);
    expect(large.status).toBe(202);
    await runDueJobs(database, { siteId });
    expect(await samples()).toBe(40_050);
  });

  test("as zip is the logs in it, in folders too, each put in line; the same again changes nothing", async () => {
    const archive = zipArchive([
      { name: "2026/06.csv", text: csv(30_000, FROM + 10 * 86_400_000, 60) },
      { name: "2026/", text: "" },
      { name: "../../05.csv", text: csv(50) },
      { name: "__MACOSX/._05.csv", text: "rubbish" },
    ]);
    const answer = await send(archive, "?name=all.zip", ZIP);
    expect(answer.status).toBe(202);
    const { log, entries, leftOut, alreadyThere } = await json(answer, "ReceivedLog");
    expect(answer.headers.get("location")).toBe(`/api/v1/sites/${slug}/logs/${log.logId}`);
    expect(alreadyThere).toBe(false);
    expect(entries).toMatchObject([
      { name: "all.zip/../../05.csv", logId: log.logId, state: "waiting" },
      { name: "all.zip/2026/06.csv", state: "waiting" },
    ]);
    expect(leftOut).toEqual(["all.zip/__MACOSX/._05.csv"]);
    const twice = await send(archive, "?name=again.zip", ZIP);
    expect(twice.status).toBe(202);
    await runDueJobs(database, { siteId });
    expect(await samples()).toBe(30_050);
    const again = await send(archive, "?name=again.zip", ZIP);
    expect(again.status).toBe(200);
    expect(await json(again, "ReceivedLog")).toMatchObject({
      alreadyThere: true,
      entries: [{ state: "already-there" }, { state: "already-there" }],
    });
    expect(await logCount()).toBe(2);
  });

  test("with one log that asks and one that is none says so of each, and imports the others", async () => {
    const open = "Time,Alpha,Beta\n1/2/2026 00:00,1,2\n1/2/2026 00:01,3,4\n";
    const mixed = [
      { name: "a.csv", text: open },
      { name: "b.txt", text: "\0\x01\x02\x03".repeat(100) },
      { name: "c.csv", text: csv(20) },
    ];
    const answer = await send(zipArchive(mixed), "?name=x.zip", ZIP);
    expect(answer.status).toBe(202);
    const { log, entries } = await json(answer, "ReceivedLog");
    expect(log.name).toBe("x.zip/c.csv");
    expect(entries).toMatchObject([
      { state: "unsettled", screen: `/sites/${slug}/logs/${entries![0].logId}` },
      { state: "unreadable", logId: null, problem: { code: "file.not-a-table" } },
      { state: "waiting", logId: log.logId },
    ]);
    expect(entries![0].questions!.length).toBeGreaterThan(0);
    expect(await logCount()).toBe(2);
    expect(await discardLog(database, siteId, entries![0].logId!)).toBe(true);

    // Where none is taken it is a problem, as of a log by itself.
    const asked = await problem(
      await send(zipArchive(mixed.slice(0, 2)), "?name=y.zip", ZIP),
      422,
      "unsettled",
    );
    expect(asked.entries).toMatchObject([{ state: "unsettled" }, { state: "unreadable" }]);
    expect(asked.detail).toContain("Of 2 logs in the archive none is imported");
    const none = await problem(await send(zipArchive([mixed[1]]), "", ZIP), 422, "unreadable");
    expect(none).toMatchObject({ logCode: "file.not-a-table" });
    expect(none.entries).toBeUndefined();
  });

  const nested = zipArchive([{ name: "in.csv", text: csv(5) }]);
  test.each<[string, Buffer, Sent, number, string, string | undefined]>([
    [
      "a zip in a zip",
      zipArchive([
        { name: "a.csv", text: csv(5) },
        { name: "b.zip", text: nested },
      ]),
      ZIP,
      422,
      "unreadable",
      "file.archive-nested",
    ],
    [
      "a gzip in a zip",
      zipArchive([{ name: "b.csv", text: gzipSync(csv(5)) }]),
      ZIP,
      422,
      "unreadable",
      "file.archive-nested",
    ],
    ["a zip in a gzip", gzipSync(nested), GZIP, 422, "unreadable", "file.archive-nested"],
    [
      "an encrypted entry",
      zipArchive([{ name: "a.csv", text: csv(5), flags: 1 }]),
      ZIP,
      422,
      "unreadable",
      "file.archive-encrypted",
    ],
    [
      "an entry of 200 MB of nothing",
      zipArchive([{ name: "a.csv", text: Buffer.alloc(200 << 20) }]),
      ZIP,
      422,
      "unreadable",
      "file.archive-too-large",
    ],
    [
      "200 MB of empty lines as gzip",
      gzipSync(Buffer.concat([Buffer.from(csv(30_000)), Buffer.alloc(200 << 20, "\n")])),
      GZIP,
      422,
      "unreadable",
      "file.archive-too-large",
    ],
    [
      "a wrong check sum",
      zipArchive([{ name: "a.csv", text: csv(5), crc: 1 }]),
      ZIP,
      422,
      "unreadable",
      "file.archive-damaged",
    ],
    ["a zip that is cut off", nested.subarray(0, -30), ZIP, 422, "unreadable", "file.archive-damaged"],
    [
      "a gzip that is cut off",
      gzipSync(csv(500)).subarray(0, -30),
      GZIP,
      422,
      "unreadable",
      "file.archive-damaged",
    ],
    ["an empty archive", zipArchive([]), ZIP, 422, "unreadable", "file.empty"],
    ["a log that says it is an archive", Buffer.from(csv(5)), ZIP, 400, "bad-input", undefined],
    ["a zip that says it is gzip", nested, GZIP, 400, "bad-input", undefined],
    ["an archive that says it is text", nested, {}, 422, "unreadable", "file.not-a-table"],
  ])("and is %s is refused as a whole, with the reason", async (_, body, sent, status, code, logCode) => {
    const refused = await problem(await send(body, "", sent), status, code);
    expect(refused).toMatchObject({ where: expect.any(String), hint: expect.any(String) });
    expect(refused.logCode).toBe(logCode);
    await expectNothingStored();
  });

  test("and breaks off on its way leaves nothing", async () => {
    const bytes = zipArchive([{ name: "a.csv", text: csv(500) }]);
    const length = { ...ZIP.headers, "content-length": String(bytes.length + 5) };
    await problem(await send(bytes, "", { headers: length }), 400, "cut-off");
    await expectNothingStored();
  });
});

test("a log whose grid comes in only late is settled alike by the API, its screen and the command line", async () => {
  // A day at one second, of which the first megabyte is half, all of it without the grid: what its signs and the words
  // of the mode mean shows in the evening.
  const lines = ["ts,p_l1,p_l2,batt,grid,mode"];
  for (let i = 0; i < 86_400; i++) {
    const on = i >= 66_000 && i < 69_600;
    const l1 = 300 + ((13 * i * i) % 701);
    const l2 = 200 + ((7 * i * i) % 907);
    lines.push([1_780_000_000 + i, l1, l2, on ? 0 : l1 + l2 + 40, on ? -(l1 + l2) : 0, on ? 1 : 0].join(","));
  }
  const text = `${lines.join("\n")}\n`;
  const folder = mkdtempSync(join(tmpdir(), "legroom-alike-"));
  try {
    const path = join(folder, "late.csv");
    writeFileSync(path, text);
    const bySelf = await sniffFile(await fileLogSource(path), undefined, false);
    expect(bySelf.draft.channels).toMatchObject({
      gridW: { positive: "export" },
      source: { words: { "0": "inverter", "1": "utility" } },
    });
    // From its head alone it can't be had.
    const head = sniffLog(Buffer.from(text.slice(0, SNIFF_BYTES)), null, { name: "late.csv", strict: false });
    expect(head.draft.channels).not.toEqual(bySelf.draft.channels);

    for (const [body, sent, query] of [
      [text, {}, "?name=late.csv"],
      [gzipSync(`${text}1780090000,1,2,3,4,0\n`), GZIP, "?name=late.csv"],
      [zipArchive([{ name: "late.csv", text: `${text}1780090001,1,2,3,4,0\n` }]), ZIP, "?name=a.zip"],
    ] as [string | Buffer, Sent, string][]) {
      const answer = await send(body, query, sent);
      const made = (await answer.json()) as {
        logId?: number;
        log?: { logId: number };
        questions?: unknown[];
      };
      const log = (await logById(database, siteId, made.logId ?? made.log!.logId))!;
      const onScreen = (await logMap(database, siteId, log)).sniffed;
      expect(onScreen.draft).toEqual(bySelf.draft);
      expect(onScreen.ask).toEqual(bySelf.ask);
      expect(made.questions ?? []).toEqual(
        bySelf.ask.map(({ choice, why, options }) => ({ choice, why, options })),
      );
      // Without what was kept when it came in, its bytes are gone through.
      await database.sql`delete from log_further where site_id = ${siteId}`;
      expect((await logMap(database, siteId, log)).sniffed.draft).toEqual(bySelf.draft);
    }
  } finally {
    rmSync(folder, { recursive: true });
  }
});

describe("lists and results", () => {
  test("a site's logs come by pages, the latest first, each once", async () => {
    for (let i = 0; i < 7; i++) await send(csv(1, FROM + i * 1000), `?name=${i}.csv`);
    const names: string[] = [];
    let next: string | null = `/api/v1/sites/${slug}/logs?limit=3`;
    let pages = 0;
    while (next !== null) {
      const page: { logs: { name: string }[]; next: string | null } = await json(
        await list(next.slice(next.indexOf("?"))),
        "LogPage",
      );
      names.push(...page.logs.map(({ name }) => name));
      next = page.next;
      pages++;
    }
    expect(names).toEqual(["6.csv", "5.csv", "4.csv", "3.csv", "2.csv", "1.csv", "0.csv"]);
    expect(pages).toBe(3);
    await problem(await list("?limit=1000"), 400, "bad-input");
  });

  test("the review of a site has what review --json says of the same log", async () => {
    const text = csv(2000);
    await send(text, "?name=same.csv");
    await runDueJobs(database, { siteId });
    const answer = await reviewRoute.GET(request(`/api/v1/sites/${slug}/review`), params({ site: slug }));
    const body = await json(answer, "Review");
    const parsed = parseSite({ ...SMALL_SITE, name: `Alder Creek ${sites}` });
    if (!parsed.ok) throw new Error("no site");
    const { columnMap } = await json(await list(), "LogPage")
      .then(({ logs }) => readLog(logs[0].logId))
      .then((one) => json(one, "LogState"));
    const review = await reviewLogs(
      parsed.site,
      [{ source: textLog(text, "same.csv"), map: columnMap as never, guessed: new Set() }],
      { receivedAtMs: Date.now() },
    );
    if (review.refused) throw new Error("refused");
    const { log: _, ...said } = reviewJson(review.result, parsed.site, [], clockOf("America/Denver"));
    const { revision, samplesRevision, ...found } = body;
    // The database keeps the keys of its figures in another order, and the reasons of nulls follow that.
    expect(inOrder(found)).toEqual(inOrder(JSON.parse(JSON.stringify(said))));
    expect(revision).toBe(samplesRevision);

    const month = await monthRoute.GET(
      request(`/api/v1/sites/${slug}/months/2026-05`),
      params({ site: slug, month: "2026-05" }),
    );
    const { notes: _n, ...ofMonth } = await json(month, "Review");
    const { notes: _m, ...ofAll } = body;
    expect(ofMonth).toEqual(ofAll);
  });

  test("the review of a period has what begins in it, and the sums of the days that it touches", async () => {
    await send(csv(3 * 8640));
    await runDueJobs(database, { siteId });
    const of = (query: string) =>
      reviewRoute.GET(request(`/api/v1/sites/${slug}/review${query}`), params({ site: slug }));
    const all = await json(await of(""), "Review");
    expect(all.period).toBeUndefined();
    expect(all.shares.days).toHaveLength(3);
    const { period, notes: _n, ...whole } = await json(await of("?from=2026-05-03&to=2026-05-06"), "Review");
    expect(period).toEqual({
      from: "2026-05-03T00:00:00-06:00",
      to: "2026-05-06T00:00:00-06:00",
      firstDay: "2026-05-03",
      lastDay: "2026-05-05",
    });
    const { notes: _m, ...everything } = all;
    expect(whole).toEqual(everything);

    const day = await json(await of("?from=2026-05-04&to=2026-05-05"), "Review");
    expect(day.shares.days.map(({ date }) => date)).toEqual(["2026-05-04"]);
    expect(day.coverage.samples).toBe(8640);
    const beginsOn = ({ from }: { from: string }) => from.startsWith("2026-05-04");
    expect(all.nearLimit.filter(beginsOn).length).toBeGreaterThan(0);
    expect(day.nearLimit).toEqual(all.nearLimit.filter(beginsOn));

    const hours = await json(await of("?from=2026-05-04T12:00:00Z&to=2026-05-04T20:00:00-06:00"), "Review");
    expect(hours.period).toEqual({
      from: "2026-05-04T06:00:00-06:00",
      to: "2026-05-04T20:00:00-06:00",
      firstDay: "2026-05-04",
      lastDay: "2026-05-04",
    });
    expect(hours.nearLimit).toEqual(
      day.nearLimit.filter(({ from }) => from >= "2026-05-04T06" && from < "2026-05-04T20"),
    );
    expect((await json(await of("?from=2026-05-05"), "Review")).shares.days).toHaveLength(1);
    expect((await json(await of("?to=2026-05-05"), "Review")).shares.days).toHaveLength(2);

    const wrong = await problem(await of("?from=tomorrow"), 400, "bad-input");
    expect(wrong).toMatchObject({ where: "query, from", hint: expect.stringContaining("2026-05-01") });
    expect((await problem(await of("?from=2026-05-05&to=2026-05-04"), 400, "bad-input")).where).toBe(
      "query, to",
    );
    await problem(await of("?from=2027-01-01"), 404, "not-found");
  });

  test("what isn't there is said to be so", async () => {
    const month = (text: string) =>
      monthRoute.GET(request(`/api/v1/sites/${slug}/months/${text}`), params({ site: slug, month: text }));
    await problem(await month("2026-05"), 404, "not-found");
    await problem(await month("2026-13"), 400, "bad-input");
    await problem(await readLog(999_999), 404, "not-found");
    await problem(await readLog("one"), 404, "not-found");
    const review = await reviewRoute.GET(request(`/api/v1/sites/${slug}/review`), params({ site: slug }));
    await problem(review, 404, "not-found");
    await problem(nowhere.GET(request("/api/v1/nothing")), 404, "not-found");
    const kind = await problems.GET(request("/api/v1/problems/unsettled"), params({ code: "unsettled" }));
    expect(await kind.json()).toMatchObject({ status: 422, type: "/api/v1/problems/unsettled" });
    await problem(await problems.GET(request("/x"), params({ code: "toString" })), 404, "not-found");
  });
});

describe("tokens", () => {
  test("without a token, with one that nobody made, or one that was revoked, nothing is answered", async () => {
    const none = await list("", { token: null });
    await problem(none, 401, "unauthorized");
    expect(none.headers.get("www-authenticate")).toBe('Bearer realm="Legroom"');
    const unknown = await list("", { token: `${write}x` });
    await problem(unknown, 401, "unauthorized");
    expect(unknown.headers.get("www-authenticate")).toContain('error="invalid_token"');
    expect((await list()).status).toBe(200);
    const [{ tokenId }] = await tokensOf(database, siteId);
    expect(await revokeToken(database, tokenId, siteId + 1)).toBe(false);
    expect(await revokeToken(database, tokenId, siteId)).toBe(true);
    expect(await revokeToken(database, tokenId, siteId)).toBe(false);
    await problem(await list(), 401, "unauthorized");
    await problem(await send(csv(5)), 401, "unauthorized");
    expect(await logCount()).toBe(0);
  });

  test("one that may read doesn't write, and one of a site is good for no other, nor told of it", async () => {
    const { token: read } = await addToken(database, { siteId, scope: "read", name: "reader" });
    expect((await list("", { token: read })).status).toBe(200);
    const refused = await send(csv(5), "", { token: read });
    await problem(refused, 403, "forbidden");
    expect(refused.headers.get("www-authenticate")).toContain('error="insufficient_scope", scope="write"');
    const other = await addSite(database, { ...SMALL_SITE, name: `Elsewhere ${sites}` });
    const { token: foreign } = await addToken(database, { siteId: other.siteId, scope: "write", name: "x" });
    await problem(await list("", { token: foreign }), 403, "forbidden");
    await problem(await send(csv(5), "", { token: foreign }), 403, "forbidden");
    const missing = logsRoute.GET(request("/api/v1/sites/none/logs"), params({ site: "none" }));
    await problem(await missing, 403, "forbidden");
    expect(await logCount()).toBe(0);
    const seen = await json(await sitesRoute.GET(request("/api/v1/sites", { token: foreign })), "SiteList");
    expect(seen.sites.map((site) => site.slug)).toEqual([other.slug]);
  });

  test("one of all sites is good for each, and told which there aren't", async () => {
    const { token } = await addToken(database, { siteId: ALL_SITES, scope: "write", name: "fleet" });
    expect((await send(csv(5), "", { token })).status).toBe(201);
    const seen = await json(await sitesRoute.GET(request("/api/v1/sites", { token })), "SiteList");
    expect(seen.sites.length).toBeGreaterThan(1);
    const missing = logsRoute.GET(request("/api/v1/sites/none/logs", { token }), params({ site: "none" }));
    await problem(await missing, 404, "not-found");
    const odd = logsRoute.GET(request("/api/v1/sites/%E0/logs", { token }), params({ site: "%E0" }));
    await problem(await odd, 404, "not-found");
  });

  test("under another name than this program's nothing is answered, whatever the token", async () => {
    await problem(await list("", { headers: { host: "elsewhere.example" } }), 421, "misdirected");
  });

  test("is kept as its hash alone, 256 bits of it random, and listed by name with its last use", async () => {
    expect(write).toMatch(/^legroom_[\w-]{43}$/);
    const rows = await database.sql`select * from api_token where site_id = ${siteId}`;
    expect(JSON.stringify(rows)).not.toContain(write.slice(8));
    const ofSite = async () => (await tokensOf(database, siteId)).filter((one) => one.siteId === siteId);
    const [before] = await ofSite();
    expect(before).toMatchObject({ name: "logger", scope: "write", lastUsedAtMs: null, revokedAtMs: null });
    await list();
    const [after] = await ofSite();
    expect(Math.abs(after.lastUsedAtMs! - Date.now())).toBeLessThan(60_000);
    await expect(addToken(database, { siteId, scope: "read", name: " \n" })).rejects.toMatchObject({
      code: "bad-input",
    });
  });

  test("makes so many requests and no more, of however many servers, and gets allowance back with time", async () => {
    const { burst, perS } = TOKEN_RATE;
    // As if the last request had been made now, with all of the allowance left.
    const at = async (allowance: number, ago: string) => database.sql`
      update api_token set allowance = ${allowance},
        allowance_at_ms = (extract(epoch from clock_timestamp() - ${ago}::interval) * 1000)::bigint
      where site_id = ${siteId}`;
    await at(burst, "-1 hour");
    const beganAt = performance.now();
    const spent = await Promise.all(Array.from({ length: burst + 60 }, () => spendToken(database, write)));
    const gained = ((performance.now() - beganAt) / 1000) * perS;
    const allowed = spent.filter((one) => one?.retryAfterS === null).length;
    expect(allowed).toBeGreaterThanOrEqual(burst);
    expect(allowed).toBeLessThanOrEqual(Math.min(burst + 60, Math.ceil(burst + gained)));
    await at(0.5, "-1 hour");
    const answer = await list();
    expect(answer.headers.get("retry-after")).toBe("1");
    await problem(answer, 429, "too-many");
    await at(0, "1 second");
    const again = await Promise.all(Array.from({ length: perS + 1 }, () => spendToken(database, write)));
    expect(again.filter((one) => one?.retryAfterS === null).length).toBeGreaterThanOrEqual(perS);
    await at(0, "1 day");
    await spendToken(database, write);
    const [{ allowance }] = await database.sql`select allowance from api_token where site_id = ${siteId}`;
    expect(allowance).toBe(burst - 1);
  });
});
