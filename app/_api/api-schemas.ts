import { z } from "zod";
import { HTTP_STATUS } from "../../db/app-error";
import { LOG_STATES } from "../../db/schema/log";
import { MAX_LOG_NAME, PAGE_LOGS } from "./api-limits";

/*
 * What the HTTP API takes and gives, each with the name under which the OpenAPI document has it. Further keys may come
 * with later versions: a client ignores what it doesn't know.
 */

const instant = () => z.iso.datetime({ offset: true });
const count = () => z.int().min(0);
const code = z.enum(["defect", ...(Object.keys(HTTP_STATUS) as (keyof typeof HTTP_STATUS)[])]);

/** How a choice that the log leaves open is asked. */
const Question = z
  .object({
    choice: z.string().describe('What is to be settled: "time.format", "channels.batteryA.positive" …'),
    why: z.string(),
    options: z.array(z.string()).describe("Values that it can have; empty where any column could be meant."),
  })
  .describe("A choice that the log doesn't settle.");

const Reject = z
  .object({
    line: z.int().nullable().describe("Physical line, from 1."),
    column: z.int().nullable().describe("Column, from 1; null where the whole row is meant."),
    columnName: z.string().nullable(),
    code: z.string(),
    title: z.string(),
    text: z.string().describe("The first 200 characters of what stood there."),
    rule: z.enum(["guessed", "given"]).describe("Whether the rule that it broke was inferred or stated."),
  })
  .describe("A row or cell that could not be taken.");

const RecordCounts = z
  .object({
    records: count(),
    taken: count(),
    duplicates: count(),
    conflicts: count(),
    rejected: count(),
    skipped: count(),
  })
  .describe("What became of a log's records: the five add up to `records`.");

const Progress = z
  .object({
    bytes: z.number(),
    totalBytes: z.number(),
    rows: z.number(),
    rowsPerS: z.number(),
    leftS: z.number().nullable(),
  })
  .describe("How far a job is.");

const Job = z
  .object({
    jobId: z.int(),
    action: z.string().describe("import, withdraw, restore, remap …"),
    state: z.enum(["waiting", "running", "done", "failed", "cancelled"]),
    progress: Progress.nullable(),
    error: z.object({ code: z.string(), message: z.string() }).nullable(),
  })
  .describe("What is or was done with a log by the worker.");

const Log = z
  .object({
    logId: z.int(),
    name: z.string(),
    logger: z.string(),
    state: z.enum(LOG_STATES).describe("received: kept, not imported so far."),
    receivedAt: instant(),
    importedAt: instant().nullable(),
    from: instant().nullable().describe("Its first sample."),
    to: instant().nullable().describe("Its last sample."),
    sizeBytes: count(),
    sha256: z.string().regex(/^[0-9a-f]{64}$/),
    counts: RecordCounts.nullable().describe("Null before it was read."),
    codes: z.record(z.string(), count()).nullable().describe("How often what was found wrong, by code."),
    problem: z
      .object({
        code: z.string(),
        what: z.string().optional(),
        where: z.string().optional(),
        hint: z.string().optional(),
      })
      .nullable()
      .describe("Why nothing of it was taken."),
    screen: z.string().describe("Address of the screen of the log, for a person."),
  })
  .describe("A log: a CSV file of samples, kept as it came.");

const LogState = Log.extend({
  columnMap: z.record(z.string(), z.unknown()).nullable().describe("The columns.json that it was read by."),
  job: Job.nullable().describe("The latest job of it."),
}).describe("A log with how it was read, and what is being done with it.");

const ArchiveEntry = z
  .object({
    name: z.string(),
    logId: z.int().nullable().describe("Null where nothing of it is kept."),
    state: z
      .enum(["waiting", "already-there", "unsettled", "unreadable"])
      .describe(
        "waiting: received, its import in line. already-there: the logger had it. unsettled: kept, and a person has to settle how it is read. unreadable: nothing of it can be taken or was kept.",
      ),
    questions: z.array(Question).optional().describe("Of `unsettled`."),
    screen: z.string().optional().describe("Of `unsettled`: address of the screen where it is settled."),
    problem: z
      .object({ code: z.string(), what: z.string(), where: z.string(), hint: z.string() })
      .optional()
      .describe("Of `unreadable`."),
  })
  .describe("What became of a log in an archive.");

const ReceivedLog = z
  .object({
    log: LogState,
    alreadyThere: z.boolean().describe("The logger had a log of the same content: nothing was changed."),
    rejects: z.array(Reject).describe("The first ten; all of them: …/rejects."),
    entries: z.array(ArchiveEntry).optional().describe("Of a zip archive: each log in it, by name."),
    leftOut: z
      .array(z.string())
      .optional()
      .describe("Of a zip archive: files in it that are no logs by their names."),
  })
  .describe(
    "What became of a log that was sent; of a zip archive `log` is the first one of it that was taken.",
  );

const LogPage = z
  .object({
    logs: z.array(Log),
    next: z.string().nullable().describe("Address of the next page; null on the last one."),
  })
  .describe("A page of logs, the latest first.");

const Site = z
  .object({
    slug: z.string().describe("The site's name in addresses."),
    name: z.string(),
    timezone: z.string(),
    from: instant().nullable().describe("Its first sample."),
    lastSampleAt: instant().nullable(),
    months: z.array(z.string()).describe("Local months with results, yyyy-MM."),
    transfersThisMonth: count().describe("In the latest month with samples."),
    transfersMonthBefore: count(),
    peakLoading: z.number().nullable(),
    coverage: z.number().nullable(),
    samplesRevision: count().describe("Counts every change that can change a result."),
    resultsRevision: count()
      .nullable()
      .describe("The revision that the results stand on; null before the first."),
  })
  .describe("A site.");

