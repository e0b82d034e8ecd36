import { conflictsOf } from "../../../db/queries/conflicts-of";
import { conflictsCsv, conflictsHeader } from "../../report/conflicts-csv";
import { clockOf } from "../../report/format";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { findSite } from "../find-site";
import { requiredText, requiredWords } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = { name: "conflicts", usage: "legroom conflicts LOGID --site NAME" };

/** `conflicts`: what a log said otherwise than the samples that stand, as CSV. */
export const conflictsCommand: Command = {
  ...COMMAND,
  summary: "prints what a log says otherwise than the samples that stand",
  description: `LOGID is the number that "legroom logs" shows. Prints every row of it, as CSV, for whose instant the site has another
sample: its line and time, each channel as it stands and as it came, in base units, and the log that what stands
comes from. To have this log's values instead, withdraw it and import it with --replace.`,
  maxWords: 1,
  options: { site: { type: "string" } },
  async run(input) {
    const [word] = requiredWords(COMMAND, input, "the id of a log");
    const name = requiredText(COMMAND, input, "site");
    if (!/^[1-9]\d{0,8}$/.test(word)) {
      throw new CommandError(2, `conflicts takes the id of a log, a whole number, and got "${word}".`, [
        COMMAND.usage,
      ]);
    }
    return withDatabase(async (database) => {
      const { siteId, site } = await findSite(database, name);
      const conflicts = await conflictsOf(database, siteId, Number(word));
      if (conflicts === null) {
        throw new CommandError(1, `"${site.name}" has no log ${word} that is imported.`, [
          `"legroom logs --site '${site.name}'" lists them.`,
        ]);
      }
      const clock = clockOf(site.timezone);
      if (!(await writeOut(conflictsHeader(conflicts.channels)))) return 0;
      for await (const rows of conflicts.rows) if (!(await writeOut(conflictsCsv(rows, clock)))) break;
      return 0;
    });
  },
};
