import { parseArgs } from "node:util";
import { AppError } from "../../db/app-error";
import type { Command } from "./command";
import { CommandError } from "./command-error";
import { columnsCommand } from "./commands/columns-command";
import { exportCommand } from "./commands/export-command";
import { importCommand } from "./commands/import-command";
import { reportCommand } from "./commands/report-command";
import { reviewCommand } from "./commands/review-command";
import { serveCommand } from "./commands/serve-command";
import { simulateCommand } from "./commands/simulate-command";
import { siteAddCommand } from "./commands/site-add-command";
import { sitesCommand } from "./commands/sites-command";

const COMMANDS: readonly Command[] = [
  serveCommand,
  reviewCommand,
  columnsCommand,
  importCommand,
  sitesCommand,
  siteAddCommand,
  exportCommand,
  reportCommand,
  simulateCommand,
];

const HELP = `legroom: does the inverter carry the load? Leg by leg, from a CSV log.

Use: npm run -s legroom -- <command> …

${COMMANDS.map(({ name, summary }) => `  ${name.padEnd(10)} ${summary}`).join("\n")}

"legroom <command> --help" says more. Results go to standard output, progress and messages to standard
error. Exit codes: 0 done, 1 the input was refused, 2 wrong usage.
`;

/** Runs the command line. Returns the exit code. */
async function main(words: readonly string[]): Promise<number> {
  const [first, second] = words;
  if (first === undefined || first === "--help" || first === "-h" || first === "help") {
    process.stdout.write(HELP);
    return first === undefined ? 2 : 0;
  }
  const two = COMMANDS.find(({ name }) => name === `${first} ${second}`);
  const command = two ?? COMMANDS.find(({ name }) => name === first);
  if (command === undefined) {
    throw new CommandError(2, `There is no command "${first}".`, [
      `The commands are: ${COMMANDS.map(({ name }) => name).join(", ")}.`,
    ]);
  }
  const rest = words.slice(two === undefined ? 1 : 2);
  let parsed: ReturnType<typeof parseArgs>;
  try {
    parsed = parseArgs({
      args: [...rest],
      allowPositionals: true,
      strict: true,
      options: { ...command.options, help: { type: "boolean" } },
    });
  } catch (error) {
    throw new CommandError(2, `${command.name}: ${(error as Error).message}`, [command.usage]);
  }
  if (parsed.values.help === true) {
    process.stdout.write(`${command.usage}\n\n${command.description}\n`);
    return 0;
  }
  return command.run({
    positionals: parsed.positionals,
    text: (name) => {
      const value = parsed.values[name];
      return typeof value === "string" ? value : undefined;
    },
    flag: (name) => parsed.values[name] === true,
  });
}

main(process.argv.slice(2)).then(
  (code) => {
    process.exitCode = code;
  },
  (error: unknown) => {
    if (error instanceof CommandError) {
      process.stderr.write(`legroom: ${error.message}\n`);
      for (const detail of error.details) process.stderr.write(`  ${detail}\n`);
      process.exitCode = error.exitCode;
    } else if (error instanceof AppError) {
      process.stderr.write(`legroom: ${error.message}\n`);
      process.exitCode = 1;
    } else {
      process.stderr.write(`legroom: this is a defect of the program: ${(error as Error)?.stack ?? error}\n`);
      process.exitCode = 1;
    }
  },
);
