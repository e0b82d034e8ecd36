import type { Command } from "../command";
import { CommandError } from "../command-error";
import { logFile } from "../log-file";
import { sniffFile } from "../map-log";
import { printJson } from "../print-json";
import { requiredWords } from "../required";
import { writeOut } from "../write-out";

const COMMAND = { name: "columns", usage: "legroom columns LOG.csv [--columns columns.json] [--json]" };

/** `columns`: the inferred column map, with the evidence for each choice. */
export const columnsCommand: Command = {
  ...COMMAND,
  summary: "prints the inferred column map with the evidence for each choice",
  description:
    "With --json it prints a columns.json with `evidence` and `ask` (what a person must settle) beside its keys.",
  maxWords: 1,
  options: { columns: { type: "string" }, json: { type: "boolean" } },
  async run(input) {
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
