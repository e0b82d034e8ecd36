import { constants } from "node:fs";
import { access, type FileHandle, open, readdir, stat } from "node:fs/promises";
import { basename, join } from "node:path";
import { containerKind } from "../ingest/container-kind";
import { fileLogSource } from "../ingest/file-log-source";
import { gunzipSource } from "../ingest/gunzip-source";
import type { LogSource } from "../ingest/log-source";
import { logsInFile } from "../ingest/logs-in-file";
import type { Refusal } from "../ingest/refusal";
import { UnreadableContainer } from "../ingest/unreadable-container";
import { CommandError } from "./command-error";
import { fileProblem } from "./file-problem";

/** The logs that words on the command line name: files, archives, folders. */
export type LogFiles = {
  /** `isMember`: it is one of several in an archive or a folder, so that another one can be taken where it can't. */
  logs: { source: LogSource; isMember: boolean }[];
  /** What is no log by its name: hidden files, folders in a folder. */
  leftOut: string[];
  /** Closes archives; the logs can't be read any more then. */
  readonly close: () => Promise<void>;
};

/**
 * Opens what paths name: a log, a gzip file, the entries of a zip archive, or every file of a folder (those of folders
 * in it not), by name.
 *
 * @throws CommandError where a file can't be read, or holds no log; `source.open` throws it while it is read
 */
export async function logFiles(paths: readonly string[]): Promise<LogFiles> {
  const found: LogFiles = { logs: [], leftOut: [], close: closeAll };
  const handles: FileHandle[] = [];
  async function closeAll(): Promise<void> {
    for (const handle of handles.splice(0)) await handle.close();
  }
  try {
    for (const path of paths) {
      const isFolder = (await told(path, () => stat(path))).isDirectory();
      if (!isFolder) await addFile(path, false);
      else await addFolder(path);
    }
  } catch (error) {
    await closeAll();
    throw error;
  }
  return found;

  async function addFolder(path: string): Promise<void> {
    const entries = await told(path, () => readdir(path, { withFileTypes: true }));
    const before = found.logs.length;
    for (const entry of entries.sort((a, b) => (a.name < b.name ? -1 : 1))) {
      const inside = join(path, entry.name);
      const isLog = !entry.name.startsWith(".") && (await told(inside, () => stat(inside))).isFile();
      if (isLog) await addFile(inside, true);
      else found.leftOut.push(inside);
    }
    if (found.logs.length === before)
      throw new CommandError(1, `The folder ${path} holds no file.`, [
        "Put logs into it, or name another folder or the logs themselves.",
      ]);
  }

  async function addFile(path: string, isMember: boolean): Promise<void> {
    await mustBeFile(path);
    const kind = containerKind(await firstBytes(path));
    if (kind !== "zip") {
      const source = await told(path, () => fileLogSource(path));
      found.logs.push({
        source: withWords(path, kind === "gzip" ? gunzipSource(source) : source),
        isMember,
      });
      return;
    }
    const handle = await told(path, () => open(path, "r"));
    handles.push(handle);
    const { size } = await handle.stat();
    const inside = await told(path, () => logsInFile(handle, basename(path), size));
    if (!inside.ok) throw refusalError(inside.refusal);
    for (const source of inside.logs)
      found.logs.push({ source: withWords(path, source), isMember: isMember || inside.logs.length > 1 });
    found.leftOut.push(...inside.leftOut);
  }
}

/** One log on the command line. @throws CommandError as `logFiles`, and where it is several */
export async function logFile(path: string): Promise<LogSource> {
  const { logs } = await logFiles([path]);
  if (logs.length > 1) {
    throw new CommandError(1, `${path} holds ${logs.length} logs.`, [
      "Name one of them by itself, unpacked.",
    ]);
  }
  return logs[0].source;
}

async function mustBeFile(path: string): Promise<void> {
  const found = await told(path, () => stat(path));
  if (!found.isFile()) {
    throw new CommandError(1, `${path} is no file that can be read twice, which a log has to be.`, [
      "Save what comes out of it in a file, and name that.",
    ]);
  }
  await told(path, () => access(path, constants.R_OK));
}

async function firstBytes(path: string): Promise<Uint8Array> {
  const handle = await told(path, () => open(path, "r"));
  try {
    const bytes = Buffer.alloc(4);
    const { bytesRead } = await told(path, () => handle.read(bytes, 0, 4, 0));
    return bytes.subarray(0, bytesRead);
  } finally {
    await handle.close();
  }
}

/** The same source, which says in words why it can't be read. */
function withWords(path: string, source: LogSource): LogSource {
  async function* saying(bytes: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
    try {
      yield* bytes;
    } catch (error) {
      throw error instanceof UnreadableContainer ? refusalError(error.refusal) : unreadable(path, error);
    }
  }
  const { range } = source;
  return {
    ...source,
    open: () => saying(source.open()),
    ...(range === undefined ? {} : { range: (from: number, to: number) => saying(range(from, to)) }),
  };
}

async function told<T>(path: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    throw unreadable(path, error);
  }
}

function unreadable(path: string, error: unknown): CommandError {
  return new CommandError(1, `The log ${path} can't be read: ${fileProblem(error)}.`);
}

function refusalError({ what, code, where, hint }: Refusal): CommandError {
  return new CommandError(1, `${what} (${code})`, [`Where: ${where}`, hint]);
}
