import { Readable } from "node:stream";
import { createGunzip } from "node:zlib";
import { boundedBytes } from "./bounded-bytes";
import type { LogSource } from "./log-source";
import { UnreadableContainer } from "./unreadable-container";

/** Packed bytes handed on at once: small, so that what comes out is held against what really went in. */
const INPUT_BYTES = 16 * 1024;

/** The log in a gzip file, unpacked as it is read; several members follow one another (RFC 1952, 2.2). */
export function gunzipSource(packed: LogSource): LogSource {
  return { name: packed.name, sizeBytes: null, open: () => gunzipBytes(packed.name, packed.open()) };
}

/**
 * Unpacks gzip bytes as they come.
 *
 * @throws UnreadableContainer where they are damaged, end too early, or are too much unpacked
 */
export async function* gunzipBytes(
  name: string,
  packed: AsyncIterable<Uint8Array>,
): AsyncGenerator<Uint8Array> {
  let packedBytes = 0;
  let sourceFailed = false;
  async function* counted(): AsyncGenerator<Uint8Array> {
    try {
      for await (const bytes of packed) {
        for (let from = 0; from < bytes.byteLength; from += INPUT_BYTES) {
          const piece = bytes.subarray(from, from + INPUT_BYTES);
          packedBytes += piece.byteLength;
          yield piece;
        }
      }
    } catch (error) {
      sourceFailed = true;
      throw error;
    }
  }
  const input = Readable.from(counted(), { objectMode: false });
  const gunzip = createGunzip({ chunkSize: 256 * 1024 });
  input.on("error", (error) => gunzip.destroy(error));
  gunzip.on("close", () => input.destroy());
  try {
    yield* boundedBytes(name, input.pipe(gunzip), () => packedBytes);
  } catch (error) {
    if (sourceFailed || error instanceof UnreadableContainer) throw error;
    throw new UnreadableContainer(
      "file.archive-damaged",
      name,
      `The gzip file is damaged, or was cut off: ${(error as Error).message}.`,
      { cause: error },
    );
  }
}
