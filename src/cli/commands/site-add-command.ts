import { siteByName } from "../../../db/queries/site-by-name";
import { addSite } from "../../../db/writes/add-site";
import { changeSite } from "../../../db/writes/change-site";
import type { Command } from "../command";
import { computeResults } from "../compute-results";
import { readSiteFile } from "../read-site-file";
import { requiredWords } from "../required";
import { withDatabase } from "../with-database";

const USAGE = "legroom site add site.json";

/** `site add`: adds a site, or changes the one of that name. */
export const siteAddCommand: Command = {
  name: "site add",
  summary: "adds a site from a site.json, or changes the one of that name",
  usage: USAGE,
  description: "A site of the same name takes the new site.json, and its results are computed again.",
  maxWords: 1,
  options: {},
  async run(input) {
    const [path] = requiredWords({ name: "site add", usage: USAGE }, input, "a site.json");
    const { site, input: config } = await readSiteFile(path);
    return withDatabase(async (database) => {
      const there = await siteByName(database, site.name);
      if (there === null) {
        await addSite(database, config);
        process.stderr.write(`Added "${site.name}".\n`);
      } else {
        await changeSite(database, there.siteId, config);
        process.stderr.write(`Changed "${site.name}"; its results are computed again.\n`);
        await computeResults(database, there.siteId);
      }
      return 0;
    });
  },
};
