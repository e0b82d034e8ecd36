import { type Note, noteOf } from "../analysis/note";
import type { ReviewResult } from "../analysis/results";
import { createReview, type Review } from "../analysis/review";
import { type FaultWord, NUMERIC_CHANNELS } from "../analysis/series";
import { foldNominalMs } from "../ingest/fold-nominal";
import type { LogSource } from "../ingest/log-source";
import type { LogNote, LogVerdict } from "../ingest/log-verdict";
import { type FirstStamps, type LogProgress, readLog } from "../ingest/read-log";
import type { SampleSink } from "../ingest/sample-sink";
import type { ColumnMap } from "../site/column-map";
import type { Site } from "../site/parse-site";
import { createFold, type ReplacedPeriod } from "./fold-logs";

/** A log and how it is read. */
export type MappedLog = {
  source: LogSource;
  map: ColumnMap;
  guessed: ReadonlySet<string>;
  /** The period in which samples of the logs before it don't count; nothing is replaced without it. */
  replace?: ReplacedPeriod | null;
};

/** What became of all logs, and what the analysis made of them. */
export type LogsReview =
  | { refused: true; verdict: Extract<LogVerdict, { refused: true }> }
  | {
      refused: false;
      result: ReviewResult;
      verdicts: Extract<LogVerdict, { refused: false }>[];
      notes: Note[];
    };

/**
 * Reads logs of one logger, one after the other, through the analysis, and keeps nothing. A single log
 * streams with constant memory; several are folded first, since they may overlap: the sample that came
 * first stands, an equal one is a duplicate, another a conflict. A log that replaces a period takes out of it what the
 * logs before it have there.
 */
export async function reviewLogs(
  site: Site,
  logs: readonly MappedLog[],
  options: { receivedAtMs: number; onProgress?: (log: MappedLog, progress: LogProgress) => void },
): Promise<LogsReview> {
  let first = await readAll(site, logs, options, null, null);
  // Definitions D1: times of logs that stamp the end are moved by the interval of the whole fold, which is known now.
  if (!first.refused && first.movedOtherwise)
    first = await readAll(site, logs, options, null, first.nominalMs);
  if (first.refused || first.lateFirstSocPct === null) return first;
  // Definitions D10: the battery's stock begins at the first known SOC, which came late in this log.
  return readAll(site, logs, options, first.lateFirstSocPct, first.nominalMs);
}

/** What a reading of all logs came to, and what the next one has to know. */
type Reading = LogsReview & {
  lateFirstSocPct: number | null;
  /** Of the stamps of all logs. */
  nominalMs: number | null;
  /** Whether times of a log were moved by anything else. */
  movedOtherwise: boolean;
};

