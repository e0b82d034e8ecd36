import { type LogRow, logsOf } from "../../../db/queries/logs-of";
import type { LogVerdict } from "../../ingest/log-verdict";
import { clockOf, formatLocalTime, formatNumber, localIso } from "../../report/format";
import type { Command } from "../command";
import { findSite } from "../find-site";
import { printJson } from "../print-json";
import { requiredText } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = { name: "logs", usage: "legroom logs --site NAME [--json]" };

/** `logs`: lists a site's logs. */
export const logsCommand: Command = {
  ...COMMAND,
  summary: "lists a site's logs with their ids",
  description: `Prints each log that the site keeps, the latest received first: its id, name, state, logger, first and last sample, and
what became of its records.`,
  maxWords: 0,
  options: { site: { type: "string" }, json: { type: "boolean" } },
  async run(input) {
    const name = requiredText(COMMAND, input, "site");
    return withDatabase(async (database) => {
      const { siteId, site } = await findSite(database, name);
      const clock = clockOf(site.timezone);
      const logs = await logsOf(database, siteId);
      if (input.flag("json")) {
        const iso = (atMs: number | null) => (atMs === null ? null : localIso(atMs, clock));
        await printJson({
          version: 1,
          logs: logs.map((log) => ({
            logId: log.logId,
            name: log.name,
            state: log.state,
            logger: log.loggerName,
            from: iso(log.firstMs),
            to: iso(log.lastMs),
            sizeBytes: log.sizeBytes,
            counts: countsOf(log),
          })),
        });
        return 0;
      }
      if (logs.length === 0) await writeOut(`"${site.name}" has no log yet.\n`);
      for (const log of logs) {
        const span =
          log.firstMs === null || log.lastMs === null
            ? ""
            : `, ${formatLocalTime(log.firstMs, clock)} to ${formatLocalTime(log.lastMs, clock)}`;
        await writeOut(
          `${log.logId}  ${log.name}: ${log.state}, ${log.loggerName}${span}${countsText(log)}\n`,
        );
      }
      return 0;
    });
  },
};

type Counts = Extract<LogVerdict, { refused: false }>["counts"];

/** Null for a log that was not read so far. */
function countsOf({ verdict }: LogRow): Counts | null {
  return (verdict as { counts?: Counts } | null)?.counts ?? null;
}

function countsText(log: LogRow): string {
  const counts = countsOf(log);
  if (counts === null) return "";
  const { records, taken, duplicates, conflicts, rejected, skipped } = counts;
  const [all, ...parts] = [records, taken, duplicates, conflicts, rejected, skipped].map((n) =>
    formatNumber(n, 0),
  );
  return `; ${all} records: ${parts[0]} taken, ${parts[1]} duplicates, ${parts[2]} conflicts, ${parts[3]} rejected, ${parts[4]} skipped`;
}
