import { withdrawLog } from "../../../db/writes/withdraw-log";
import { changeLog } from "../change-log";
import type { Command } from "../command";

const COMMAND = { name: "withdraw", usage: "legroom withdraw LOGID --site NAME [--json]" };

/** `withdraw`: takes a log's samples out again. */
export const withdrawCommand: Command = {
  ...COMMAND,
  summary: "takes a log's samples out of the site again",
  description: `LOGID is the number that "legroom logs" shows. The log itself is kept: "legroom restore" puts it in again. What
it had hidden of other logs comes back. Ctrl-C stops and leaves everything as it was.`,
  maxWords: 1,
  options: { site: { type: "string" }, json: { type: "boolean" } },
  run: (input) =>
    changeLog(COMMAND, input, {
      done: "withdrawn",
      change: (database, { siteId }, { logId }, options) => withdrawLog(database, siteId, logId, options),
    }),
};
