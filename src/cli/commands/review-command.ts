import { clockOf } from "../../report/format";
import { type FileCounts, reviewJson } from "../../report/review-json";
import { reviewText } from "../../report/review-text";
import type { Site } from "../../site/parse-site";
import type { Command, CommandInput } from "../command";
import { CommandError } from "../command-error";
import { type LogFiles, logFiles } from "../log-file";
import { type MapLogResult, mapLog } from "../map-log";
import { printJson } from "../print-json";
import { progressLine } from "../progress-line";
import { readSiteFile } from "../read-site-file";
import { REPLACE_OPTIONS, replaceOption } from "../replace-option";
import { requiredText, requiredWords } from "../required";
import { reviewLogs } from "../review-logs";
import { writeOut } from "../write-out";

const USAGE = "legroom review LOG… --site site.json [--columns columns.json] [--strict] [--replace] [--json]";

/** `review`: the whole analysis of logs, no database, nothing kept. */
export const reviewCommand: Command = {
  name: "review",
  summary: "the whole analysis of one or more logs; no database, nothing kept",
  usage: USAGE,
  description: `A log is a CSV file, one packed by gzip, a zip archive of several, or a folder of any of these.
Reads the logs of one logger and prints what they show: coverage, near-limit intervals, transfers with
their causes, energy shares. Without --columns the columns are inferred, with part of a map the rest; with
--strict nothing is. --site is a site.json (ratings, time zone). --json prints one JSON object.
Of samples at the same instant that of the first log counts; with --replace each log takes the place of those
before it, as "legroom import" does.`,
  options: {
    site: { type: "string" },
    columns: { type: "string" },
    strict: { type: "boolean" },
    ...REPLACE_OPTIONS,
    json: { type: "boolean" },
  },
  async run(input) {
    const paths = requiredWords({ name: "review", usage: USAGE }, input, "a log");
    const { site } = await readSiteFile(requiredText({ name: "review", usage: USAGE }, input, "site"));
    const receivedAtMs = Date.now();
    const files = await logFiles(paths);
    try {
      return await reviewFiles(input, files, site, receivedAtMs);
    } finally {
      await files.close();
    }
  },
};

async function reviewFiles(
  input: CommandInput,
  { logs: found, leftOut }: LogFiles,
  site: Site,
  receivedAtMs: number,
): Promise<number> {
  for (const name of leftOut) process.stderr.write(`${name}: left out, it is no log by its name.\n`);
  const replace = replaceOption({ usage: USAGE }, input, clockOf(site.timezone));
  const logs: (MapLogResult & { replace: typeof replace })[] = [];
  for (const { source } of found) {
    const mapped = await mapLog(source, input.text("columns"), { strict: input.flag("strict") });
    logs.push({ ...mapped, replace });
  }
  const lines = new Map(logs.map((log) => [log, progressLine(log.source.name)]));
  const review = await reviewLogs(site, logs, {
    receivedAtMs,
    onProgress: (log, { bytes, rows }) =>
      lines.get(log as (typeof logs)[number])?.show({ bytes, rows, totalBytes: log.source.sizeBytes }),
  });
  for (const line of lines.values()) line.end();
  if (review.refused) {
    const { problem } = review.verdict;
    throw new CommandError(1, `${problem.what} (${problem.code})`, [`Where: ${problem.where}`, problem.hint]);
  }
  const counts: FileCounts[] = review.verdicts.map((verdict) => ({
    name: verdict.name,
    ...verdict.counts,
    codes: verdict.codes as { [code: string]: number },
  }));
  const clock = clockOf(site.timezone);
  const notes = [...logs.flatMap((log) => log.notes), ...review.notes];
  if (input.flag("json")) await printJson(reviewJson(review.result, site, counts, clock, notes));
  else await writeOut(reviewText(review.result, site, counts, clock, notes));
  return 0;
}
