import { formatCount } from "../../report/format";
import { runSimulation } from "../../simulate/write-log";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { progressLine } from "../progress-line";
import { readJsonFile } from "../read-json-file";
import { requiredText, requiredWords } from "../required";

const USAGE = "legroom simulate SCENARIO.json --out DIR";

/** `simulate`: an invented log, with the true events beside it. */
export const simulateCommand: Command = {
  name: "simulate",
  summary: "writes an invented log with the true events beside it",
  usage: USAGE,
  description:
    "Writes the log, site.json, columns.json and truth.json (what really happened) into the folder.",
  maxWords: 1,
  options: { out: { type: "string" } },
  async run(input) {
    const [path] = requiredWords({ name: "simulate", usage: USAGE }, input, "a scenario");
    const out = requiredText({ name: "simulate", usage: USAGE }, input, "out");
    const line = progressLine("simulate");
    const outcome = await runSimulation(await readJsonFile(path, "scenario"), out, {
      onProgress: ({ rows, expectedRows }) => line.show({ bytes: rows, totalBytes: expectedRows, rows }),
    });
    line.end();
    if (!outcome.ok) {
      throw new CommandError(
        1,
        `The scenario ${path} is refused.`,
        outcome.problems.map((problem) => `${problem.message} ${problem.hint}`),
      );
    }
    process.stderr.write(`Wrote ${formatCount(outcome.rows, "row")} to ${out}.\n`);
    return 0;
  },
};
