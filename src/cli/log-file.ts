import { fileLogSource } from "../ingest/file-log-source";
import type { LogSource } from "../ingest/log-source";
import { CommandError } from "./command-error";

/** A log on the command line. @throws CommandError where the file can't be read */
export async function logFile(path: string): Promise<LogSource> {
  try {
    return await fileLogSource(path);
  } catch (error) {
    throw new CommandError(1, `The log ${path} can't be read: ${(error as Error).message}.`);
  }
}
