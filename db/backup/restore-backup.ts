import { Readable } from "node:stream";
import { createGunzip } from "node:zlib";
import type { LogSource } from "../../src/ingest/log-source";
import { AppError } from "../app-error";
import { dieAt } from "../die-at";
import type { Database } from "../open-database";
import { openCopyIn, type TransactionSql } from "../samples/copy-in";
import { encodeChunk } from "../samples/encode-chunk";
import { gatherPieces } from "../samples/keep-log";
import { toAppError } from "../to-app-error";
import { transactionOrm } from "../transaction-orm";
import { siteSlug } from "../writes/add-site";
import { enqueueRecompute } from "../writes/enqueue-recompute";
import { lockSite } from "../writes/lock-site";
import { markChanged } from "../writes/mark-changed";
import { refold } from "../writes/refold";
import { type BackedUpTable, logEntry, tableEntry, tablesOf } from "./backup-format";
import type { OpenBackup } from "./open-backup";

/** What a restoration came to: the sites as they are called now. */
export type Restored = { sites: { siteId: number; name: string; wasName: string; logs: number }[] };

/** How a backup is restored. */
export type RestoreOptions = {
  /** True: beside the sites that there are; a site whose name is taken gets a new one. */
  intoNewNames?: boolean;
  signal?: AbortSignal;
  /** Bytes of the logs that were read, of all of them. */
  onProgress?: (done: { bytes: number; totalBytes: number; log: string }) => void;
};

/**
 * Writes what a backup holds into the database: sites, loggers, logs with their bytes, maps and places in the fold.
 * The samples and minutes are made anew from the logs, as one import after the other would make them, in the same
 * transaction, so that all of it is there or nothing; a recompute of each site is put in line with it. The backup has
 * to have been verified.
 *
 * @throws AppError conflict where the database has sites already and `intoNewNames` isn't said, bad-input for a backup
 * of a newer program or one whose rows don't fit, cancelled, disk-full, server-unreachable: nothing is restored then
 */
export async function restoreBackup(
  database: Database,
  backup: OpenBackup,
  { intoNewNames = false, signal, onProgress }: RestoreOptions = {},
): Promise<Restored> {
  try {
    return (await database.sql.begin(async (tx) => {
      await requireRoom(tx, backup, intoNewNames);
      const restored: Restored = { sites: [] };
      const totalBytes = backup.manifest.sites
        .flatMap(({ logs }) => logs)
        .reduce((sum, one) => sum + one.sizeBytes, 0);
      let doneBytes = 0;
      for (const { siteId: wasId, name: wasName, logs } of backup.manifest.sites) {
        const { siteId, name, timezone } = await insertSite(tx, backup, wasId, intoNewNames);
        await lockSite(tx, siteId, signal);
        const tables = tablesOf(backup.manifest.schema);
        for (const table of ["logger", "log", "kept_map", "reject", "person_note"] as const) {
          if (!tables.includes(table)) continue;
          await insertRows(tx, backup, wasId, table, { site_id: `${siteId}` });
        }
        // A folder that two sites took files from would give each file to one of them, whichever comes first.
        if (!intoNewNames && tables.includes("inbox"))
          await insertRows(tx, backup, wasId, "inbox", { site_id: `${siteId}` });
        for (const { logId } of logs) await insertBytes(tx, backup, wasId, siteId, logId, signal);
        const sizes = new Map(logs.map((log) => [log.logId, log]));
        const loggers = await tx<{ loggerId: number }[]>`
          select logger_id as "loggerId" from logger where site_id = ${siteId} order by logger_id`;
        for (const { loggerId } of loggers) {
          await refold(database, tx, {
            siteId,
            loggerId,
            siteZone: timezone,
            rebuilt: true,
            sourceOf: (logId) => backupLog(backup, wasId, logId, sizes.get(logId)),
            signal,
            onProgress: ({ bytes }) => onProgress?.({ bytes: doneBytes + bytes, totalBytes, log: wasName }),
          });
        }
        doneBytes += logs.reduce((sum, one) => sum + one.sizeBytes, 0);
        await markChanged(tx, siteId, null, null);
        await enqueueRecompute(transactionOrm(tx), siteId);
        restored.sites.push({ siteId, name, wasName, logs: logs.length });
      }
      for (const [table, column] of IDENTITIES) {
        await tx.unsafe(
          `select setval(pg_get_serial_sequence('${table}', '${column}'),
             greatest((select max(${column}) from ${table}), nextval(pg_get_serial_sequence('${table}', '${column}'))))`,
        );
      }
      signal?.throwIfAborted();
      dieAt("before-commit");
      return restored;
    })) as Restored;
  } catch (error) {
    if (signal?.aborted) throw new AppError("cancelled", "Stopped: nothing was restored.", { cause: error });
    throw toAppError(error);
  }
}

