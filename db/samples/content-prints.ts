import { createHash, type Hash } from "node:crypto";
import { createSHA256, type IHasher } from "hash-wasm";

/** Bytes of a block: what is read to see whether a part of a file is still the same. */
export const PRINT_BLOCK_BYTES = 512 * 1024;

const HASH_BYTES = 32;

/** What tells a log's content, and lets a longer one be told from it without being read from its beginning. */
export type ContentPrints = {
  sizeBytes: number;
  /** SHA-256 of all bytes, hexadecimal. */
  sha256: string;
  /** SHA-256 of each whole block, then of the rest, where there is one. */
  blocks: Buffer;
  /** State of `sha256` after the last byte, to be continued. */
  shaState: Buffer;
};

/** Takes bytes as they come. */
export type ContentPrinter = {
  add(bytes: Uint8Array): void;
  /** What it comes to so far. More bytes can be added afterwards. */
  prints(): ContentPrints;
};

/**
 * Prints of a content, from its beginning.
 *
 * The hash of the whole is one whose state can be kept (hash-wasm): Node's own can't, and a log that grows by a minute
 * would have to be read from its beginning every minute.
 */
export async function createContentPrinter(): Promise<ContentPrinter> {
  const whole = await createSHA256();
  whole.init();
  return printer(whole, [], createHash("sha256"), 0);
}

/**
 * Goes on with the prints of a shorter content.
 *
 * @param rest the bytes of it behind its last whole block
 * @returns null where the state is that of another version of the hash: then the whole content has to be read
 */
export async function continueContentPrinter(
  known: Pick<ContentPrints, "sizeBytes" | "blocks" | "shaState">,
  rest: AsyncIterable<Uint8Array>,
): Promise<ContentPrinter | null> {
  const whole = await createSHA256();
  try {
    whole.load(known.shaState);
  } catch {
    return null;
  }
  const wholeBlocks = Math.floor(known.sizeBytes / PRINT_BLOCK_BYTES);
  const block = createHash("sha256");
  for await (const bytes of rest) block.update(bytes);
  return printer(whole, [known.blocks.subarray(0, wholeBlocks * HASH_BYTES)], block, known.sizeBytes);
}

function printer(whole: IHasher, done: Buffer[], begun: Hash, size: number): ContentPrinter {
  let block = begun;
  let sizeBytes = size;
  return {
    add(bytes) {
      whole.update(bytes);
      for (let from = 0; from < bytes.byteLength; ) {
        const room = PRINT_BLOCK_BYTES - (sizeBytes % PRINT_BLOCK_BYTES);
        const part = bytes.subarray(from, from + room);
        block.update(part);
        sizeBytes += part.byteLength;
        from += part.byteLength;
        if (sizeBytes % PRINT_BLOCK_BYTES === 0) {
          done.push(block.digest());
          block = createHash("sha256");
        }
      }
    },
    prints() {
      const shaState = Buffer.from(whole.save());
      const sha256 = whole.digest("hex");
      whole.load(shaState);
      const rest = sizeBytes % PRINT_BLOCK_BYTES === 0 ? [] : [block.copy().digest()];
      return { sizeBytes, sha256, blocks: Buffer.concat([...done, ...rest]), shaState };
    },
  };
}
