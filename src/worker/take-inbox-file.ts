import { constants } from "node:fs";
import { type FileHandle, lstat, open } from "node:fs/promises";
import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { mapForLog } from "../../db/queries/map-for-log";
import { importGrownLog } from "../../db/writes/import-grown-log";
import { importLog } from "../../db/writes/import-log";
import { fileIdOf } from "../ingest/file-id-of";
import { furtherPieces } from "../ingest/further-pieces";
import type { LogSource } from "../ingest/log-source";
import { logsInFile } from "../ingest/logs-in-file";
import type { Refusal } from "../ingest/refusal";
import { SNIFF_BYTES } from "../ingest/sniff-log";
import { UnreadableContainer } from "../ingest/unreadable-container";

/** What became of a file: how many of its logs are in, and why others are not. */
export type TakenFile = { taken: number; refusals: readonly string[] };

/**
 * Imports the logs of one file of an inbox, in the way of the command line: grown ones grow, those of a known shape are
 * read by its map, others by inference. Never follows a link, and takes nothing but a plain file with one name.
 *
 * @returns null where the file is not there any more, or was exchanged while it was opened
 * @throws AppError where it is not the file's fault: it is to be tried again later
 */
export async function takeInboxFile(
  database: Database,
  { siteId, loggerName, signal }: { siteId: number; loggerName: string; signal: AbortSignal },
  path: Buffer,
  name: string,
): Promise<TakenFile | null> {
  const handle = await openPlain(path);
  if (handle === null) return null;
  if (typeof handle === "string") return { taken: 0, refusals: [handle] };
  try {
    const found = await handle.stat({ bigint: true });
    const named = await lstat(path, { bigint: true }).catch(() => null);
    if (named === null || named.ino !== found.ino || named.dev !== found.dev) return null;
    if (!found.isFile()) return { taken: 0, refusals: ["It is no file but something special."] };
    if (found.nlink !== 1n) {
      return {
        taken: 0,
        refusals: ["The file has another name elsewhere (a hard link). Copy it here instead of linking it."],
      };
    }
    const inside = await logsInFile(handle, name, Number(found.size), fileIdOf(found));
    if (!inside.ok) return { taken: 0, refusals: [refusalText(inside.refusal)] };
    let taken = 0;
    const refusals: string[] = [];
    for (const source of inside.logs) {
      const refusal = await takeOne(database, { siteId, loggerName, source, signal });
      if (refusal === null) taken++;
      else refusals.push(inside.fromArchive ? `${source.name}: ${refusal}` : refusal);
    }
    return { taken, refusals };
  } finally {
    await handle.close();
  }
}

/** A handle; null where there is no such file; or why it isn't opened. */
async function openPlain(path: Buffer): Promise<FileHandle | string | null> {
  try {
    // Without waiting: a pipe that nobody writes into would hold everything up.
    const { O_RDONLY, O_NOFOLLOW, O_NONBLOCK } = constants;
    return await open(path, O_RDONLY | O_NOFOLLOW | O_NONBLOCK);
  } catch (error) {
    switch ((error as NodeJS.ErrnoException).code ?? "") {
      case "ENOENT":
      case "ENOTDIR":
        return null;
      case "ELOOP":
      case "EMLINK":
        return "It is a link. Links are not followed: copy the file itself here.";
      case "ENXIO":
      case "ENODEV":
        return "It is no file but something special.";
      case "EACCES":
      case "EPERM":
        return "The user that the worker runs as may not read it. Give it read permission and put it here again.";
      default:
        throw error;
    }
  }
}

/** Null where the log is in. */
async function takeOne(
  database: Database,
  how: { siteId: number; loggerName: string; source: LogSource; signal: AbortSignal },
): Promise<string | null> {
  const { source } = how;
  const receivedAtMs = Date.now();
  try {
    const grown = await importGrownLog(database, { ...how, receivedAtMs });
    if (grown !== null) return null;
    const head = await headOf(source);
    const more = await furtherPieces(source, head.byteLength);
    const log = { ...how, name: source.name, head, receivedAtMs, ...more };
    const { sniffed } = await mapForLog(database, log);
    if (sniffed.refusal !== null) return refusalText(sniffed.refusal);
    if (sniffed.map === null) {
      return [
        "The log doesn't say everything about how it is to be read. Import it once on its screen or with a columns.json; logs of the same shape are then taken by themselves. To settle:",
        ...sniffed.ask.map(({ choice, why }) => `  ${choice}: ${why}`),
      ].join("\n");
    }
    const outcome = await importLog(database, {
      ...how,
      receivedAtMs,
      columnMap: sniffed.map,
      evidence: sniffed.evidence,
      guessed: [...sniffed.guessed],
    });
    if (outcome.kind !== "refused") return null;
    return outcome.verdict.refused ? refusalText(outcome.verdict.problem) : "Rows of it can't be taken.";
  } catch (error) {
    if (error instanceof UnreadableContainer) return refusalText(error.refusal);
    // A log that its own map no longer reads, or that stands against another: trying again changes nothing.
    if (error instanceof AppError && (error.code === "conflict" || error.code === "bad-input"))
      return error.message;
    throw error;
  }
}

async function headOf(source: LogSource): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  let size = 0;
  for await (const bytes of source.open()) {
    parts.push(bytes);
    size += bytes.byteLength;
    if (size >= SNIFF_BYTES) break;
  }
  return Buffer.concat(parts).subarray(0, SNIFF_BYTES);
}

function refusalText({ what, code, where, hint }: Refusal): string {
  return `${what} (${code})\n  Where: ${where}\n  ${hint}`;
}