const IDENTITIES = [
  ["site", "site_id"],
  ["logger", "logger_id"],
  ["log", "log_id"],
  ["person_note", "note_id"],
] as const;

async function requireRoom(tx: TransactionSql, backup: OpenBackup, intoNewNames: boolean): Promise<void> {
  const [{ sites, migrations }] = await tx<{ sites: number; migrations: number }[]>`
    select (select count(*)::int from site) as sites,
      (select count(*)::int from drizzle.__drizzle_migrations) as migrations`;
  if (backup.manifest.schema > migrations) {
    throw new AppError(
      "bad-input",
      "The backup was written by a newer release of the program than this one. Update the program, then restore it.",
    );
  }
  if (sites > 0 && !intoNewNames) {
    throw new AppError(
      "conflict",
      `This database has ${sites === 1 ? "a site" : `${sites} sites`} already, and nothing was restored. ` +
        "Restore into an empty one, or beside what is there with --into-new-names.",
    );
  }
}

async function insertSite(
  tx: TransactionSql,
  backup: OpenBackup,
  wasId: number,
  intoNewNames: boolean,
): Promise<{ siteId: number; name: string; timezone: string }> {
  const taken = await tx<{ siteId: number; name: string; slug: string }[]>`
    select site_id as "siteId", name, slug from site`;
  const [line] = await linesOf(backup, tableEntry(wasId, "site"));
  const was = JSON.parse(line ?? "{}") as { name?: unknown };
  if (typeof was.name !== "string") throw unfit("site", "a site without a name");
  let name = was.name;
  for (let n = 1; taken.some((one) => one.name === name || one.slug === siteSlug(name)); n++) {
    if (!intoNewNames) throw unfit("site", `two sites named "${name}"`);
    const ending = n === 1 ? " (restored)" : ` (restored ${n})`;
    name = `${was.name.slice(0, MAX_NAME - ending.length)}${ending}`;
  }
  // Beside others the id may be taken; in an empty database it stays, and addresses and numbers with it.
  const isFree = taken.every((one) => one.siteId !== wasId);
  const [{ siteId }] = isFree
    ? [{ siteId: wasId }]
    : await tx<{ siteId: number }[]>`
        select greatest(nextval(pg_get_serial_sequence('site', 'site_id')), (select max(site_id) + 1 from site))::int as "siteId"`;
  await insertRows(tx, backup, wasId, "site", {
    site_id: `${siteId}`,
    ...(name === was.name
      ? {}
      : {
          name: quoted(name),
          slug: quoted(siteSlug(name)),
          config: `jsonb_set(r.config, '{name}', to_jsonb(${quoted(name)}::text))`,
        }),
    results_revision: "null",
    results_computed_at_ms: "null",
    changed_from_ms: "null",
    changed_to_ms: "null",
  });
  const [{ timezone }] = await tx<
    { timezone: string }[]
  >`select timezone from site where site_id = ${siteId}`;
  return { siteId, name, timezone };
}

/** As in site.json. */
const MAX_NAME = 120;

/** What the samples that are to come will say of a logger. */
const LEFT_TO_REFOLD = new Set([
  "nominal_ms",
  "channels",
  "has_source",
  "has_fault",
  "has_segments",
  "first_ms",
  "last_ms",
  "samples",
]);

