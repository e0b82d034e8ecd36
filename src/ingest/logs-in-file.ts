import type { FileHandle } from "node:fs/promises";
import { containerKind } from "./container-kind";
import { gunzipSource } from "./gunzip-source";
import { handleLogSource } from "./handle-log-source";
import type { LogSource } from "./log-source";
import type { Refusal } from "./refusal";
import { openZip } from "./zip-sources";

/** The logs of one file; or why none can be had from it. */
export type LogsInFile =
  | {
      readonly ok: true;
      /** One, or one for each entry of an archive, by name. */
      readonly logs: readonly LogSource[];
      /** Entries that are no logs by their names: folders' rubbish and hidden files. */
      readonly leftOut: readonly string[];
      /** Whether they are entries of an archive. */
      readonly fromArchive: boolean;
    }
  | { readonly ok: false; readonly refusal: Refusal };

/**
 * The logs in an open file: itself, what a gzip file holds, or the entries of a zip archive, named
 * "archive.zip/entry.csv". Which it is its first bytes say. Nothing is unpacked to disk; an entry's name is text and
 * never a path. The handle must stay open while the logs are read and is the caller's to close.
 */
export async function logsInFile(
  handle: FileHandle,
  name: string,
  sizeBytes: number,
  fileId?: string,
): Promise<LogsInFile> {
  const head = Buffer.alloc(4);
  const { bytesRead } = await handle.read(head, 0, 4, 0);
  const whole = handleLogSource(handle, name, sizeBytes, fileId);
  switch (containerKind(head.subarray(0, bytesRead))) {
    case null:
      return { ok: true, logs: [whole], leftOut: [], fromArchive: false };
    case "gzip":
      return { ok: true, logs: [gunzipSource(whole)], leftOut: [], fromArchive: false };
    case "zip":
      return openZip(handle, name);
  }
}
