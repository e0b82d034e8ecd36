import { localMonth } from "../../../db/queries/local-month";
import { monthsOf } from "../../../db/queries/months-of";
import { siteQuality } from "../../../db/queries/site-quality";
import { channelName } from "../../report/channel-name";
import {
  capital,
  clockOf,
  formatDuration,
  formatLocalTime,
  formatMonth,
  formatShare,
  localIso,
} from "../../report/format";
import { qualityFindings, qualityHeadline } from "../../report/quality-findings";
import { wrapText } from "../../report/wrap-text";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { computeResults } from "../compute-results";
import { findSite } from "../find-site";
import { printJson } from "../print-json";
import { requiredText } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = { name: "quality", usage: "legroom quality --site NAME [--month 2026-05] [--json]" };

/** Gaps that are listed one by one. */
const GAPS_LISTED = 20;

/** `quality`: whether a month's logs can be trusted. */
export const qualityCommand: Command = {
  ...COMMAND,
  summary: "says whether a month's logs can be trusted",
  description: `Prints what a month's logs cover, channel by channel, and what is doubtful in them: channels that hung, impossible
values, meters that disagree, clocks that drift or were set, each with the results that it touches. The latest month
where none is given.`,
  maxWords: 0,
  options: { site: { type: "string" }, month: { type: "string" }, json: { type: "boolean" } },
  async run(input) {
    const name = requiredText(COMMAND, input, "site");
    return withDatabase(async (database) => {
      const { siteId, site } = await findSite(database, name);
      await computeResults(database, siteId);
      const months = await monthsOf(database, siteId);
      const month = input.text("month") ?? months.at(-1);
      if (month === undefined || !months.includes(month)) {
        throw new CommandError(
          1,
          month === undefined
            ? `"${site.name}" has no log yet.`
            : `"${site.name}" has no samples of ${month}.`,
          months.length === 0 ? [] : [`Months with samples: ${months.join(", ")}.`],
        );
      }
      const clock = clockOf(site.timezone);
      const { fromMs, toMs } = localMonth(site.timezone, month);
      const { loggers, gaps, balance } = await siteQuality(database, siteId, fromMs, toMs);
      const findings = qualityFindings(loggers, balance, site.settings, clock);
      if (input.flag("json")) {
        await printJson({
          version: 1,
          site: site.name,
          month,
          loggers: loggers.map((logger) => ({
            name: logger.name,
            nominalS: logger.nominalS,
            samples: logger.period.samples,
            heldS: logger.period.heldS,
            days: [...logger.coverage].map(([date, coverage]) => ({ date, coverage })),
          })),
          gaps: gaps.map((gap) => ({ from: localIso(gap.fromMs, clock), to: localIso(gap.toMs, clock) })),
          balance,
          doubtful: findings,
        });
        return 0;
      }
      const lengthS = (toMs - fromMs) / 1000;
      const lines = [
        `${site.name}: the logs of ${formatMonth(month)}`,
        "",
        wrapText(qualityHeadline(loggers, gaps, findings, lengthS)),
        ...loggers.flatMap((logger) => [
          "",
          `COVERAGE, logger ${logger.name}`,
          ...logger.channels.map(
            (channel) =>
              `  ${capital(channelName(channel))}: ${formatShare((logger.period.coveredS[channel] ?? 0) / lengthS)}`,
          ),
        ]),
        ...(gaps.length === 0 ? [] : ["", "GAPS"]),
        ...gaps
          .slice(0, GAPS_LISTED)
          .map(
            (gap) =>
              `  ${formatLocalTime(gap.fromMs, clock, true)} to ${formatLocalTime(gap.toMs, clock, true)} (${formatDuration((gap.toMs - gap.fromMs) / 1000)})`,
          ),
        ...(gaps.length > GAPS_LISTED ? [`  and ${gaps.length - GAPS_LISTED} more`] : []),
        ...(findings.length === 0 ? [] : ["", "DOUBTFUL"]),
        ...findings.flatMap(({ sentence, touches }) =>
          wrapText(`${sentence} Touches: ${touches}.`, "- ", "  "),
        ),
      ];
      await writeOut(`${lines.join("\n")}\n`);
      return 0;
    });
  },
};
