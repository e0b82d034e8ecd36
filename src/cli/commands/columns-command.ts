import { keptMaps } from "../../../db/queries/kept-maps";
import { clockOf, formatLocalTime } from "../../report/format";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { findSite } from "../find-site";
import { logFile } from "../log-file";
import { sniffFile } from "../map-log";
import { printJson } from "../print-json";
import { requiredWords } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = {
  name: "columns",
  usage:
    "legroom columns LOG.csv [--columns columns.json] [--json], or legroom columns --site NAME [--logger main]",
};

/** `columns`: the inferred column map, with the evidence for each choice. */
export const columnsCommand: Command = {
  ...COMMAND,
  summary: "prints the inferred column map with the evidence for each choice",
  description:
    "With --json it prints a columns.json with `evidence` and `ask` (what a person must settle) beside its keys.\n" +
    "With --site, and no log, it prints the columns.json by which a log was last imported into the logger: logs of the\n" +
    "same shape are read by it.",
  maxWords: 1,
  options: {
    columns: { type: "string" },
    site: { type: "string" },
    logger: { type: "string" },
    json: { type: "boolean" },
  },
  async run(input) {
    const site = input.text("site");
    if (site !== undefined && input.positionals.length === 0) return printKept(site, input.text("logger"));
    const [path] = requiredWords(COMMAND, input, "a log");
    const sniffed = await sniffFile(await logFile(path), input.text("columns"), false);
    if (sniffed.refusal !== null) {
      const { what, code, where, hint } = sniffed.refusal;
      throw new CommandError(1, `${what} (${code})`, [`Where: ${where}`, hint]);
    }
    if (input.flag("json")) {
      await printJson({ ...(sniffed.map ?? sniffed.draft), evidence: sniffed.evidence, ask: sniffed.ask });
      return 0;
    }
    for (const one of sniffed.evidence) {
      const figures = Object.entries(one.figures)
        .map(([name, figure]) => `${name} ${figure}`)
        .join(", ");
      await writeOut(
        `${one.choice}: ${one.value} (${one.from}, ${Math.round(one.confidence * 100)} %)${figures === "" ? "" : `: ${figures}`}\n`,
      );
    }
    for (const one of sniffed.ask)
      await writeOut(`to settle: ${one.choice}: ${one.why} ${one.options.join(" | ")}\n`);
    return 0;
  },
};

async function printKept(name: string, named: string | undefined): Promise<number> {
  return withDatabase(async (database) => {
    const { siteId, site } = await findSite(database, name);
    const loggerName = named ?? site.loggers[0].name;
    const kept = (await keptMaps(database, siteId)).filter((one) => one.loggerName === loggerName);
    if (kept.length === 0) {
      throw new CommandError(
        1,
        `No log was imported into the logger "${loggerName}" of "${site.name}" so far.`,
        ["A column map is kept when one is."],
      );
    }
    const [{ map, logName, createdAtMs }] = kept;
    const when = formatLocalTime(createdAtMs, clockOf(site.timezone));
    const more = kept.length === 1 ? "" : ` The logger has ${kept.length} kept maps; this one was used last.`;
    process.stderr.write(`The map of "${logName}", imported on ${when}.${more}\n`);
    await printJson(map);
    return 0;
  });
}
