import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { logById } from "../../db/queries/log-by-id";
import type { LogRow } from "../../db/queries/logs-of";
import type { SiteRow } from "../../db/queries/site-by-slug";
import type { FoldOutcome } from "../../db/writes/change-fold";
import type { FoldOptions } from "../../db/writes/in-fold-transaction";
import { formatCount } from "../report/format";
import { recordsText } from "../report/review-text";
import type { Command, CommandInput } from "./command";
import { CommandError } from "./command-error";
import { computeResults } from "./compute-results";
import { findSite } from "./find-site";
import { printJson } from "./print-json";
import { progressLine } from "./progress-line";
import { requiredText, requiredWords } from "./required";
import { withDatabase } from "./with-database";
import { writeOut } from "./write-out";

/** A change of a log's place in the fold, and how it is told: "withdrawn", "restored". */
export type LogChange = {
  done: string;
  change: (database: Database, site: SiteRow, log: LogRow, options: FoldOptions) => Promise<FoldOutcome>;
};

/**
 * Runs a command that changes one log of a site, whose id is its word: does it, computes the results anew and says
 * what it came to. Ctrl-C stops it and leaves everything as it was.
 *
 * @throws CommandError where there is no such log, or where it can't be read so
 */
export async function changeLog(
  command: Pick<Command, "name" | "usage">,
  input: CommandInput,
  { done, change }: LogChange,
): Promise<number> {
  const [word] = requiredWords(command, input, "the id of a log");
  const siteName = requiredText(command, input, "site");
  if (!/^[1-9]\d{0,8}$/.test(word)) {
    throw new CommandError(2, `${command.name} takes the id of a log, a whole number, and got "${word}".`, [
      command.usage,
    ]);
  }
  const cancel = new AbortController();
  const stop = () => cancel.abort(new AppError("cancelled", "Stopped: the site's logs are as they were."));
  process.once("SIGINT", stop);
  process.once("SIGTERM", stop);
  try {
    return await withDatabase(async (database) => {
      const found = await findSite(database, siteName);
      const { siteId, site } = found;
      const log = await logById(database, siteId, Number(word));
      if (log === null) {
        throw new CommandError(1, `"${site.name}" has no log ${word}.`, [
          `"legroom logs --site '${site.name}'" lists them.`,
        ]);
      }
      const line = progressLine(log.name);
      const outcome = await change(database, found, log, {
        signal: cancel.signal,
        onProgress: ({ bytes, totalBytes, rows }) => line.show({ bytes, totalBytes, rows }),
      }).finally(() => line.end());
      if (outcome.kind === "refused") {
        const { problem } = outcome.verdict;
        throw new CommandError(1, `${problem.what} (${problem.code})`, [
          `Where: ${problem.where}`,
          problem.hint,
          "Nothing was changed.",
        ]);
      }
      await computeResults(database, siteId, cancel.signal);
      if (input.flag("json")) await printJson({ version: 1, ...outcome });
      else await writeOut(`${outcomeText(log, outcome, done)}\n`);
      return 0;
    });
  } finally {
    process.off("SIGINT", stop);
    process.off("SIGTERM", stop);
  }
}

function outcomeText(
  { logId, name }: LogRow,
  outcome: Exclude<FoldOutcome, { kind: "refused" }>,
  done: string,
): string {
  if (outcome.kind === "unchanged") return `${name} (log ${logId}) is ${done} already; nothing changed.`;
  const { verdict, logsRead } = outcome;
  const others = logsRead - (verdict === null ? 0 : 1);
  const again = others === 0 ? "" : ` ${formatCount(others, "other log")} that it touches read again.`;
  const records =
    verdict === null
      ? ""
      : `\n${recordsText({ name, ...verdict.counts, codes: verdict.codes as { [code: string]: number } })}`;
  return `${name} (log ${logId}) is ${done}.${again}${records}`;
}
