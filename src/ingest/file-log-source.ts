import { createReadStream } from "node:fs";
import { stat } from "node:fs/promises";
import { basename } from "node:path";
import { Readable } from "node:stream";
import { fileIdOf } from "./file-id-of";
import type { LogSource } from "./log-source";

const READ_BYTES = 256 * 1024;

/**
 * A log that stands in a file of this machine, named after the file, as far as it goes now: what is written behind that
 * while it is read is not read.
 *
 * @throws what the file system says, where the file can't be read.
 */
export async function fileLogSource(path: string, name = basename(path)): Promise<LogSource> {
  const found = await stat(path, { bigint: true });
  const sizeBytes = Number(found.size);
  const range = (from: number, to: number) =>
    to > from
      ? createReadStream(path, { highWaterMark: READ_BYTES, start: from, end: to - 1 })
      : Readable.from([]);
  // An empty file, and one that tells no size, are read as they come.
  const open = () =>
    sizeBytes === 0 ? createReadStream(path, { highWaterMark: READ_BYTES }) : range(0, sizeBytes);
  return { name, sizeBytes, open, range, fileId: fileIdOf(found) };
}
