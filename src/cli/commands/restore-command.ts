import { restoreLog } from "../../../db/writes/restore-log";
import { changeLog } from "../change-log";
import type { Command } from "../command";

const COMMAND = { name: "restore", usage: "legroom restore LOGID --site NAME [--json]" };

/** `restore`: puts a withdrawn log in again. */
export const restoreCommand: Command = {
  ...COMMAND,
  summary: "puts a withdrawn log in again",
  description: `LOGID is the number that "legroom logs" shows. The log takes its old place among the others, with its old column
map. Ctrl-C stops and leaves everything as it was.`,
  maxWords: 1,
  options: { site: { type: "string" }, json: { type: "boolean" } },
  run: (input) =>
    changeLog(COMMAND, input, {
      done: "in the site",
      change: (database, { siteId }, { logId }, options) => restoreLog(database, siteId, logId, options),
    }),
};
