import { constants } from "node:fs";
import { access, stat } from "node:fs/promises";
import { fileLogSource } from "../ingest/file-log-source";
import type { LogSource } from "../ingest/log-source";
import { CommandError } from "./command-error";
import { fileProblem } from "./file-problem";

/** A log on the command line. @throws CommandError where the file can't be read, now or while it is read */
export async function logFile(path: string): Promise<LogSource> {
  const refuse = (error: unknown) =>
    new CommandError(1, `The log ${path} can't be read: ${fileProblem(error)}.`);
  try {
    const found = await stat(path);
    if (found.isDirectory()) {
      throw new CommandError(1, `${path} is a folder.`, ["Name the log files in it one by one."]);
    }
    if (!found.isFile()) {
      throw new CommandError(1, `${path} is no file that can be read twice, which a log has to be.`, [
        "Save what comes out of it in a file, and name that.",
      ]);
    }
    await access(path, constants.R_OK);
    const source = await fileLogSource(path);
    return {
      ...source,
      async *open() {
        try {
          yield* source.open();
        } catch (error) {
          throw refuse(error);
        }
      },
    };
  } catch (error) {
    throw error instanceof CommandError ? error : refuse(error);
  }
}