const SiteList = z.object({ sites: z.array(Site) }).describe("The sites that the token is good for.");

const shares = z.record(z.string(), z.number().nullable());
const found = z.looseObject({});

const Review = z
  .looseObject({
    version: z.literal(1),
    site: z.string(),
    revision: count()
      .nullable()
      .describe("The revision of the samples that this stands on, or an earlier one."),
    samplesRevision: count().describe(
      "The one that stands now: where it is greater, newer results are on their way.",
    ),
    period: z
      .object({
        from: instant().nullable(),
        to: instant().nullable(),
        firstDay: z.string(),
        lastDay: z.string(),
      })
      .optional()
      .describe(
        "Where one was asked for: transfers, dropouts and intervals are those that begin in it (from ≤ t < to), and what is summed or averaged is that of the local days `firstDay` to `lastDay`, which it touches and which have samples.",
      ),
    settings: z.record(z.string(), z.number()),
    notes: z.array(z.looseObject({ code: z.string(), message: z.string() })),
    coverage: z.object({
      from: instant().nullable(),
      to: instant().nullable(),
      samples: count(),
      nominalS: z.number().nullable(),
      heldS: z.number(),
      ratio: z.number().nullable(),
      gaps: z.array(z.object({ from: instant(), to: instant() })),
    }),
    nearLimit: z.array(z.looseObject({ quantity: z.string(), from: instant(), to: instant() })),
    transfers: z.array(
      z.looseObject({ at: instant(), to: z.string(), cause: z.string(), certainty: z.string() }),
    ),
    dropouts: z.array(z.looseObject({ at: instant(), cause: z.string() })),
    returnDelay: found.nullable(),
    imbalance: found.nullable(),
    shares: z.object({ total: shares, days: z.array(z.looseObject({ date: z.string() })) }),
    demand: found.nullable(),
    loadDuration: found.nullable(),
    voltage: found.nullable(),
    longestRunHeld: found.nullable(),
    battery: found.nullable(),
    continuousLoad: z.array(found),
    findings: z.array(z.looseObject({ code: z.string(), message: z.string() })),
  })
  .describe(
    "What the analysis found, with the keys of `review --json`; what a version can't compute is null.",
  );

const Problem = z
  .looseObject({
    type: z.string().describe("Address of the kind of problem, relative to this server; it can be opened."),
    title: z.string(),
    status: z.int(),
    detail: z.string(),
    instance: z.string(),
    code: code.describe("The kind in one word that a program can branch on."),
    where: z.string().optional(),
    hint: z.string().optional().describe("How to mend it."),
    retryAfterS: z.int().optional().describe("As the header Retry-After."),
    questions: z.array(Question).optional().describe("Of `unsettled`: what a person has to settle."),
    screen: z.string().optional().describe("Of `unsettled`: address of the screen where it is settled."),
    logId: z.int().optional().describe("The log that was kept as it came."),
    entries: z
      .array(ArchiveEntry)
      .optional()
      .describe("Of a zip archive with several logs of which none is imported: each of them."),
  })
  .describe("A problem in the form of RFC 9457.");

/** Schemas of the API by their names in its OpenAPI document. */
export const API_SCHEMAS = {
  Question,
  Reject,
  RecordCounts,
  Progress,
  Job,
  Log,
  LogState,
  ArchiveEntry,
  ReceivedLog,
  LogPage,
  Site,
  SiteList,
  Review,
  Problem,
} as const;

export type ApiSchemaName = keyof typeof API_SCHEMAS;

/** What goes out under a schema's name. */
export type ApiJson<Name extends ApiSchemaName> = z.input<(typeof API_SCHEMAS)[Name]>;

const moment = z
  .string()
  .regex(
    /^\d{4}-\d\d-\d\d(T\d\d:\d\d(:\d\d(\.\d{1,3})?)?(Z|[+-]\d\d:\d\d))?$/,
    "Give a local date such as 2026-05-01, or an instant such as 2026-05-01T06:00:00Z; in a query a plus sign is written as %2B",
  );

/** Parameters in the query, by operation. */
export const API_QUERIES = {
  readReview: z.object({
    from: moment
      .optional()
      .describe(
        "Beginning of the period: a local date (yyyy-MM-dd, from its beginning), or an instant with offset or Z. In a query a plus sign is written as %2B.",
      ),
    to: moment
      .optional()
      .describe(
        "End of the period, itself no part of it: a local date (up to its beginning), or an instant.",
      ),
  }),
  listLogs: z.object({
    limit: z.coerce
      .number()
      .int()
      .min(1)
      .max(PAGE_LOGS.most)
      .default(PAGE_LOGS.usual)
      .describe("Logs of the page."),
    before: z.coerce
      .number()
      .int()
      .min(1)
      .max(2 ** 31 - 1)
      .optional()
      .describe("Only logs with a smaller number: `next` of the page before has it."),
  }),
  sendLog: z.object({
    logger: z
      .string()
      .min(1)
      .max(100)
      .optional()
      .describe("The site's logger that it is of; the first one without it."),
    name: z
      .string()
      .trim()
      .min(1)
      .max(MAX_LOG_NAME)
      .optional()
      .describe("What lists call it; the time at which it came without it."),
  }),
} as const;