async function readAll(
  site: Site,
  logs: readonly MappedLog[],
  options: Parameters<typeof reviewLogs>[2],
  firstSocPct: number | null,
  nominalMs: number | null,
): Promise<Reading> {
  const channels = NUMERIC_CHANNELS.filter((channel) => logs.some(({ map }) => channel in map.channels));
  const hasSource = logs.some(({ map }) => map.channels.source !== undefined);
  const hasFault = logs.some(({ map }) => map.channels.faultCode !== undefined);
  const start = () =>
    createReview({
      zone: site.timezone,
      ratings: site.ratings,
      settings: site.settings,
      channels,
      hasSource,
      hasFault,
      firstSocPct,
    });
  const verdicts: Extract<LogVerdict, { refused: false }>[] = [];
  const notes: Note[] = [];
  const stamps: FirstStamps[] = [];
  const read = async (log: MappedLog, sink: SampleSink) => {
    const index = verdicts.length;
    const verdict = await readLog(
      log.source,
      log.map,
      {
        siteZone: site.timezone,
        receivedAtMs: options.receivedAtMs,
        guessed: log.guessed,
        // Definitions D1: the nominal interval is the logger's, not the file's.
        nominalMs: nominalMs ?? foldNominalMs(stamps.map(({ stampsMs }) => stampsMs)),
        onFirstStamps: (told) => {
          stamps[index] = told;
        },
        onProgress: (progress) => options.onProgress?.(log, progress),
      },
      sink,
    );
    if (!verdict.refused) {
      verdicts.push(verdict);
      notes.push(...verdict.notes.map((note) => noteOnLog(note, log.source.name)));
    }
    return verdict;
  };

  const done = (running: Review, faultWords: readonly FaultWord[]): Reading => {
    const { result, lateFirstSocPct } = running.finish(faultWords);
    const foldMs = foldNominalMs(stamps.map(({ stampsMs }) => stampsMs));
    const movedOtherwise = stamps.some(
      ({ shiftMs }, index) => logs[index].map.time.stamps === "end" && shiftMs !== Math.round(foldMs ?? 0),
    );
    return { refused: false, result, verdicts, notes, lateFirstSocPct, nominalMs: foldMs, movedOtherwise };
  };
  const refused = (verdict: Extract<LogVerdict, { refused: true }>): Reading => ({
    refused: true,
    verdict,
    lateFirstSocPct: null,
    nominalMs: null,
    movedOtherwise: false,
  });

  // Logs that follow one another stream with constant memory. Fault words are numbered by log: where more
  // than one has any, they are folded, so that a code that goes on from log to log stays one code.
  // A period of replacement that was given can reach into logs that don't overlap.
  const reaches = logs
    .slice(1)
    .some(({ replace }) => replace != null && (replace.fromMs ?? replace.toMs) !== null);
  const faultLogs = logs.filter(({ map }) => map.channels.faultCode !== undefined).length;
  if (faultLogs <= 1 && !reaches) {
    const stream = createStream(start);
    let overlap = false;
    for (const log of logs) {
      const verdict = await read(log, stream.sink());
      if (verdict.refused) return refused(verdict);
      if (stream.overlap()) {
        overlap = true;
        break;
      }
    }
    if (!overlap) {
      return done(stream.review(), stream.faultWords());
    }
    verdicts.length = 0;
    notes.length = 0;
    stamps.length = 0;
  }

  const fold = createFold(channels, hasSource, hasFault);
  for (const log of logs) {
    const verdict = await read(log, fold.sink(log.replace ?? null));
    if (verdict.refused) return refused(verdict);
  }
  const running = start();
  for (const series of fold.series()) running.push(series);
  return done(running, fold.faultWords());
}

/** A note on a log with the log's name in it. */
function noteOnLog(note: LogNote, log: string): Note {
  switch (note.code) {
    case "series.sorted":
      return noteOf(note.code, { log, ...note.figures });
    case "series.counter-coarse":
      return noteOf(note.code, { log, ...note.figures });
    case "solar-below-zero":
      return noteOf(note.code, { log, ...note.figures });
  }
}

/** Sinks that analyse at once what they are handed, as long as log follows log in time. */
function createStream(start: () => Review): {
  sink(): SampleSink;
  review(): Review;
  faultWords(): readonly FaultWord[];
  overlap(): boolean;
} {
  let running = start();
  let words: readonly FaultWord[] = [];
  let lastMs = Number.NEGATIVE_INFINITY;
  let overlap = false;
  let logs = 0;
  return {
    sink: () => {
      logs++;
      return {
        begin: async () => {},
        batch: async (batch) => {
          if (overlap) return;
          if (batch.timesMs[0] <= lastMs) {
            overlap = true;
            return;
          }
          lastMs = batch.timesMs[batch.timesMs.length - 1];
          running.push(batch);
        },
        restart: async () => {
          // What the logs before gave is in the review already: only the first log can begin anew.
          if (logs > 1) overlap = true;
          running = start();
          lastMs = Number.NEGATIVE_INFINITY;
        },
        end: async (faultWords) => {
          if (faultWords.length > 0) words = faultWords;
          return { duplicates: 0, conflicts: 0, conflictLines: [] };
        },
      };
    },
    review: () => running,
    faultWords: () => words,
    overlap: () => overlap,
  };
}
