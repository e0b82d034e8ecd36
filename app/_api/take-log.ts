import { createHash } from "node:crypto";
import type { Database } from "../../db/open-database";
import { jobOfLog } from "../../db/queries/job-of-log";
import { logOfContent } from "../../db/queries/log-of-content";
import type { SiteRow } from "../../db/queries/site-by-slug";
import { enqueueImport } from "../../db/writes/enqueue-import";
import { importLog, importReceivedLog } from "../../db/writes/import-log";
import { receiveLog } from "../../db/writes/receive-log";
import { SNIFF_BYTES } from "../../src/ingest/sniff-log";
import { isOpen } from "../_data/log-page";
import { IMPORT_TURNS, MAX_AT_ONCE_BYTES } from "./api-limits";
import { createImportTurns } from "./import-turns";
import { logAddress } from "./log-json";
import { unreadable, unsettled } from "./log-refusals";
import { receivedLogJson } from "./received-log-json";
import { inReceivingTurn } from "./receiving-turn";
import { settleLog } from "./settle-log";

/** A log that a request brings. */
export type SentLog = { loggerName: string; name: string; body: AsyncIterable<Uint8Array> };

const inTurn = createImportTurns(IMPORT_TURNS);

/**
 * Takes a log into a site: a small one is imported at once (201), a large one received and put in line for the worker
 * (202); the same content again changes nothing (200). It is read by the kept map of its shape or by inference.
 *
 * @throws AppError unsettled where a person must settle how it is read: it is kept then, as it came; unreadable where
 * nothing of it can be taken, too-many, and what its body and the database throw: nothing is stored then
 */
export async function takeLog(database: Database, site: SiteRow, sent: SentLog): Promise<Response> {
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
    const { chosen, how } = await settleLog(database, site, {
      ...log,
      head: log.bytes.subarray(0, SNIFF_BYTES),
      sizeBytes: log.bytes.length,
    });
    if (chosen.sniffed.refusal !== null) throw unreadable(chosen.sniffed.refusal);
    if (how === null) {
      const logId =
        known?.logId ?? (await receiveLog(database, { siteId, ...log, body: once(log.bytes) })).logId;
      throw unsettled(site, logId, chosen);
    }
    const source = { name: log.name, sizeBytes: log.bytes.length, open: () => once(log.bytes) };
    const { loggerName } = log;
    const outcome =
      known === null
        ? await importLog(database, { siteId, ...how, loggerName, source, receivedAtMs: Date.now() })
        : await importReceivedLog(database, { siteId, ...how, logId: known.logId });
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
  return inReceivingTurn(database, site, async () => {
    // What is none at all isn't received to its end.
    const { refusal } = (await settleLog(database, site, sent)).chosen.sniffed;
    if (refusal !== null) throw unreadable(refusal);
    const { logId, state, alreadyThere, further, sizeBytes } = await receiveLog(database, {
      siteId,
      ...sent,
    });
    if (alreadyThere && state === "imported") return answer(database, site, logId, 200, true);
    if (alreadyThere && isOpen(await jobOfLog(database, siteId, logId))) {
      return answer(database, site, logId, 202, true);
    }
    const { chosen, how } = await settleLog(database, site, { ...sent, further, sizeBytes });
    if (how === null) throw unsettled(site, logId, chosen);
    await enqueueImport(database, siteId, { ...how, logId, allOrNothing: false });
    return answer(database, site, logId, 202, alreadyThere);
  });
}

async function answer(
  database: Database,
  site: SiteRow,
  logId: number,
  status: 200 | 201 | 202,
  alreadyThere: boolean,
): Promise<Response> {
  const body = await receivedLogJson(database, site, logId, alreadyThere);
  const headers = { location: logAddress(site, logId), "cache-control": "no-store" };
  return Response.json(body, { status, headers });
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
