import { createReadStream } from "node:fs";
import { stat } from "node:fs/promises";
import { basename } from "node:path";
import type { LogSource } from "./log-source";

/**
 * A log that stands in a file of this machine, named after the file.
 *
 * @throws what the file system says, where the file can't be read.
 */
export async function fileLogSource(path: string, name = basename(path)): Promise<LogSource> {
  const { size } = await stat(path);
  return {
    name,
    sizeBytes: size,
    open: () => createReadStream(path, { highWaterMark: 256 * 1024 }),
  };
}
