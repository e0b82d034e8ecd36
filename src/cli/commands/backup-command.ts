import { stat } from "node:fs/promises";
import { AppError } from "../../../db/app-error";
import { writeBackup } from "../../../db/backup/write-backup";
import { formatCount } from "../../report/format";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { printJson } from "../print-json";
import { progressLine } from "../progress-line";
import { requiredWords } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = { name: "backup", usage: "legroom backup FILE [--overwrite] [--json]" };

/** `backup`: everything that was given to the program, in one file. */
export const backupCommand: Command = {
  ...COMMAND,
  summary: "writes everything of it into one file",
  description: `The file is a zip archive: the logs as they came, packed by gzip; sites with their ratings and settings, loggers,
column maps, the order of the logs and what was withdrawn or replaced, as lines of JSON; and a manifest with the
SHA-256 of each. Samples and results are not in it: a restoration makes them anew, the same to the bit. Tokens of
the HTTP API are not in it either: they are made anew. It is one moment of the database, and others can go on
meanwhile. The file is there whole or not at all, and only its owner can read it. One that is there already is kept
unless --overwrite is given.`,
  maxWords: 1,
  options: { overwrite: { type: "boolean" }, json: { type: "boolean" } },
  async run(input) {
    const [path] = requiredWords(COMMAND, input, "the file to write");
    const there = await stat(path).catch(() => null);
    if (there !== null && (!there.isFile() || !input.flag("overwrite"))) {
      throw new CommandError(
        1,
        there.isFile() ? `${path} is there already.` : `${path} is there already, and no file.`,
        [there.isFile() ? "Name another file, or write over it with --overwrite." : "Name a file in it."],
      );
    }
    const cancel = new AbortController();
    const stop = () => cancel.abort(new AppError("cancelled", "Stopped: no backup was written."));
    process.once("SIGINT", stop);
    process.once("SIGTERM", stop);
    const line = progressLine(path);
    try {
      const written = await withDatabase((database) =>
        writeBackup(database, path, {
          signal: cancel.signal,
          onProgress: (bytes) => line.show({ bytes, rows: null, totalBytes: null }),
        }),
      ).finally(() => line.end());
      if (input.flag("json")) await printJson({ version: 1, file: path, ...written });
      else {
        const { sites, logs, bytes } = written;
        await writeOut(
          `${path}: ${formatCount(sites, "site")} with ${formatCount(logs, "log")}, ${bytes} bytes.\n`,
        );
      }
      return 0;
    } catch (error) {
      if (error instanceof AppError || (error as NodeJS.ErrnoException).syscall === undefined) throw error;
      const { code, message } = error as NodeJS.ErrnoException;
      const reason = WRITE_REASONS[code ?? ""] ?? message;
      throw new CommandError(1, `${path} can't be written: ${reason}. No backup was written.`);
    } finally {
      process.off("SIGINT", stop);
      process.off("SIGTERM", stop);
    }
  },
};

const WRITE_REASONS: { readonly [code: string]: string } = {
  ENOSPC: "its disk is full",
  EDQUOT: "this user may not use more of its disk",
  ENOENT: "there is no such folder",
  ENOTDIR: "a part of its path is not a folder",
  EACCES: "this user may not write there",
  EPERM: "this user may not write there",
  EROFS: "its disk can only be read",
  EFBIG: "the file is larger than its disk takes",
};
