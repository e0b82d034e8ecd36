import { createHash } from "node:crypto";
import type { Readable } from "node:stream";
import { crc32 } from "node:zlib";
import yauzl, { type Entry, type ZipFile } from "yauzl";
import { AppError } from "../app-error";
import {
  BACKUP_FORMAT,
  BACKUP_VERSION,
  type BackupManifest,
  logEntry,
  MANIFEST,
  MAX_MANIFEST_BYTES,
  manifestSchema,
  tableEntry,
  tablesOf,
} from "./backup-format";

/** A backup whose manifest has been read. */
export type OpenBackup = {
  manifest: BackupManifest;
  /** The bytes of one entry, any number of times. */
  read(name: string): AsyncIterable<Buffer>;
  /**
   * Reads all of it once and holds every entry to the manifest.
   *
   * @throws AppError bad-input that names what is damaged, missing or beside it
   */
  verify(options?: { signal?: AbortSignal; onProgress?: (bytes: number) => void }): Promise<void>;
  close(): void;
};

/**
 * Opens a backup, from anywhere in it.
 *
 * @throws AppError bad-input for a file that is no backup, one that was cut off, one of a later version; errors of the
 * file system as they are
 */
export async function openBackup(path: string): Promise<OpenBackup> {
  const zip = await openArchive(path);
  try {
    const found = await entriesOf(zip, path);
    const listed = found.get(MANIFEST);
    if (listed === undefined) throw foreign(path, `it is an archive without a ${MANIFEST}`);
    if (listed.uncompressedSize > MAX_MANIFEST_BYTES) throw foreign(path, `its ${MANIFEST} is too large`);
    const manifest = manifestOf(path, await whole(zip, listed, path));
    const entryNamed = (name: string): Entry => {
      const entry = found.get(name);
      if (entry === undefined) throw damaged(path, `"${name}" is missing in it`);
      return entry;
    };
    return {
      manifest,
      read: (name) => bytesOf(zip, entryNamed(name), path),
      async verify({ signal, onProgress } = {}) {
        verifyNames(path, manifest, [...found.keys()]);
        let done = 0;
        for (const { name, bytes, sha256 } of manifest.entries) {
          const sha = createHash("sha256");
          let size = 0;
          for await (const piece of bytesOf(zip, entryNamed(name), path)) {
            signal?.throwIfAborted();
            sha.update(piece);
            size += piece.length;
            done += piece.length;
            onProgress?.(done);
            if (size > bytes) break;
          }
          if (size !== bytes || sha.digest("hex") !== sha256)
            throw damaged(path, `"${name}" is not what was written`);
        }
      },
      close: () => zip.close(),
    };
  } catch (error) {
    zip.close();
    throw error;
  }
}

function openArchive(path: string): Promise<ZipFile> {
  return new Promise((resolve, reject) =>
    yauzl.open(path, { autoClose: false, lazyEntries: true, validateEntrySizes: true }, (error, zip) => {
      if (!error) return resolve(zip);
      // An error of the file system has a code; one of the archive's form has none.
      if ((error as NodeJS.ErrnoException).code !== undefined) return reject(error);
      reject(
        foreign(path, "it is no archive that is whole: it was cut off, or it is another kind of file", error),
      );
    }),
  );
}

function entriesOf(zip: ZipFile, path: string): Promise<Map<string, Entry>> {
  return new Promise((resolve, reject) => {
    const entries = new Map<string, Entry>();
    zip.on("error", (error: Error) => reject(damaged(path, "its directory can't be read", error)));
    zip.on("end", () => resolve(entries));
    zip.on("entry", (entry: Entry) => {
      if (entries.has(entry.fileName)) return reject(damaged(path, `"${entry.fileName}" is in it twice`));
      entries.set(entry.fileName, entry);
      zip.readEntry();
    });
    zip.readEntry();
  });
}

function manifestOf(path: string, bytes: Buffer): BackupManifest {
  let json: unknown;
  try {
    json = JSON.parse(bytes.toString("utf8"));
  } catch (error) {
    throw foreign(path, `its ${MANIFEST} is no JSON`, error);
  }
  const { format, version } = (json ?? {}) as { format?: unknown; version?: unknown };
  if (format !== BACKUP_FORMAT) throw foreign(path, `its ${MANIFEST} doesn't say "${BACKUP_FORMAT}"`);
  if (typeof version === "number" && version > BACKUP_VERSION) {
    throw new AppError(
      "bad-input",
      `${path} is a backup of version ${version}; this program reads version ${BACKUP_VERSION}. Restore it with the release that wrote it, or a later one.`,
    );
  }
  const parsed = manifestSchema.safeParse(json);
  if (parsed.success) return parsed.data;
  const { path: at, message } = parsed.error.issues[0];
  throw damaged(path, `its ${MANIFEST} can't be read at ${at.join(".") || "the top"} (${message})`);
}

/** What has to be there by the sites that the manifest names, is listed, and is in the archive; and nothing else. */
function verifyNames(path: string, manifest: BackupManifest, found: readonly string[]): void {
  const wanted = new Set<string>();
  for (const { siteId, logs } of manifest.sites) {
    for (const table of tablesOf(manifest.schema)) wanted.add(tableEntry(siteId, table));
    for (const { logId } of logs) wanted.add(logEntry(siteId, logId));
  }
  const listed = new Set(manifest.entries.map(({ name }) => name));
  const missing = [...wanted].find((name) => !listed.has(name) || !found.includes(name));
  if (missing !== undefined) throw damaged(path, `"${missing}" is missing in it`);
  const beside = found.find((name) => name !== MANIFEST && !wanted.has(name));
  if (beside !== undefined) throw damaged(path, `"${beside}" doesn't belong in it`);
  if (listed.size !== manifest.entries.length) throw damaged(path, `its ${MANIFEST} lists an entry twice`);
}

async function whole(zip: ZipFile, entry: Entry, path: string): Promise<Buffer> {
  const pieces: Buffer[] = [];
  for await (const piece of bytesOf(zip, entry, path)) pieces.push(piece);
  return Buffer.concat(pieces);
}

async function* bytesOf(zip: ZipFile, entry: Entry, path: string): AsyncGenerator<Buffer> {
  let sum = 0;
  let stream: Readable | null = null;
  try {
    stream = await new Promise<Readable>((resolve, reject) =>
      zip.openReadStream(entry, (error, opened) => (error ? reject(error) : resolve(opened))),
    );
    for await (const piece of stream as AsyncIterable<Buffer>) {
      sum = crc32(piece, sum);
      yield piece;
    }
  } catch (error) {
    if (error instanceof AppError || (error as Error).name === "AbortError") throw error;
    throw damaged(path, `"${entry.fileName}" can't be read`, error);
  } finally {
    stream?.destroy();
  }
  if (sum !== entry.crc32) throw damaged(path, `"${entry.fileName}" is not what was written`);
}

function damaged(path: string, what: string, cause?: unknown): AppError {
  return new AppError(
    "bad-input",
    `The backup ${path} is damaged: ${what}. Nothing was restored. Take another copy of it.`,
    { cause },
  );
}

function foreign(path: string, what: string, cause?: unknown): AppError {
  return new AppError(
    "bad-input",
    `${path} is no backup that can be restored: ${what}. Nothing was restored. Name a file that "legroom backup" wrote.`,
    { cause },
  );
}
