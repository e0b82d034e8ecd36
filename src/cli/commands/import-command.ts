import { AppError } from "../../../db/app-error";
import { mapForLog } from "../../../db/queries/map-for-log";
import type { JobProgress } from "../../../db/schema/job";
import { importGrownLog } from "../../../db/writes/import-grown-log";
import { type ImportOutcome, importLog } from "../../../db/writes/import-log";
import type { LocalClock } from "../../analysis/local-time";
import { ERROR_CATALOGUE } from "../../ingest/error-catalogue";
import type { LogSource } from "../../ingest/log-source";
import { recognitionText } from "../../ingest/recognition-text";
import { clockOf, formatCount, formatLocalTime } from "../../report/format";
import { noteSentence } from "../../report/note-sentence";
import { recordsText } from "../../report/review-text";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { computeResults } from "../compute-results";
import { findSite } from "../find-site";
import { logFiles } from "../log-file";
import { mapLog } from "../map-log";
import { printJson } from "../print-json";
import { progressLine } from "../progress-line";
import { REPLACE_OPTIONS, replaceOption } from "../replace-option";
import { requiredText, requiredWords } from "../required";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const COMMAND = {
  name: "import",
  usage:
    "legroom import LOG… --site NAME [--logger main] [--columns columns.json] [--accept-shape] [--strict] [--replace [--replace-from 2026-05-01] [--replace-to 2026-06-01]] [--all-or-nothing] [--json]",
};

/** `import`: takes logs into the database, each whole or not at all. */
export const importCommand: Command = {
  ...COMMAND,
  summary: "takes logs into the database",
  description: `A log is a CSV file, one packed by gzip, a zip archive of several, or a folder of any of these; of the
logs of a folder or an archive one that is refused is said, and the others are taken.
Of a log that has grown since it was imported the new rows alone are read, and it stays one log.
Each log is taken whole or not at all, and kept as it came; the same log twice changes nothing. A row
that can't be taken is counted and listed; with --all-or-nothing one such row refuses the log. Ctrl-C stops
and leaves nothing of the log under way.
Without --columns a log is read by the map with which a log of the same shape was imported before; where its
columns have changed, what is still there is read by that map and the rest is inferred. Where a column that the
map takes is gone the log is refused; --accept-shape takes it without that column.
Where a log has other values than earlier logs at the same instants, the earlier ones stand. With --replace each
log takes the place of the earlier ones, of the same logger, from its first to its last sample, or from the
beginning of the local day --replace-from to the beginning of --replace-to (an instant with its offset does, too).
Withdrawn, it gives back what it replaced.`,
  options: {
    site: { type: "string" },
    logger: { type: "string" },
    columns: { type: "string" },
    "accept-shape": { type: "boolean" },
    strict: { type: "boolean" },
    "all-or-nothing": { type: "boolean" },
    ...REPLACE_OPTIONS,
    json: { type: "boolean" },
  },
  async run(input) {
    const paths = requiredWords(COMMAND, input, "a log");
    const name = requiredText(COMMAND, input, "site");
    const cancel = new AbortController();
    const stop = () =>
      cancel.abort(new AppError("cancelled", "Stopped; nothing of the log under way was stored."));
    process.once("SIGINT", stop);
    process.once("SIGTERM", stop);
    try {
      return await withDatabase(async (database) => {
        const { siteId, site } = await findSite(database, name);
        const clock = clockOf(site.timezone);
        const replace = replaceOption(COMMAND, input, clock);
        const outcomes: unknown[] = [];
        const takeOne = async (source: LogSource) => {
          const receivedAtMs = Date.now();
          const loggerName = input.text("logger") ?? site.loggers[0].name;
          const line = progressLine(source.name);
          const how = {
            siteId,
            loggerName,
            allOrNothing: input.flag("all-or-nothing"),
            receivedAtMs,
            signal: cancel.signal,
            onProgress: ({ bytes, totalBytes, rows }: JobProgress) => line.show({ bytes, totalBytes, rows }),
          };
          // A log that is there already has its map: it isn't looked for, but where a person gives one.
          const isGiven = input.text("columns") !== undefined || input.flag("strict");
          if (replace === null && !isGiven) {
            const grown = await importGrownLog(database, { ...how, source }).finally(() => line.end());
            if (grown !== null) return tell(source.name, grown);
          }
          const log = await mapLog(source, input.text("columns"), {
            strict: input.flag("strict"),
            choose: async (given) => {
              const acceptShape = input.flag("accept-shape");
              const chosen = await mapForLog(database, { siteId, loggerName, acceptShape, ...given });
              if (chosen.recognition !== null) {
                const when = formatLocalTime(chosen.recognition.createdAtMs, clock);
                const said = recognitionText(chosen.recognition, when, loggerName);
                process.stderr.write(`${given.name}: ${said}\n`);
              }
              return chosen;
            },
          });
          for (const note of log.notes) process.stderr.write(`${noteSentence(note, clock)}\n`);
          const grown =
            replace === null && isGiven
              ? await importGrownLog(database, { ...how, source, columnMap: log.map }).finally(() =>
                  line.end(),
                )
              : null;
          const outcome =
            grown ??
            (await importLog(database, {
              ...how,
              source: log.source,
              columnMap: log.map,
              evidence: log.evidence,
              guessed: [...log.guessed],
              replace,
            }).finally(() => line.end()));
          return tell(log.source.name, outcome);
        };
        const tell = async (name: string, outcome: ImportOutcome) => {
          if (outcome.kind === "refused") throw refusal(name, outcome.verdict);
          outcomes.push(outcome);
          if (input.flag("json")) return;
          await writeOut(`${outcomeText(name, outcome, clock)}\n`);
          if (outcome.kind === "already-there" && replace !== null) {
            await writeOut(
              `To put it in the place of others, withdraw log ${outcome.logId} and import it with --replace.\n`,
            );
          }
        };
        const { logs, leftOut, close } = await logFiles(paths);
        for (const one of leftOut) process.stderr.write(`${one}: left out, it is no log by its name.\n`);
        const names = logs.map(({ source }) => source.name);
        const refusedNames: string[] = [];
        try {
          for (const [index, { source, isMember }] of logs.entries()) {
            try {
              await takeOne(source);
            } catch (error) {
              if (!(error instanceof CommandError)) throw error;
              if (isMember && error.exitCode === 1) {
                refusedNames.push(source.name);
                process.stderr.write(`${source.name}: ${[error.message, ...error.details].join("\n  ")}\n`);
                continue;
              }
              if (index > 0) await computeResults(database, siteId, cancel.signal);
              throw new CommandError(error.exitCode, error.message, [
                ...error.details,
                ...(index === 0 ? [] : [`Done before it: ${names.slice(0, index).join(", ")}.`]),
                ...(index + 1 === names.length
                  ? []
                  : [`Not looked at: ${names.slice(index + 1).join(", ")}.`]),
              ]);
            }
          }
        } finally {
          await close();
        }
        await computeResults(database, siteId, cancel.signal);
        if (input.flag("json")) await printJson({ version: 1, logs: outcomes });
        if (refusedNames.length > 0) {
          throw new CommandError(
            1,
            `${refusedNames.length} of ${logs.length} logs were refused, the others taken.`,
            [refusedNames.join(", ")],
          );
        }
        return 0;
      });
    } finally {
      process.off("SIGINT", stop);
      process.off("SIGTERM", stop);
    }
  },
};

