import { createHash } from "node:crypto";
import { createWriteStream } from "node:fs";
import { open, readdir, rename, rm } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import yazl from "yazl";
import { AppError } from "../app-error";
import { dieAt } from "../die-at";
import type { Database } from "../open-database";
import type { TransactionSql } from "../samples/copy-in";
import {
  BACKED_UP_TABLES,
  BACKUP_FORMAT,
  BACKUP_VERSION,
  type BackedUpTable,
  type BackupManifest,
  logEntry,
  MANIFEST,
  tableEntry,
} from "./backup-format";

/** What a backup came to. */
export type WrittenBackup = { sites: number; logs: number; bytes: number };

/**
 * Writes everything that was given to the program into one file: a zip archive with the sites' rows as lines of JSON,
 * the logs' bytes as they are kept, and a manifest with the SHA-256 of each entry. It is one moment of the database,
 * whatever goes on meanwhile, and memory stays the same however much there is. The file is there whole or not at all:
 * it is written under another name beside its own and renamed at the end.
 *
 * @throws AppError cancelled, server-unreachable; errors of the file system as they are: no file is left then
 */
export async function writeBackup(
  database: Database,
  path: string,
  { signal, onProgress }: { signal?: AbortSignal; onProgress?: (bytes: number) => void } = {},
): Promise<WrittenBackup> {
  await removeLeftOver(path);
  const partial = `${path}${PARTIAL}${process.pid}`;
  const zip = new yazl.ZipFile();
  const file = createWriteStream(partial, { flags: "wx", mode: 0o600 });
  // The error of an entry's stream is the one that counts, and it is told there.
  zip.on("error", () => undefined);
  const broken = new AbortController();
  const writing = pipeline(zip.outputStream as Readable, file);
  // Where the disk is full nothing is taken off the archive any more, and its entries would wait for ever.
  writing.catch((error) => broken.abort(error));
  try {
    const said = (await database.sql.begin("isolation level repeatable read read only", (tx) =>
      writeEntries(zip, tx as TransactionSql, { signal, broken: broken.signal, onProgress }),
    )) as { sites: number; logs: number };
    await writing;
    dieAt("backup");
    await flush(partial);
    await rename(partial, path);
    await flush(dirname(path) || ".");
    return { ...said, bytes: file.bytesWritten };
  } catch (error) {
    file.destroy();
    await rm(partial, { force: true });
    if (signal?.aborted) throw new AppError("cancelled", "Stopped: no backup was written.", { cause: error });
    throw error;
  }
}

const PARTIAL = ".partial-";

/** Removes what a backup to the same file left that was killed; that of a process that still runs is its own. */
async function removeLeftOver(path: string): Promise<void> {
  const start = `${basename(path)}${PARTIAL}`;
  for (const name of await readdir(dirname(path) || ".")) {
    const pid = name.startsWith(start) ? name.slice(start.length) : "";
    if (/^\d+$/.test(pid) && !runs(Number(pid))) await rm(join(dirname(path), name), { force: true });
  }
}

function runs(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "EPERM";
  }
}

async function flush(path: string): Promise<void> {
  const handle = await open(path, "r");
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

async function writeEntries(
  zip: yazl.ZipFile,
  tx: TransactionSql,
  {
    signal,
    broken,
    onProgress,
  }: { signal?: AbortSignal; broken: AbortSignal; onProgress?: (bytes: number) => void },
): Promise<{ sites: number; logs: number }> {
  const entries: BackupManifest["entries"] = [];
  let written = 0;

  /** Hands an entry to the archive and waits until all of it is taken. */
  const add = async (name: string, pieces: AsyncIterable<Buffer>, compress: boolean) => {
    const sha = createHash("sha256");
    let bytes = 0;
    async function* hashed() {
      for await (const piece of pieces) {
        signal?.throwIfAborted();
        sha.update(piece);
        bytes += piece.length;
        written += piece.length;
        onProgress?.(written);
        yield piece;
      }
    }
    const stream = Readable.from(hashed(), { objectMode: false });
    const stop = () => stream.destroy(broken.reason);
    broken.addEventListener("abort", stop);
    const done = new Promise<void>((resolve, reject) => {
      stream.once("end", resolve);
      stream.once("error", reject);
      if (broken.aborted) stop();
    });
    zip.addReadStream(stream, name, { compress, mtime: EPOCH, mode: 0o100600 });
    await done.finally(() => broken.removeEventListener("abort", stop));
    entries.push({ name, bytes, sha256: sha.digest("hex") });
  };

  const sites = await tx<{ siteId: number; name: string }[]>`
    select site_id as "siteId", name from site order by site_id`;
  const said: BackupManifest["sites"] = [];
  for (const { siteId, name } of sites) {
    for (const table of BACKED_UP_TABLES)
      await add(tableEntry(siteId, table), rowsOf(tx, siteId, table), true);
    const logs = await tx<{ logId: number; name: string; sizeBytes: number }[]>`
      select log_id as "logId", name, size_bytes as "sizeBytes" from log where site_id = ${siteId} order by log_id`;
    for (const { logId } of logs) await add(logEntry(siteId, logId), bytesOf(tx, siteId, logId), false);
    said.push({ siteId, name, logs: [...logs] });
  }
  const [{ migrations }] = await tx<{ migrations: number }[]>`
    select count(*)::int as migrations from drizzle.__drizzle_migrations`;
  const manifest: BackupManifest = {
    format: BACKUP_FORMAT,
    version: BACKUP_VERSION,
    createdAt: new Date().toISOString(),
    schema: migrations,
    sites: said,
    entries,
  };
  zip.addBuffer(Buffer.from(`${JSON.stringify(manifest, null, 1)}\n`), MANIFEST, {
    mtime: EPOCH,
    mode: 0o100600,
  });
  zip.end();
  return { sites: said.length, logs: said.reduce((sum, { logs }) => sum + logs.length, 0) };
}

/** The oldest time that an archive can say: the entries' times mean nothing. */
const EPOCH = new Date(1980, 0, 1);

/** Rows that are fetched at a time. */
const ROWS = 500;

/** The columns by which the rows of a table are put in order; each is unique within a site. */
const ORDER: Readonly<Record<BackedUpTable, string>> = {
  site: "site_id",
  logger: "logger_id",
  log: "log_id",
  kept_map: "logger_id, shape_hash",
  reject: "log_id, ordinal",
  inbox: "site_id",
  person_note: "note_id",
};

/** Rows as PostgreSQL writes them, so that no number is made another one on the way. */
async function* rowsOf(tx: TransactionSql, siteId: number, table: BackedUpTable): AsyncGenerator<Buffer> {
  const only =
    table === "reject"
      ? " and log_id in (select log_id from log where log.site_id = r.site_id and state = 'withdrawn')"
      : "";
  for (let from = 0; ; from += ROWS) {
    const rows = await tx.unsafe<{ row: string }[]>(
      `select to_json(r)::text as row from ${table} r where site_id = ${siteId}${only}
       order by ${ORDER[table]} limit ${ROWS} offset ${from}`,
    );
    if (rows.length > 0) yield Buffer.from(rows.map(({ row }) => `${row}\n`).join(""));
    if (rows.length < ROWS) return;
  }
}

async function* bytesOf(tx: TransactionSql, siteId: number, logId: number): AsyncGenerator<Buffer> {
  for (let seq = 0; ; seq++) {
    const [row] = await tx<{ bytes: Buffer }[]>`
      select bytes from log_chunk where site_id = ${siteId} and log_id = ${logId} and seq = ${seq}`;
    if (row === undefined) return;
    yield row.bytes;
  }
}
