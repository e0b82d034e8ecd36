import { neighbourMonth } from "../../../db/queries/local-month";
import { monthPeriod } from "../../../db/queries/local-period";
import { monthResults } from "../../../db/queries/month-results";
import { personNotesOf } from "../../../db/queries/person-notes-of";
import { clockOf } from "../../report/format";
import { monthText } from "../../report/month-text";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { findSite } from "../find-site";
import { requiredText } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = { name: "report", usage: "legroom report --site NAME --month 2026-05" };

/** `report`: a month in words. */
export const reportCommand: Command = {
  ...COMMAND,
  summary: "a month in words",
  description: "Prints what the Month screen says. Paper (--out FILE.pdf) comes with a later version.",
  maxWords: 0,
  options: { site: { type: "string" }, month: { type: "string" } },
  async run(input) {
    const name = requiredText(COMMAND, input, "site");
    const month = requiredText(COMMAND, input, "month");
    if (!/^\d{4}-(0[1-9]|1[0-2])$/.test(month)) {
      throw new CommandError(2, `--month is a month such as 2026-05, got "${month}".`, [COMMAND.usage]);
    }
    return withDatabase(async (database) => {
      const { siteId, site } = await findSite(database, name);
      const results = await monthResults(database, siteId, month);
      const before = await monthResults(database, siteId, neighbourMonth(month, -1));
      if (results === null) throw new CommandError(1, `There is no site named "${name}".`);
      if (results.revision !== results.samplesRevision) {
        process.stderr.write("The results stand on older samples: newer ones are being computed.\n");
      }
      const period = monthPeriod(site.timezone, month);
      const byPerson = await personNotesOf(database, { siteId, timezone: site.timezone }, period);
      await writeOut(monthText(results, before, month, site, clockOf(site.timezone), byPerson));
      return 0;
    });
  },
};
