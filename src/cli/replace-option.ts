import type { LocalClock } from "../analysis/local-time";
import type { Command, CommandInput } from "./command";
import { CommandError } from "./command-error";
import type { ReplacedPeriod } from "./fold-logs";

/** The options of commands that can put a log in the place of earlier ones. */
export const REPLACE_OPTIONS = {
  replace: { type: "boolean" },
  "replace-from": { type: "string" },
  "replace-to": { type: "string" },
} as const;

/**
 * The period in which logs replace those before them: their own, from their first to their last sample, or what
 * `--replace-from` and `--replace-to` say; null where nothing is to be replaced.
 *
 * @throws CommandError where an end is no date and no instant, or none is left between them
 */
export function replaceOption(
  command: Pick<Command, "usage">,
  input: CommandInput,
  clock: LocalClock,
): ReplacedPeriod | null {
  const fromMs = end(command, input, "replace-from", clock);
  const toMs = end(command, input, "replace-to", clock);
  if (!input.flag("replace") && fromMs === null && toMs === null) return null;
  if (fromMs !== null && toMs !== null && fromMs >= toMs) {
    throw new CommandError(2, "--replace-from has to come before --replace-to.", [command.usage]);
  }
  return { fromMs, toMs: toMs === null ? null : toMs - 1 };
}

function end(
  { usage }: Pick<Command, "usage">,
  input: CommandInput,
  option: "replace-from" | "replace-to",
  clock: LocalClock,
): number | null {
  const text = input.text(option);
  if (text === undefined) return null;
  if (/^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d{1,3})?)?(Z|[+-]\d\d:\d\d)$/.test(text)) {
    const atMs = Date.parse(text);
    if (!Number.isNaN(atMs)) return atMs;
  }
  try {
    return clock.dateStartMs(text);
  } catch {
    throw new CommandError(
      2,
      `--${option} is a date such as 2026-05-01, or an instant such as 2026-05-01T13:00-06:00, got "${text}".`,
      [usage],
    );
  }
}
