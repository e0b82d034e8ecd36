import type { Command, CommandInput } from "./command";
import { CommandError } from "./command-error";

/** A text option that must be there. @throws CommandError 2 where it is missing */
export function requiredText(
  command: Pick<Command, "name" | "usage">,
  input: CommandInput,
  name: string,
): string {
  const value = input.text(name);
  if (value === undefined || value === "") {
    throw new CommandError(2, `${command.name} needs --${name}.`, [command.usage]);
  }
  return value;
}

/** The positional words, at least one. @throws CommandError 2 where there is none */
export function requiredWords(
  command: Pick<Command, "name" | "usage">,
  input: CommandInput,
  what: string,
): readonly string[] {
  if (input.positionals.length === 0)
    throw new CommandError(2, `${command.name} needs ${what}.`, [command.usage]);
  return input.positionals;
}
