import { createHash } from "node:crypto";
import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { jobOfLog } from "../../db/queries/job-of-log";
import { logById } from "../../db/queries/log-by-id";
import { logOfContent } from "../../db/queries/log-of-content";
import { mapForLog } from "../../db/queries/map-for-log";
import { rejectsOf } from "../../db/queries/rejects-of";
import type { SiteRow } from "../../db/queries/site-by-slug";
import { waitingImports } from "../../db/queries/waiting-imports";
import { enqueueImport } from "../../db/writes/enqueue-import";
import { type ImportOptions, importLog, importReceivedLog } from "../../db/writes/import-log";
import { receiveLog } from "../../db/writes/receive-log";
import type { ChosenMap } from "../../src/ingest/choose-map";
import { SNIFF_BYTES } from "../../src/ingest/sniff-log";
import { isOpen } from "../_data/log-page";
import { errorTitle } from "../_tables/rejects";
import { IMPORT_TURNS, MAX_AT_ONCE_BYTES, MAX_RECEIVING, MAX_WAITING_JOBS } from "./api-limits";
import type { ApiJson } from "./api-schemas";
import { createImportTurns } from "./import-turns";
import { logAddress, logStateJson } from "./log-json";

/** A log that a request brings. */
export type SentLog = { loggerName: string; name: string; body: AsyncIterable<Uint8Array> };

const FIRST_REJECTS = 10;
const RETRY_AFTER_S = 5;

const inTurn = createImportTurns(IMPORT_TURNS);
let receiving = 0;

/**
 * Takes a log into a site: a small one is imported at once (201), a large one received and put in line for the worker
 * (202); the same content again changes nothing (200). It is read by the kept map of its shape or by inference.
 *
 * @throws AppError unsettled where a person must settle how it is read: it is kept then, as it came; unreadable where
 * nothing of it can be taken, too-many, and what its body and the database throw: nothing is stored then
 */
export async function takeLog(database: Database, site: SiteRow, sent: SentLog): Promise<Response> {
  if (!site.site.loggers.some(({ name }) => name === sent.loggerName)) {
    throw new AppError("bad-input", `"${site.name}" has no logger "${sent.loggerName.slice(0, 100)}".`, {
      more: {
        where: "query, logger",
        hint: `Its loggers: ${site.site.loggers.map(({ name }) => name).join(", ")}. Add it to site.json, or name one of these.`,
      },
    });
  }
  const iterator = sent.body[Symbol.asyncIterator]();
  const pieces: Uint8Array[] = [];
  let size = 0;
  while (size <= MAX_AT_ONCE_BYTES) {
    const { value, done } = await iterator.next();
    if (done === true) return takeSmall(database, site, { ...sent, bytes: Buffer.concat(pieces) });
    pieces.push(value);
    size += value.byteLength;
  }
  const head = Buffer.concat(pieces).subarray(0, SNIFF_BYTES);
  return takeLarge(database, site, { ...sent, head, body: joined(pieces, iterator) });
}

type SmallLog = { loggerName: string; name: string; bytes: Buffer };

async function takeSmall(database: Database, site: SiteRow, log: SmallLog): Promise<Response> {
  const { siteId } = site;
  const sha256 = createHash("sha256").update(log.bytes).digest("hex");
  return inTurn(siteId, async () => {
    const known = await logOfContent(database, siteId, log.loggerName, sha256);
    if (known?.state === "imported") return answer(database, site, known.logId, 200, true);
    if (known !== null && isOpen(await jobOfLog(database, siteId, known.logId))) {
      return answer(database, site, known.logId, 202, true);
    }
    const chosen = await chosenMap(database, site, log, log.bytes.subarray(0, SNIFF_BYTES));
    if (chosen.sniffed.map === null) {
      const logId =
        known?.logId ?? (await receiveLog(database, { siteId, ...log, body: once(log.bytes) })).logId;
      throw unsettled(site, logId, chosen);
    }
    const how = { siteId, ...howToRead(chosen, chosen.sniffed.map) };
    const source = { name: log.name, sizeBytes: log.bytes.length, open: () => once(log.bytes) };
    const outcome =
      known === null
        ? await importLog(database, { ...how, loggerName: log.loggerName, source, receivedAtMs: Date.now() })
        : await importReceivedLog(database, { ...how, logId: known.logId });
    switch (outcome.kind) {
      case "imported":
        return answer(database, site, outcome.logId, 201, false);
      case "already-there":
        return answer(database, site, outcome.logId, 200, true);
      case "refused":
        throw unreadable(outcome.verdict.refused ? outcome.verdict.problem : null);
    }
  });
}

