import { parseArgs } from "node:util";
import { nearestName } from "../site/nearest-name";
import type { Command } from "./command";
import { CommandError } from "./command-error";
import { backupCommand } from "./commands/backup-command";
import { columnsCommand } from "./commands/columns-command";
import { conflictsCommand } from "./commands/conflicts-command";
import { exportCommand } from "./commands/export-command";
import { importCommand } from "./commands/import-command";
import { inboxCommand } from "./commands/inbox-command";
import { logsCommand } from "./commands/logs-command";
import { qualityCommand } from "./commands/quality-command";
import { remapCommand } from "./commands/remap-command";
import { reportCommand } from "./commands/report-command";
import { restoreCommand } from "./commands/restore-command";
import { reviewCommand } from "./commands/review-command";
import { serveCommand } from "./commands/serve-command";
import { simulateCommand } from "./commands/simulate-command";
import { siteAddCommand } from "./commands/site-add-command";
import { sitesCommand } from "./commands/sites-command";
import { tokenAddCommand } from "./commands/token-add-command";
import { tokenListCommand } from "./commands/token-list-command";
import { tokenRevokeCommand } from "./commands/token-revoke-command";
import { withdrawCommand } from "./commands/withdraw-command";
import { failureText } from "./failure-text";
import { writeOut } from "./write-out";

const COMMANDS: readonly Command[] = [
  serveCommand,
  reviewCommand,
  columnsCommand,
  importCommand,
  inboxCommand,
  logsCommand,
  conflictsCommand,
  withdrawCommand,
  restoreCommand,
  remapCommand,
  sitesCommand,
  siteAddCommand,
  exportCommand,
  reportCommand,
  qualityCommand,
  tokenAddCommand,
  tokenListCommand,
  tokenRevokeCommand,
  simulateCommand,
  backupCommand,
];

const HELP = `legroom: does the inverter carry the load? Leg by leg, from a CSV log.

Use: npm run -s legroom -- <command> …

${COMMANDS.map(({ name, summary }) => `  ${name.padEnd(12)} ${summary}`).join("\n")}

"legroom <command> --help" says more. Results go to standard output, progress and messages to standard
error. Exit codes: 0 done, 1 the input was refused, 2 wrong usage.
`;

/** Runs the command line. Returns the exit code. */
async function main(words: readonly string[]): Promise<number> {
  const [first, second] = words;
  if (first === undefined || first === "--help" || first === "-h" || first === "help") {
    await writeOut(HELP);
    return first === undefined ? 2 : 0;
  }
  const two = COMMANDS.find(({ name }) => name === `${first} ${second}`);
  const command = two ?? COMMANDS.find(({ name }) => name === first);
  if (command === undefined) throw unknownCommand(words);
  const parsed = parseWords(command, words.slice(two === undefined ? 1 : 2));
  if (parsed.values.help === true) {
    await writeOut(`${command.usage}\n\n${command.description}\n`);
    return 0;
  }
  const { maxWords = Number.POSITIVE_INFINITY } = command;
  if (parsed.positionals.length > maxWords) {
    const extra = parsed.positionals[maxWords];
    throw new CommandError(2, `${command.name}: "${extra}" is one word too many.`, [command.usage]);
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

function unknownCommand(words: readonly string[]): CommandError {
  const names = COMMANDS.map(({ name }) => name);
  const near =
    names.find((name) => name.startsWith(`${words[0]} `)) ??
    nearestName(words.slice(0, 2).join(" "), names) ??
    nearestName(words[0], names);
  return new CommandError(2, `There is no command "${words[0]}".`, [
    ...(near === null ? [] : [`Did you mean "${near}"?`]),
    `The commands are: ${names.join(", ")}.`,
  ]);
}

function parseWords(command: Command, words: readonly string[]): ReturnType<typeof parseArgs> {
  const options = { ...command.options, help: { type: "boolean" as const } };
  try {
    return parseArgs({ args: [...words], allowPositionals: true, strict: true, options });
  } catch (error) {
    const { code, message } = error as Error & { code?: string };
    if (code !== "ERR_PARSE_ARGS_UNKNOWN_OPTION") {
      throw new CommandError(2, `${command.name}: ${message}`, [command.usage]);
    }
    const given = /'(--?[^']*)'/.exec(message)?.[1] ?? "";
    const near = nearestName(given.replace(/^-+/, ""), Object.keys(options));
    throw new CommandError(2, `${command.name} has no option ${given}.`, [
      ...(near === null ? [] : [`Did you mean --${near}?`]),
      command.usage,
    ]);
  }
}

// A failed write is told to the one who wrote; the streams tell it a second time, as an event.
for (const stream of [process.stdout, process.stderr]) stream.on("error", () => {});

main(process.argv.slice(2)).then(
  (code) => {
    process.exitCode = code;
  },
  (thrown: unknown) => {
    const { exitCode, lines } = failureText(thrown);
    process.stderr.write(lines.map((line) => `${line}\n`).join(""));
    process.exitCode = exitCode;
  },
);
