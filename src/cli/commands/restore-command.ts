import { AppError } from "../../../db/app-error";
import { openBackup } from "../../../db/backup/open-backup";
import { restoreBackup } from "../../../db/backup/restore-backup";
import { restoreLog } from "../../../db/writes/restore-log";
import { formatCount } from "../../report/format";
import { changeLog } from "../change-log";
import type { Command, CommandInput } from "../command";
import { CommandError } from "../command-error";
import { computeResults } from "../compute-results";
import { fileProblem } from "../file-problem";
import { printJson } from "../print-json";
import { progressLine } from "../progress-line";
import { requiredWords } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = {
  name: "restore",
  usage: "legroom restore FILE [--into-new-names] [--json], or legroom restore LOGID --site NAME [--json]",
};

/** `restore`: what a backup holds, or a withdrawn log, in again. */
export const restoreCommand: Command = {
  ...COMMAND,
  summary: "puts in what a backup holds; with --site, a withdrawn log",
  description: `FILE is one that "legroom backup" wrote. All of it is read and checked first; then it goes into the database, which
has to be empty, wholly or not at all, and the results are computed. With --into-new-names it goes beside what is
there: a site whose name is taken is then called "… (restored)", and folders of inboxes are left out.
With --site, LOGID is the number that "legroom logs" shows of a withdrawn log. It takes its old place among the
others, with its old column map. Ctrl-C stops and leaves everything as it was.`,
  maxWords: 1,
  options: { site: { type: "string" }, "into-new-names": { type: "boolean" }, json: { type: "boolean" } },
  run(input) {
    if (input.text("site") === undefined) return restoreFile(input);
    return changeLog(COMMAND, input, {
      done: "in the site",
      change: (database, { siteId }, { logId }, options) => restoreLog(database, siteId, logId, options),
    });
  },
};

async function restoreFile(input: CommandInput): Promise<number> {
  const [path] = requiredWords(COMMAND, input, "the file of a backup, or the id of a log with --site");
  if (/^[1-9]\d{0,8}$/.test(path)) {
    throw new CommandError(2, `restore ${path}: a log is restored with --site.`, [COMMAND.usage]);
  }
  const cancel = new AbortController();
  const stop = () => cancel.abort(new AppError("cancelled", "Stopped: nothing was restored."));
  process.once("SIGINT", stop);
  process.once("SIGTERM", stop);
  try {
    const backup = await openBackup(path).catch((error) => {
      if (error instanceof AppError) throw error;
      throw new CommandError(1, `The backup ${path} can't be read: ${fileProblem(error)}.`);
    });
    try {
      const { entries } = backup.manifest;
      const totalBytes = entries.reduce((sum, { bytes }) => sum + bytes, 0);
      const checking = progressLine(`${path}, being checked`);
      await backup
        .verify({
          signal: cancel.signal,
          onProgress: (bytes) => checking.show({ bytes, rows: null, totalBytes }),
        })
        .catch((error) => {
          throw cancel.signal.aborted ? cancel.signal.reason : error;
        })
        .finally(() => checking.end());
      return await withDatabase(async (database) => {
        const line = progressLine(path);
        const { sites } = await restoreBackup(database, backup, {
          intoNewNames: input.flag("into-new-names"),
          signal: cancel.signal,
          onProgress: ({ bytes, totalBytes: total }) => line.show({ bytes, rows: null, totalBytes: total }),
        }).finally(() => line.end());
        for (const { siteId } of sites) await computeResults(database, siteId, cancel.signal);
        if (input.flag("json")) {
          await printJson({ version: 1, sites: sites.map(withoutId) });
          return 0;
        }
        for (const { name, wasName, logs } of sites) {
          const was = name === wasName ? "" : `, which was "${wasName}"`;
          await writeOut(`"${name}"${was}: ${formatCount(logs, "log")} restored.\n`);
        }
        if (sites.length === 0) await writeOut("The backup holds no site; nothing was there to restore.\n");
        return 0;
      });
    } finally {
      backup.close();
    }
  } finally {
    process.off("SIGINT", stop);
    process.off("SIGTERM", stop);
  }
}

function withoutId<Row extends { siteId: number }>(row: Row): Omit<Row, "siteId"> {
  const { siteId: _, ...rest } = row;
  return rest;
}