async function takeLarge(
  database: Database,
  site: SiteRow,
  sent: SentLog & { head: Buffer },
): Promise<Response> {
  const { siteId } = site;
  if (receiving >= MAX_RECEIVING) throw tooMany("Other large logs are being received at the moment.");
  receiving++;
  try {
    if ((await waitingImports(database, siteId)) >= MAX_WAITING_JOBS) {
      throw tooMany(`${MAX_WAITING_JOBS} logs of "${site.name}" wait to be imported.`);
    }
    const chosen = await chosenMap(database, site, sent, sent.head);
    const { logId, state, alreadyThere } = await receiveLog(database, { siteId, ...sent });
    if (alreadyThere && state === "imported") return answer(database, site, logId, 200, true);
    if (alreadyThere && isOpen(await jobOfLog(database, siteId, logId))) {
      return answer(database, site, logId, 202, true);
    }
    if (chosen.sniffed.map === null) throw unsettled(site, logId, chosen);
    const { evidence, ...how } = howToRead(chosen, chosen.sniffed.map);
    await enqueueImport(database, siteId, { ...how, logId, evidence, allOrNothing: false });
    return answer(database, site, logId, 202, alreadyThere);
  } finally {
    receiving--;
  }
}

async function chosenMap(
  database: Database,
  { siteId }: SiteRow,
  { name, loggerName }: { name: string; loggerName: string },
  head: Buffer,
): Promise<ChosenMap> {
  const chosen = await mapForLog(database, { siteId, loggerName, name, head });
  if (chosen.sniffed.refusal !== null) throw unreadable(chosen.sniffed.refusal);
  return chosen;
}

function howToRead(
  { sniffed, recognition }: ChosenMap,
  map: NonNullable<ChosenMap["sniffed"]["map"]>,
): Pick<ImportOptions, "columnMap" | "guessed"> & { evidence: unknown } {
  // What a kept map stands on stands with the log that it came with.
  const evidence = recognition?.kind === "same" ? null : sniffed.evidence;
  return { columnMap: map, evidence, guessed: [...sniffed.guessed] };
}

async function answer(
  database: Database,
  site: SiteRow,
  logId: number,
  status: 200 | 201 | 202,
  alreadyThere: boolean,
): Promise<Response> {
  const log = await logById(database, site.siteId, logId);
  if (log === null)
    throw new AppError("conflict", "The log was discarded in the same moment. Send it again.");
  const { rejects } = await rejectsOf(database, site.siteId, logId, { pageSize: FIRST_REJECTS });
  const body: ApiJson<"ReceivedLog"> = {
    log: logStateJson(log, await jobOfLog(database, site.siteId, logId), site),
    alreadyThere,
    rejects: rejects.map((reject) => ({
      line: reject.line,
      column: reject.columnNo,
      columnName: reject.columnName,
      code: reject.code,
      title: errorTitle(reject.code),
      text: reject.text ?? "",
      rule: reject.guessed ? "guessed" : "given",
    })),
  };
  const headers = { location: logAddress(site, logId), "cache-control": "no-store" };
  return Response.json(body, { status, headers });
}

function unsettled(site: SiteRow, logId: number, { sniffed }: ChosenMap): AppError {
  const screen = `/sites/${site.slug}/logs/${logId}`;
  return new AppError(
    "unsettled",
    `The log doesn't say everything about how it is read: ${sniffed.ask.map(({ choice }) => choice).join(", ")}. It is kept as it came, and nothing of it is imported so far.`,
    {
      more: {
        hint: `Open ${screen} and settle it there once: later logs of this shape are then read the same way.`,
        figures: {
          logId,
          screen,
          questions: sniffed.ask.map(({ choice, why, options }) => ({ choice, why, options })),
        },
      },
    },
  );
}

function unreadable(problem: { code: string; what: string; where: string; hint: string } | null): AppError {
  if (problem === null) return new AppError("unreadable", "Nothing of the log can be taken.");
  const { code, what, where, hint } = problem;
  return new AppError("unreadable", `${what} Nothing of it was stored.`, {
    more: { where, hint, figures: { logCode: code } },
  });
}

function tooMany(message: string): AppError {
  return new AppError("too-many", `${message} Nothing of this one was stored.`, {
    more: { hint: "Send it again after as many seconds as Retry-After says.", retryAfterS: RETRY_AFTER_S },
  });
}

async function* once(bytes: Buffer): AsyncGenerator<Buffer> {
  yield bytes;
}

/** What came so far and then the rest; whoever stops early stops the rest, too. */
async function* joined(pieces: Uint8Array[], rest: AsyncIterator<Uint8Array>): AsyncGenerator<Uint8Array> {
  try {
    for (let piece = pieces.shift(); piece !== undefined; piece = pieces.shift()) yield piece;
    for (;;) {
      const { value, done } = await rest.next();
      if (done === true) return;
      yield value;
    }
  } finally {
    await rest.return?.();
  }
}
