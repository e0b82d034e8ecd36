import { listSites } from "../../../db/queries/list-sites";
import { clockOf, formatCount, formatLoading, formatLocalTime, localIso } from "../../report/format";
import type { Command } from "../command";
import { printJson } from "../print-json";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

/** `sites`: lists them. */
export const sitesCommand: Command = {
  name: "sites",
  summary: "lists the sites",
  usage: "legroom sites [--json]",
  description: "Prints each site with its time zone, what its logs cover and the latest month's transfers.",
  maxWords: 0,
  options: { json: { type: "boolean" } },
  run: (input) =>
    withDatabase(async (database) => {
      const sites = await listSites(database);
      if (input.flag("json")) {
        const iso = (atMs: number | null, zone: string) =>
          atMs === null ? null : localIso(atMs, clockOf(zone));
        await printJson({
          version: 1,
          sites: sites.map((site) => ({
            name: site.name,
            slug: site.slug,
            timezone: site.timezone,
            from: iso(site.firstMs, site.timezone),
            lastSampleAt: iso(site.lastMs, site.timezone),
            months: site.months,
            transfersThisMonth: site.transfersThisMonth,
            transfersMonthBefore: site.transfersMonthBefore,
            peakLoading: site.peak?.loading ?? null,
            coverage: site.coverage,
          })),
        });
        return 0;
      }
      if (sites.length === 0) await writeOut('No site yet: add one with "legroom site add site.json".\n');
      for (const site of sites) {
        const clock = clockOf(site.timezone);
        const last =
          site.lastMs === null ? "no samples yet" : `last sample ${formatLocalTime(site.lastMs, clock)}`;
        const month =
          site.latestMonth === null
            ? ""
            : `; ${site.latestMonth}: ${formatCount(site.transfersThisMonth, "transfer")}${site.peak === null ? "" : `, greatest loading ${formatLoading(site.peak.loading)} on ${site.peak.quantity}`}`;
        await writeOut(`${site.name} (${site.timezone}): ${last}${month}\n`);
      }
      return 0;
    }),
};
