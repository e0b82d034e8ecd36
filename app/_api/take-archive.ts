import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { jobOfLog } from "../../db/queries/job-of-log";
import { logById } from "../../db/queries/log-by-id";
import type { SiteRow } from "../../db/queries/site-by-slug";
import { discardLog } from "../../db/writes/discard-log";
import { enqueueImport } from "../../db/writes/enqueue-import";
import { type ReceivedUpload, receiveUpload } from "../../db/writes/receive-upload";
import { logMap } from "../_data/log-map";
import { isOpen } from "../_data/log-page";
import type { ApiJson } from "./api-schemas";
import { logAddress } from "./log-json";
import { unreadable, unsettled } from "./log-refusals";
import { receivedLogJson } from "./received-log-json";
import { inReceivingTurn } from "./receiving-turn";
import { howToRead } from "./settle-log";
import type { SentLog } from "./take-log";

type Entry = ApiJson<"ArchiveEntry">;

/** What became of an entry; what refuses the request where no entry is taken. */
type Settled = { entry: Entry; refusal: AppError | null };

/**
 * Takes a zip archive into a site: each entry is a log of its own, received and put in line for the worker (202). One
 * that doesn't settle how it is read is kept and asked about, of one that can't be read nothing is kept, and `entries`
 * says of each which it was. Where all of them were there before nothing is changed (200).
 *
 * @throws AppError where no entry is taken: unsettled or unreadable, with what became of each; what
 * `receiveUpload` says of the archive, and then nothing is stored; too-many
 */
export async function takeArchive(database: Database, site: SiteRow, sent: SentLog): Promise<Response> {
  return inReceivingTurn(database, site, async () => {
    const { logs, leftOut } = await receiveUpload(database, { siteId: site.siteId, ...sent });
    const settled: Settled[] = [];
    for (const log of logs) settled.push(await settleEntry(database, site, log));
    const entries = settled.map(({ entry }) => entry);
    const taken = entries.find(({ logId, state }) => logId !== null && state !== "unsettled");
    if (taken === undefined) {
      const refusals = settled.map(({ refusal }) => refusal).filter((one) => one !== null);
      throw ofAll(refusals.find(({ code }) => code === "unsettled") ?? refusals[0], entries);
    }
    const logId = taken.logId as number;
    const alreadyThere = entries.every(({ state }) => state === "already-there");
    const first = await receivedLogJson(database, site, logId, taken.state === "already-there");
    const body: ApiJson<"ReceivedLog"> = { ...first, entries, leftOut: [...leftOut] };
    return Response.json(body, {
      status: alreadyThere ? 200 : 202,
      headers: { location: logAddress(site, logId), "cache-control": "no-store" },
    });
  });
}

async function settleEntry(
  database: Database,
  site: SiteRow,
  { name, logId, state, alreadyThere }: ReceivedUpload["logs"][number],
): Promise<Settled> {
  const { siteId } = site;
  const is = (what: Entry["state"]): Settled => ({ entry: { name, logId, state: what }, refusal: null });
  if (alreadyThere && state === "imported") return is("already-there");
  if (alreadyThere && isOpen(await jobOfLog(database, siteId, logId))) return is("waiting");
  const log = await logById(database, siteId, logId);
  if (log === null) throw new AppError("conflict", "A log was discarded in the same moment. Send it again.");
  const chosen = await logMap(database, siteId, log);
  const { refusal, ask, map } = chosen.sniffed;
  if (refusal !== null) {
    if (!alreadyThere) await discardLog(database, siteId, logId);
    const { code, what, where, hint } = refusal;
    return {
      entry: { name, logId: null, state: "unreadable", problem: { code, what, where, hint } },
      refusal: unreadable(refusal),
    };
  }
  if (map === null) {
    const questions = ask.map(({ choice, why, options }) => ({ choice, why, options: [...options] }));
    const screen = `/sites/${site.slug}/logs/${logId}`;
    return {
      entry: { name, logId, state: "unsettled", questions, screen },
      refusal: unsettled(site, logId, chosen),
    };
  }
  await enqueueImport(database, siteId, { ...howToRead(chosen, map), logId, allOrNothing: false });
  return is("waiting");
}

/** What refuses an archive of several logs tells of all of them. */
function ofAll(refusal: AppError, entries: readonly Entry[]): AppError {
  if (entries.length === 1) return refusal;
  const { code, message, more } = refusal;
  return new AppError(code, `Of ${entries.length} logs in the archive none is imported. ${message}`, {
    more: { ...more, figures: { ...more.figures, entries } },
  });
}
