import Papa from "papaparse";
import { readSamples } from "../../../db/samples/read-samples";
import { sampledLogger } from "../../../db/samples/sampled-logger";
import { SOURCES } from "../../analysis/series";
import { clockOf, localIso } from "../../report/format";
import { SPREADSHEET_FORMULA } from "../../report/spreadsheet-formula";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { findSite } from "../find-site";
import { requiredText } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = {
  name: "export",
  usage: "legroom export --site NAME [--logger main] [--from 2026-05-01] [--to 2026-06-01]",
};

/** `export`: the samples back as canonical CSV. */
export const exportCommand: Command = {
  ...COMMAND,
  summary: "gets the samples back as canonical CSV",
  description: `Prints the samples from the beginning of the local day --from to the beginning of the day --to, all of them
without: ISO times with offset, canonical channel names, base units and signs. It can be imported as it is. Where the
site has several loggers it is the one named with --logger, the first in the site's order without.`,
  maxWords: 0,
  options: {
    site: { type: "string" },
    logger: { type: "string" },
    from: { type: "string" },
    to: { type: "string" },
  },
  async run(input) {
    const name = requiredText(COMMAND, input, "site");
    return withDatabase(async (database) => {
      const { siteId, site } = await findSite(database, name);
      const clock = clockOf(site.timezone);
      const day = (option: string) => {
        const text = input.text(option);
        if (text === undefined) return undefined;
        try {
          return clock.dateStartMs(text);
        } catch {
          throw new CommandError(2, `--${option} is a date such as 2026-05-01, got "${text}".`, [
            COMMAND.usage,
          ]);
        }
      };
      const fromMs = day("from");
      const toMs = day("to");
      const named = input.text("logger");
      const logger = await sampledLogger(database.sql, siteId, named);
      if (logger === null) {
        const ofLogger = named === undefined ? "" : ` of a logger "${named}"`;
        throw new CommandError(1, `"${site.name}" has no samples${ofLogger} yet.`, [
          `Its loggers: ${site.loggers.map((one) => one.name).join(", ")}.`,
        ]);
      }
      const header = ["time", ...logger.channels];
      if (logger.hasSource) header.push("source");
      if (logger.hasFault) header.push("faultCode");
      if (!(await writeOut(`${header.join(",")}\n`))) return 0;
      for await (const series of readSamples(database.sql, { siteId, logger, fromMs, toMs })) {
        const columns = logger.channels.map((channel) => series.channels[channel] as Float32Array);
        const rows: (string | number)[][] = [];
        for (let i = 0; i < series.timesMs.length; i++) {
          const row: (string | number)[] = [localIso(series.timesMs[i], clock)];
          for (const column of columns) row.push(shortest(column[i]));
          if (series.sources !== null) row.push(SOURCES[series.sources[i]]);
          if (series.faults !== null) {
            row.push(series.faults[i] === 0 ? "" : (logger.faultWords[series.faults[i] - 1]?.code ?? ""));
          }
          rows.push(row);
        }
        const piece = `${Papa.unparse(rows, { newline: "\n", escapeFormulae: SPREADSHEET_FORMULA })}\n`;
        if (!(await writeOut(piece))) break;
      }
      return 0;
    });
  },
};

/** The shortest number that reads back as the same float32; an empty cell for a missing value. */
function shortest(value: number): number | string {
  if (Number.isNaN(value)) return "";
  for (let digits = 6; digits < 9; digits++) {
    const short = Number(value.toPrecision(digits));
    if (Math.fround(short) === value) return short;
  }
  return Number(value.toPrecision(9));
}
