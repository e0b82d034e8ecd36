import { mkdir, realpath, stat } from "node:fs/promises";
import { resolve } from "node:path";
import { inboxes } from "../../../db/queries/inboxes";
import { setInbox } from "../../../db/writes/set-inbox";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { fileProblem } from "../file-problem";
import { findSite } from "../find-site";
import { requiredText } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = { name: "inbox", usage: "legroom inbox --site NAME [--folder PATH | --default]" };

/** `inbox`: the folder that a site's logs are taken from while the app runs. */
export const inboxCommand: Command = {
  ...COMMAND,
  summary: "shows or sets the folder that a site's logs are taken from",
  description: `Prints the folder, which is made where it isn't there. While "serve" runs, a file that is put into it and has stopped
growing is imported and moved to done, or to refused with the reason beside it. A file in the folder growing in it is
never moved: its new rows are taken as they come. In a folder named as one of the site's loggers files are that
logger's. --folder chooses another folder on this machine, --default the one in the data folder again.`,
  maxWords: 0,
  options: { site: { type: "string" }, folder: { type: "string" }, default: { type: "boolean" } },
  async run(input) {
    const name = requiredText(COMMAND, input, "site");
    const given = input.text("folder");
    if (given !== undefined && input.flag("default")) {
      throw new CommandError(2, "--folder and --default say different things: give one of them.");
    }
    const chosen = given === undefined ? null : await realFolder(given);
    return withDatabase(async (database) => {
      const { siteId } = await findSite(database, name);
      if (chosen !== null || input.flag("default")) await setInbox(database, siteId, chosen);
      const [{ folder, loggers }] = await inboxes(database, siteId);
      await mkdir(folder, { recursive: true, mode: 0o700 }).catch((error) => {
        throw new CommandError(1, `The inbox ${folder} can't be made: ${fileProblem(error)}.`);
      });
      await writeOut(`${folder}\n`);
      if (loggers.length > 1) {
        process.stderr.write(`Files of a logger go into a folder in it: ${loggers.join(", ")}.\n`);
      }
      return 0;
    });
  },
};

async function realFolder(path: string): Promise<string> {
  try {
    const real = await realpath(resolve(path));
    if ((await stat(real)).isDirectory()) return real;
  } catch (error) {
    throw new CommandError(1, `The folder ${path} can't be used: ${fileProblem(error)}.`);
  }
  throw new CommandError(1, `${path} is no folder.`);
}
