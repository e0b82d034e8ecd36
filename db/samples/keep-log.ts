import { once } from "node:events";
import { finished } from "node:stream/promises";
import { createGzip, type Gzip } from "node:zlib";
import type { LogSource } from "../../src/ingest/log-source";
import type { SampleStore } from "./store-samples";

/** A log on its way in, of which the bytes are kept. */
export type LogKeeper = {
  /** The same log; what is read of it is kept. */
  source: LogSource;
  /** Makes sure that the whole log is kept; reads it once more where what was read of it doesn't do. */
  finish(): Promise<void>;
  /** Bytes of the log, once it is kept. */
  sizeBytes(): number;
};

/** Compressed bytes in one piece. */
const PIECE_BYTES = 1 << 20;
/** Compressed bytes that may wait for the connection where no samples come to hand them over with. */
const MAX_WAITING_BYTES = 8 << 20;

/** Compressor of logs: the fastest level, since a log is kept once and seldom read again. */
export function logGzip(): Gzip {
  return createGzip({ level: 1, memLevel: 9, chunkSize: 64 * 1024 });
}

/** Joins what a compressor gives to pieces of PIECE_BYTES and more; the last one is what is left. */
export function gatherPieces(take: (piece: Buffer) => void): { add(bytes: Buffer): void; end(): void } {
  let parts: Buffer[] = [];
  let size = 0;
  const end = () => {
    if (size > 0) take(Buffer.concat(parts));
    parts = [];
    size = 0;
  };
  return {
    add(bytes) {
      parts.push(bytes);
      size += bytes.length;
      if (size >= PIECE_BYTES) end();
    },
    end,
  };
}

/**
 * Compresses a log as it is read and hands the pieces to the store, so that its bytes are read only once.
 * A log may be opened several times (its head first, and again where it isn't in order): what counts is the
 * last time, if it was read to its end and the store didn't begin anew since.
 */
export function keepLog(source: LogSource, store: SampleStore): LogKeeper {
  let keptInEpoch = -1;
  let size = 0;

  async function* pass(): AsyncGenerator<Uint8Array> {
    await store.dropBytes();
    keptInEpoch = -1;
    const gzip = logGzip();
    const broken = new Promise<never>((_, reject) => gzip.once("error", reject));
    broken.catch(() => undefined);
    const pieces = gatherPieces((piece) => store.keepBytes(piece));
    gzip.on("data", (piece: Buffer) => pieces.add(piece));
    let read = 0;
    try {
      for await (const bytes of source.open()) {
        read += bytes.byteLength;
        if (!gzip.write(bytes)) await Promise.race([once(gzip, "drain"), broken]);
        if (store.waitingBytes() > MAX_WAITING_BYTES) await store.flush();
        yield bytes;
      }
      const done = finished(gzip);
      gzip.end();
      await done;
      pieces.end();
      size = read;
      keptInEpoch = store.epoch();
    } finally {
      gzip.destroy();
    }
  }

  return {
    source: { ...source, open: pass },
    async finish() {
      if (keptInEpoch !== store.epoch()) for await (const _ of pass());
      await store.flush();
    },
    sizeBytes: () => size,
  };
}
