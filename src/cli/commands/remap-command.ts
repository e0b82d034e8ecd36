import { storedLogSource } from "../../../db/queries/stored-log-source";
import { remapLog } from "../../../db/writes/remap-log";
import { clockOf } from "../../report/format";
import { noteSentence } from "../../report/note-sentence";
import { changeLog } from "../change-log";
import type { Command } from "../command";
import { mapLog } from "../map-log";
import { requiredText } from "../required";

const COMMAND = {
  name: "remap",
  usage: "legroom remap LOGID --site NAME --columns columns.json [--all-of-shape] [--strict] [--json]",
};

/** `remap`: reads a log again with another column map. */
export const remapCommand: Command = {
  ...COMMAND,
  summary: "reads a log again with another column map",
  description: `LOGID is the number that "legroom logs" shows. The log is read again from what is kept of it, at its old place among
the others. What columns.json leaves open is inferred, with --strict nothing is. A map by which nothing of the
log can be taken is refused and changes nothing, and so does Ctrl-C. With --all-of-shape the logger's other logs of
the same shape are read again by it, all together.`,
  maxWords: 1,
  options: {
    site: { type: "string" },
    columns: { type: "string" },
    "all-of-shape": { type: "boolean" },
    strict: { type: "boolean" },
    json: { type: "boolean" },
  },
  async run(input) {
    const columns = requiredText(COMMAND, input, "columns");
    return changeLog(COMMAND, input, {
      done: "read with the new map",
      change: async (database, { siteId, site }, log, options) => {
        const source = storedLogSource(database, siteId, log);
        const mapped = await mapLog(source, columns, { strict: input.flag("strict") });
        for (const note of mapped.notes) {
          process.stderr.write(`${log.name}: ${noteSentence(note, clockOf(site.timezone))}\n`);
        }
        return remapLog(database, siteId, log.logId, mapped.map, {
          evidence: mapped.evidence,
          guessed: [...mapped.guessed],
          allOfShape: input.flag("all-of-shape"),
          ...options,
        });
      },
    });
  },
};
