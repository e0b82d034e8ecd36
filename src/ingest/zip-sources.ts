import type { FileHandle } from "node:fs/promises";
import type { Readable } from "node:stream";
import { crc32 } from "node:zlib";
import yauzl, { type Entry, type ZipFile } from "yauzl";
import { boundedBytes } from "./bounded-bytes";
import { CONTAINER_BOUNDS } from "./container-bounds";
import { ERROR_CATALOGUE } from "./error-catalogue";
import type { LogSource } from "./log-source";
import type { LogsInFile } from "./logs-in-file";
import type { Refusal } from "./refusal";
import { UnreadableContainer } from "./unreadable-container";

/** What an archive has where it is a workbook or a text document. */
const DOCUMENT_PARTS = new Set(["[Content_Types].xml", "mimetype"]);

/** The logs in a zip archive, as sources that can be read any number of times while the file is open. */
export async function openZip(handle: FileHandle, name: string): Promise<LogsInFile> {
  try {
    // Names are taken as bytes and only ever shown, so that none of them is judged, or followed, as a path.
    const zip = await new Promise<ZipFile>((resolve, reject) =>
      yauzl.fromFd(
        handle.fd,
        { autoClose: false, lazyEntries: true, decodeStrings: false, validateEntrySizes: true },
        (error, opened) => (error ? reject(error) : resolve(opened)),
      ),
    );
    const entries = await entriesOf(zip, name);
    const problem = boundsProblem(zip, entries, name);
    if (problem !== null) return { ok: false, refusal: problem };
    const named = entries.map((entry) => ({ entry, label: labelOf(entry) }));
    const files = named.filter(({ label }) => !label.endsWith("/"));
    const logs = files.filter(({ label }) => !isRubbish(label)).sort((a, b) => (a.label < b.label ? -1 : 1));
    if (logs.length === 0) {
      return refused("file.empty", name, "The archive holds no file.");
    }
    return {
      ok: true,
      logs: logs.map(({ entry, label }) => entrySource(zip, entry, `${name}/${label}`)),
      leftOut: files.filter(({ label }) => isRubbish(label)).map(({ label }) => `${name}/${label}`),
      fromArchive: true,
    };
  } catch (error) {
    if (error instanceof UnreadableContainer) return { ok: false, refusal: error.refusal };
    return refused(
      "file.archive-damaged",
      name,
      `The zip archive is damaged, or was cut off: ${(error as Error).message}.`,
    );
  }
}

async function entriesOf(zip: ZipFile, name: string): Promise<Entry[]> {
  if (zip.entryCount > CONTAINER_BOUNDS.entries) throw tooMany(name, zip.entryCount);
  return new Promise((resolve, reject) => {
    const entries: Entry[] = [];
    zip.on("error", reject);
    zip.on("end", () => resolve(entries));
    zip.on("entry", (entry: Entry) => {
      entries.push(entry);
      if (entries.length > CONTAINER_BOUNDS.entries) reject(tooMany(name, entries.length));
      else zip.readEntry();
    });
    zip.readEntry();
  });
}

function tooMany(name: string, entries: number): UnreadableContainer {
  return new UnreadableContainer(
    "file.archive-too-large",
    name,
    `The archive has ${entries} entries; one may have ${CONTAINER_BOUNDS.entries}.`,
  );
}

/** What the directory of the archive says already; what really comes out is counted again as it does. */
function boundsProblem(zip: ZipFile, entries: readonly Entry[], name: string): Refusal | null {
  const refuse = (code: Refusal["code"], what: string): Refusal => ({
    code,
    what,
    where: name,
    hint: ERROR_CATALOGUE[code].hint,
  });
  let packed = 0;
  let unpacked = 0;
  for (const entry of entries) {
    packed += entry.compressedSize;
    unpacked += entry.uncompressedSize;
    if (DOCUMENT_PARTS.has(labelOf(entry))) {
      return refuse("file.not-a-table", "The file is a workbook or a document, and no log as text.");
    }
    if (entry.isEncrypted()) {
      return refuse("file.archive-encrypted", `"${labelOf(entry)}" in the archive is encrypted.`);
    }
    if (entry.compressionMethod !== 0 && entry.compressionMethod !== 8) {
      return refuse(
        "file.archive-damaged",
        `"${labelOf(entry)}" in the archive is packed by method ${entry.compressionMethod}; methods 0 (stored) and 8 (deflate) can be read.`,
      );
    }
  }
  // Entries that share their bytes unpack a small file many times over.
  if (packed > zip.fileSize) {
    return refuse(
      "file.archive-damaged",
      `The entries of the archive have ${packed} bytes packed, and the file only ${zip.fileSize}: they overlap.`,
    );
  }
  const { totalBytes, ratio, ratioFromBytes } = CONTAINER_BOUNDS;
  if (unpacked > totalBytes) {
    return refuse(
      "file.archive-too-large",
      `The archive unpacks to ${unpacked} bytes; one import takes ${totalBytes}.`,
    );
  }
  if (unpacked > ratioFromBytes && unpacked > ratio * zip.fileSize) {
    return refuse(
      "file.archive-too-large",
      `The archive unpacks to ${unpacked} bytes, more than ${ratio} times its size, as no log does.`,
    );
  }
  return null;
}

function entrySource(zip: ZipFile, entry: Entry, name: string): LogSource {
  return { name, sizeBytes: entry.uncompressedSize, open: () => entryBytes(zip, entry, name) };
}

async function* entryBytes(zip: ZipFile, entry: Entry, name: string): AsyncGenerator<Uint8Array> {
  try {
    const stream = await new Promise<Readable>((resolve, reject) =>
      zip.openReadStream(entry, (error, opened) => (error ? reject(error) : resolve(opened))),
    );
    let sum = 0;
    try {
      for await (const bytes of boundedBytes(name, stream, () => entry.compressedSize)) {
        sum = crc32(bytes, sum);
        yield bytes;
      }
    } finally {
      stream.destroy();
    }
    if (sum !== entry.crc32) throw new Error("its checksum is another one than the archive says");
  } catch (error) {
    if (error instanceof UnreadableContainer) throw error;
    throw new UnreadableContainer(
      "file.archive-damaged",
      name,
      `This entry of the archive is damaged: ${(error as Error).message}.`,
      { cause: error },
    );
  }
}

/** An entry's name as text: control characters and what is too long are taken out, and nothing is made of its dots. */
function labelOf(entry: Entry): string {
  const raw = entry.fileName as unknown as Buffer;
  const isUtf8 = (entry.generalPurposeBitFlag & 0x800) !== 0;
  const text = isUtf8 ? raw.toString("utf8") : raw.toString("latin1");
  return text
    .replaceAll("\\", "/")
    .replace(/\p{Cc}/gu, "\u{fffd}")
    .slice(-CONTAINER_BOUNDS.nameCharacters);
}

/** What operating systems put beside the files that a person packed. */
function isRubbish(label: string): boolean {
  const parts = label.split("/");
  return parts[0] === "__MACOSX" || (parts[parts.length - 1] ?? "").startsWith(".");
}

function refused(code: Refusal["code"], name: string, what: string): LogsInFile {
  return { ok: false, refusal: { code, what, where: name, hint: ERROR_CATALOGUE[code].hint } };
}
