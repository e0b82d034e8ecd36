import { ReadableStream } from "node:stream/web";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { MAX_AT_ONCE_BYTES } from "../../app/_api/api-limits";
import { API_SCHEMAS, type ApiSchemaName } from "../../app/_api/api-schemas";
import * as nowhere from "../../app/api/v1/[...path]/route";
import * as problems from "../../app/api/v1/problems/[code]/route";
import * as rejectsRoute from "../../app/api/v1/sites/[site]/logs/[log]/rejects/route";
import * as logRoute from "../../app/api/v1/sites/[site]/logs/[log]/route";
import * as logsRoute from "../../app/api/v1/sites/[site]/logs/route";
import * as monthRoute from "../../app/api/v1/sites/[site]/months/[month]/route";
import * as reviewRoute from "../../app/api/v1/sites/[site]/review/route";
import * as sitesRoute from "../../app/api/v1/sites/route";
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
import { reviewLogs } from "../../src/cli/review-logs";
import { clockOf } from "../../src/report/format";
import { reviewJson } from "../../src/report/review-json";
import { parseSite } from "../../src/site/parse-site";
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
const send = (body: BodyInit, query = "", sent: Sent = {}) =>
  logsRoute.POST(request(`/api/v1/sites/${slug}/logs${query}`, { body, ...sent }), params({ site: slug }));
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
