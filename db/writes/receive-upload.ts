import { type FileHandle, mkdtemp, open, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type ContainerKind, containerKind } from "../../src/ingest/container-kind";
import { gunzipBytes } from "../../src/ingest/gunzip-source";
import { logsInFile } from "../../src/ingest/logs-in-file";
import type { Refusal } from "../../src/ingest/refusal";
import { UnreadableContainer } from "../../src/ingest/unreadable-container";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { toAppError } from "../to-app-error";
import { type ReceivedLog, receiveLog } from "./receive-log";

/** Packed bytes of an archive that may lie in the temporary folder while it is taken apart. */
const MAX_SPOOL_BYTES = 4 * 1024 ** 3;

/** A log of what came in. */
type UploadedLog = Omit<ReceivedLog, "head" | "further"> & { name: string };

/** What came in: a log, or the entries of an archive, each with its name. */
export type ReceivedUpload = {
  logs: readonly UploadedLog[];
  /** Entries of the archive that are no logs by their names. */
  leftOut: readonly string[];
};

/**
 * Keeps what was uploaded, as `receiveLog` does, and imports nothing: a log as it came; what a gzip file holds, unpacked
 * as it comes; each entry of a zip archive as a log of its own, named "archive.zip/entry.csv". Which it is its first
 * bytes say. A zip archive has its directory at its end, so it is put into a temporary file that has no name (nor has
 * any entry one on disk), looked through to its end, and only then kept.
 *
 * @throws AppError as `receiveLog`; unreadable where an archive is damaged, encrypted, nested or too large; disk-full
 */
export async function receiveUpload(
  database: Database,
  request: {
    siteId: number;
    loggerName: string;
    name: string;
    body: AsyncIterable<Uint8Array>;
    tmpDir?: string;
  },
): Promise<ReceivedUpload> {
  const { name, tmpDir = tmpdir(), ...rest } = request;
  const { kind, body } = await peek(request.body);
  try {
    if (kind === "zip") return await receiveZip(database, { ...rest, name, body, tmpDir });
    const unpacked = kind === "gzip" ? gunzipBytes(name, body) : body;
    const received = await receiveLog(database, { ...rest, name, body: unpacked });
    return { logs: [uploaded(received, name)], leftOut: [] };
  } catch (error) {
    throw error instanceof UnreadableContainer ? unreadable(error.refusal) : error;
  }
}

async function receiveZip(
  database: Database,
  {
    siteId,
    loggerName,
    name,
    body,
    tmpDir,
  }: { siteId: number; loggerName: string; name: string; body: AsyncIterable<Uint8Array>; tmpDir: string },
): Promise<ReceivedUpload> {
  const { handle, sizeBytes } = await spool(body, name, tmpDir);
  try {
    const found = await logsInFile(handle, name, sizeBytes);
    if (!found.ok) throw unreadable(found.refusal);
    // Whole or not at all: what is wrong with a later entry must not leave the earlier ones behind.
    for (const log of found.logs) for await (const _ of log.open());
    const logs: UploadedLog[] = [];
    for (const log of found.logs) {
      const received = await receiveLog(database, { siteId, loggerName, name: log.name, body: log.open() });
      logs.push(uploaded(received, log.name));
    }
    return { logs, leftOut: found.leftOut };
  } finally {
    await handle.close();
  }
}

/** Without its first bytes: an archive can have many entries. */
function uploaded({ logId, sha256, sizeBytes, state, alreadyThere }: ReceivedLog, name: string): UploadedLog {
  return { name, logId, sha256, sizeBytes, state, alreadyThere };
}

/** Writes a body into a file of the temporary folder; where the system allows it the file has no name any more. */
async function spool(
  body: AsyncIterable<Uint8Array>,
  name: string,
  tmpDir: string,
): Promise<{ handle: FileHandle; sizeBytes: number }> {
  const folder = await mkdtemp(join(tmpDir, "legroom-upload-")).catch((error) => {
    throw toAppError(error);
  });
  let handle: FileHandle | null = null;
  let fromBody = false;
  try {
    handle = await open(join(folder, "archive"), "wx+", 0o600);
    if (process.platform !== "win32") await rm(folder, { recursive: true, force: true });
    let sizeBytes = 0;
    fromBody = true;
    for await (const bytes of body) {
      sizeBytes += bytes.byteLength;
      if (sizeBytes > MAX_SPOOL_BYTES) {
        throw new AppError(
          "too-large",
          `"${name}" is larger than the ${MAX_SPOOL_BYTES / 1024 ** 3} GiB that an archive may have. Unpack it and send the logs by themselves.`,
        );
      }
      fromBody = false;
      for (let done = 0; done < bytes.byteLength; ) {
        done += (await handle.write(bytes, done, bytes.byteLength - done)).bytesWritten;
      }
      fromBody = true;
    }
    return { handle, sizeBytes };
  } catch (error) {
    await handle?.close();
    if (fromBody || error instanceof AppError) throw error;
    const { code } = error as NodeJS.ErrnoException;
    if (code !== "ENOSPC" && code !== "EDQUOT") throw toAppError(error);
    throw new AppError(
      "disk-full",
      `"${name}" doesn't fit into the temporary folder ${tmpDir}, where an archive is taken apart. Nothing of it was kept. Make room there, or name another folder in TMPDIR.`,
      { cause: error },
    );
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** The first bytes of a body, and the body with them. */
async function peek(
  body: AsyncIterable<Uint8Array>,
): Promise<{ kind: ContainerKind | null; body: AsyncIterable<Uint8Array> }> {
  const rest = body[Symbol.asyncIterator]();
  const first: Uint8Array[] = [];
  let size = 0;
  while (size < 4) {
    const next = await rest.next();
    if (next.done) break;
    first.push(next.value);
    size += next.value.byteLength;
  }
  const kind = containerKind(Buffer.concat(first).subarray(0, 4));
  async function* whole(): AsyncGenerator<Uint8Array> {
    try {
      yield* first;
      for (let next = await rest.next(); !next.done; next = await rest.next()) yield next.value;
    } finally {
      await rest.return?.();
    }
  }
  return { kind, body: whole() };
}

function unreadable({ code, what, where, hint }: Refusal): AppError {
  return new AppError("unreadable", `${where}: ${what} ${hint}`, {
    more: { where, hint, figures: { logCode: code } },
  });
}
