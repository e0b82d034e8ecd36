import { z } from "zod";

/** What a backup says it is: its manifest's `format`. */
export const BACKUP_FORMAT = "legroom-backup";

/** Version of the layout; a backup of a later one is refused. */
export const BACKUP_VERSION = 1;

/** The manifest's name in the archive. It is the last entry, so that an archive without it was never finished. */
export const MANIFEST = "manifest.json";

/** The manifest is read whole: it has some 150 bytes a log. */
export const MAX_MANIFEST_BYTES = 256 << 20;

/**
 * Tables of which a backup holds the rows of a site, in the order in which they are written back. Of `reject` it is
 * those of withdrawn logs: those of the others come anew.
 */
export const BACKED_UP_TABLES = [
  "site",
  "logger",
  "log",
  "kept_map",
  "reject",
  "inbox",
  "person_note",
] as const;

export type BackedUpTable = (typeof BACKED_UP_TABLES)[number];

/** Tables that came later: a backup of a database with fewer migrations has no entry of theirs. */
const MIGRATIONS_BEFORE: Readonly<Partial<Record<BackedUpTable, number>>> = { inbox: 10, person_note: 11 };

/** The tables that a backup has entries of, by the number of migrations that its database had. */
export function tablesOf(schema: number): BackedUpTable[] {
  return BACKED_UP_TABLES.filter((table) => schema > (MIGRATIONS_BEFORE[table] ?? 0));
}

/**
 * Tables that a backup leaves out, and why. A test holds the two lists to the tables that there are.
 */
export const LEFT_OUT_TABLES: Readonly<Record<string, string>> = {
  log_chunk: "the logs' bytes are entries of their own",
  log_growth: "a short cut for logs that grow: without it a log is read from its beginning",
  log_further: "a short cut: what a log holds from further in is read from its bytes",
  sample: "made anew from the logs",
  rollup: "made anew from the samples",
  fault_word: "made anew from the logs",
  job: "work of the machine that the backup was made on",
  api_token: "what opens one installation must not open another: tokens are made anew there",
  quality_day: "made anew from the samples",
  day_result: "a result",
  hour_result: "a result",
  transfer: "a result",
  dropout: "a result",
  near_limit: "a result",
  imbalance_interval: "a result",
  continuous_load: "a result",
  open_neutral: "a result",
  interval_change: "a result",
  gap: "a result",
  result_note: "a result",
  site_result: "a result",
  kept_state: "where the pass over the samples stood",
};

const whole = z.int().min(0);

/** manifest.json of a backup. */
export const manifestSchema = z.strictObject({
  format: z.literal(BACKUP_FORMAT),
  version: z.literal(BACKUP_VERSION),
  createdAt: z.string(),
  /** Migrations that the database had. */
  schema: whole,
  sites: z.array(
    z.strictObject({
      siteId: z.int().min(1),
      name: z.string(),
      logs: z.array(z.strictObject({ logId: z.int().min(1), name: z.string(), sizeBytes: whole })),
    }),
  ),
  /** Every other entry of the archive. */
  entries: z.array(
    z.strictObject({ name: z.string(), bytes: whole, sha256: z.string().regex(/^[0-9a-f]{64}$/) }),
  ),
});

export type BackupManifest = z.infer<typeof manifestSchema>;

/** Name of the entry with a table's rows of a site, one JSON object a line. */
export function tableEntry(siteId: number, table: BackedUpTable): string {
  return `sites/${siteId}/${table}.jsonl`;
}

/** Name of the entry with a log's bytes, as the database keeps them. */
export function logEntry(siteId: number, logId: number): string {
  return `sites/${siteId}/logs/${logId}.csv.gz`;
}