/** Rows an insert. */
const ROWS = 500;

/**
 * Inserts the rows of one table as they were, by the columns that they have: a column that the table got since keeps
 * its default.
 *
 * @param instead SQL that stands in place of a column's value
 */
async function insertRows(
  tx: TransactionSql,
  backup: OpenBackup,
  wasId: number,
  table: BackedUpTable,
  instead: Readonly<Record<string, string>>,
): Promise<void> {
  const lines = await linesOf(backup, tableEntry(wasId, table));
  if (lines.length === 0) return;
  const has = new Set(Object.keys(JSON.parse(lines[0]) as object));
  const known = await tx<{ name: string }[]>`
    select attname as name from pg_attribute
    where attrelid = ${table}::text::regclass and attnum > 0 and not attisdropped order by attnum`;
  const columns = known
    .map(({ name }) => name)
    .filter((name) => has.has(name) && !(table === "logger" && LEFT_TO_REFOLD.has(name)));
  const strange = [...has].find((name) => known.every((one) => one.name !== name));
  if (strange !== undefined) throw unfit(table, `a column "${strange}" that this program doesn't know`);
  const values = columns.map((column) => instead[column] ?? `r.${quotedName(column)}`);
  for (let from = 0; from < lines.length; from += ROWS) {
    await tx.unsafe(
      `insert into ${table} (${columns.map(quotedName).join(", ")}) overriding system value
       select ${values.join(", ")} from json_populate_recordset(null::${table}, $1::text::json) r`,
      [`[${lines.slice(from, from + ROWS).join(",")}]`],
    );
  }
}

function quoted(text: string): string {
  return `'${text.replaceAll("'", "''")}'`;
}

function quotedName(name: string): string {
  return `"${name.replaceAll('"', '""')}"`;
}

function unfit(table: string, what: string): AppError {
  return new AppError(
    "bad-input",
    `The backup can't be restored: among its rows of "${table}" is ${what}. Nothing was restored.`,
  );
}

async function linesOf(backup: OpenBackup, name: string): Promise<string[]> {
  const pieces: Buffer[] = [];
  for await (const piece of backup.read(name)) pieces.push(piece);
  return Buffer.concat(pieces)
    .toString("utf8")
    .split("\n")
    .filter((line) => line !== "");
}

async function insertBytes(
  tx: TransactionSql,
  backup: OpenBackup,
  wasId: number,
  siteId: number,
  logId: number,
  signal: AbortSignal | undefined,
): Promise<void> {
  const copy = await openCopyIn(
    tx,
    "copy log_chunk (site_id, log_id, seq, bytes) from stdin with (format binary)",
  );
  try {
    const waiting: Buffer[] = [];
    const pieces = gatherPieces((piece) => waiting.push(piece));
    let seq = 0;
    const store = async () => {
      for (let piece = waiting.shift(); piece !== undefined; piece = waiting.shift()) {
        await copy.write(encodeChunk(siteId, logId, seq++, piece));
      }
    };
    for await (const piece of backup.read(logEntry(wasId, logId))) {
      signal?.throwIfAborted();
      pieces.add(piece);
      await store();
    }
    pieces.end();
    await store();
    await copy.end();
  } catch (error) {
    copy.abort();
    throw error;
  }
}

/** A log read from the backup itself: what the transaction has stored no other connection can see. */
function backupLog(
  backup: OpenBackup,
  siteId: number,
  logId: number,
  log: { name: string; sizeBytes: number } | undefined,
): LogSource | null {
  if (log === undefined) return null;
  return {
    name: log.name,
    sizeBytes: log.sizeBytes,
    open: () => {
      const packed = Readable.from(backup.read(logEntry(siteId, logId)));
      const gunzip = createGunzip({ chunkSize: 256 * 1024 });
      packed.on("error", (error) => gunzip.destroy(error));
      gunzip.on("close", () => packed.destroy());
      return packed.pipe(gunzip);
    },
  };
}
