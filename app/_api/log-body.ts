import { pipeline, Readable } from "node:stream";
import { createGunzip } from "node:zlib";
import { AppError } from "../../db/app-error";
import { type ContainerKind, containerKind } from "../../src/ingest/container-kind";
import { MAX_LOG_BYTES } from "../../src/ingest/read-log";
import { heardBody } from "../_guard/heard-body";
import { ARCHIVE_TYPES, FREE_UNPACKED_BYTES, LOG_TYPES, MAX_UNPACK_RATIO } from "./api-limits";

/** So many bytes say what kind of archive it is. */
const ARCHIVE_HEAD_BYTES = 4;

/** What a request brings: the bytes of a log, or those of an archive, packed as they came. */
export type LogBody = { kind: "log" | ContainerKind; bytes: AsyncIterable<Uint8Array> };

/**
 * The log or archive that a request brings, without the compression that its header Content-Encoding tells of, piece by
 * piece as it comes: nothing is held.
 *
 * @throws AppError at once: unsupported-type, too-large by what the header says; while it is read: cut-off where the
 * body ends before it should, bad-input where it isn't what its headers say, too-large
 */
export function logBody(request: Request): LogBody {
  const kind = kindOf(request);
  const encoding = (request.headers.get("content-encoding") ?? "identity").trim().toLowerCase();
  if (!["identity", "gzip", "x-gzip"].includes(encoding)) {
    throw new AppError(
      "unsupported-type",
      `A log is sent as it is or gzip-compressed, not with the encoding "${encoding.slice(0, 100)}".`,
      { more: { where: "header Content-Encoding", hint: "Use gzip, or leave the header out." } },
    );
  }
  const length = request.headers.get("content-length");
  const announced = length === null ? null : Number(length);
  if (announced !== null && announced > MAX_LOG_BYTES) throw tooLarge();
  const counted = { bytes: 0 };
  const packed = received(request.body, announced, counted);
  const bytes = encoding === "identity" ? packed : unpacked(packed, counted);
  return { kind, bytes: kind === "log" ? bytes : beginningAs(kind, bytes) };
}

function kindOf({ headers }: Request): LogBody["kind"] {
  const type = (headers.get("content-type") ?? "").split(";")[0].trim().toLowerCase();
  if (LOG_TYPES.some((known) => known === type)) return "log";
  if (type === ARCHIVE_TYPES.gzip) return "gzip";
  if (type === ARCHIVE_TYPES.zip) return "zip";
  const types = [...LOG_TYPES, ...Object.values(ARCHIVE_TYPES)];
  throw new AppError(
    "unsupported-type",
    `A log is sent as ${types.slice(0, -1).join(", ")} or ${types.at(-1)}, not as "${type.slice(0, 100)}".`,
    {
      more: {
        where: "header Content-Type",
        hint: "With curl: -H 'Content-Type: text/csv' --data-binary @LOG.csv",
      },
    },
  );
}

/** The bytes of an archive of that kind, which its first ones must say that it is. */
async function* beginningAs(
  kind: ContainerKind,
  bytes: AsyncIterable<Uint8Array>,
): AsyncGenerator<Uint8Array> {
  let first: Buffer | null = Buffer.alloc(0);
  const check = (head: Uint8Array) => {
    if (containerKind(head) === kind) return;
    throw new AppError("bad-input", `The body is no ${kind} archive, as its header says.`, {
      more: { where: "body", hint: `Send it as ${LOG_TYPES[0]} where it is a log as text.` },
    });
  };
  for await (const piece of bytes) {
    if (first === null) yield piece;
    else {
      first = Buffer.concat([first, piece]);
      if (first.length < ARCHIVE_HEAD_BYTES) continue;
      check(first);
      yield first;
      first = null;
    }
  }
  if (first !== null) check(first);
}

async function* received(
  body: ReadableStream<Uint8Array> | null,
  announced: number | null,
  counted: { bytes: number },
): AsyncGenerator<Uint8Array> {
  if (body !== null) {
    try {
      for await (const piece of heardBody(body)) {
        counted.bytes += piece.byteLength;
        if (counted.bytes > MAX_LOG_BYTES) throw tooLarge();
        yield piece;
      }
    } catch (error) {
      if (error instanceof AppError) throw error;
      throw cutOff(`The connection ended after ${counted.bytes} bytes of the log.`, error);
    }
  }
  if (announced !== null && counted.bytes !== announced) {
    throw cutOff(`${counted.bytes} bytes of the log came, and ${announced} were announced.`);
  }
}

async function* unpacked(
  packed: AsyncIterable<Uint8Array>,
  counted: { bytes: number },
): AsyncGenerator<Uint8Array> {
  const gunzip = createGunzip();
  let size = 0;
  // Errors of the source come out of the end that is read; the callback only keeps them from being nobody's.
  pipeline(Readable.from(packed), gunzip, () => {});
  try {
    for await (const piece of gunzip as AsyncIterable<Buffer>) {
      size += piece.length;
      if (size > FREE_UNPACKED_BYTES && size > counted.bytes * MAX_UNPACK_RATIO) {
        throw new AppError(
          "too-large",
          `The body unpacks to over ${MAX_UNPACK_RATIO} times its size, which no log does.`,
          { more: { where: "body", hint: "Send the log as it is, without Content-Encoding." } },
        );
      }
      yield piece;
    }
  } catch (error) {
    if (error instanceof AppError) throw error;
    if ((error as { code?: unknown }).code === "Z_BUF_ERROR") {
      throw cutOff("The compressed body ends in its middle.", error);
    }
    throw new AppError("bad-input", "The body isn't gzip-compressed, as its header says.", {
      cause: error,
      more: { where: "body", hint: "Leave the header Content-Encoding out, or compress with gzip." },
    });
  } finally {
    gunzip.destroy();
  }
}

function cutOff(message: string, cause?: unknown): AppError {
  return new AppError("cut-off", `${message} Nothing of it was stored.`, {
    cause,
    more: { where: "body", hint: "Send the whole log again: what is there already isn't taken twice." },
  });
}

function tooLarge(): AppError {
  return new AppError(
    "too-large",
    `The log is larger than the ${MAX_LOG_BYTES / 1024 ** 3} GiB that one import takes.`,
    {
      more: { where: "body", hint: "Split it by months and send the parts; they join to one history." },
    },
  );
}