function outcomeText(
  name: string,
  outcome: Exclude<ImportOutcome, { kind: "refused" }>,
  clock: LocalClock,
): string {
  if (outcome.kind === "imported") {
    const { counts, codes } = outcome.verdict;
    const text = recordsText({ name, ...counts, codes: codes as { [code: string]: number } });
    if (outcome.grownFromBytes === undefined) return text;
    return `${name} has grown: ${formatCount(outcome.added, "sample")} more. With them:\n${text}`;
  }
  const at = outcome.importedAtMs === null ? "" : ` on ${formatLocalTime(outcome.importedAtMs, clock)}`;
  return `${name}: was imported already${at} as "${outcome.name}"; nothing changed.`;
}

function refusal(
  name: string,
  verdict: Extract<Awaited<ReturnType<typeof importLog>>, { kind: "refused" }>["verdict"],
): CommandError {
  if (verdict.refused) {
    const { problem } = verdict;
    return new CommandError(1, `${problem.what} (${problem.code})`, [
      `Where: ${problem.where}`,
      problem.hint,
    ]);
  }
  const { rejected, conflicts, records } = verdict.counts;
  return new CommandError(
    1,
    `${name}: ${rejected + conflicts} of ${records} rows can't be taken, and --all-or-nothing refuses the log for that.`,
    verdict.rejects
      .filter(({ code }) => ERROR_CATALOGUE[code].severity === "rejected")
      .slice(0, 10)
      .map(
        ({ line, code, text }) =>
          `line ${line}: ${code} (${ERROR_CATALOGUE[code].title.toLowerCase()})${text === "" ? "" : ` "${text}"`}`,
      ),
  );
}
