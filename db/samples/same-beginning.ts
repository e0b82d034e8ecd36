import { createHash, randomInt } from "node:crypto";
import { type ContentPrints, PRINT_BLOCK_BYTES } from "./content-prints";

/** Whole blocks at the end that are always looked at, and ones anywhere between that are. */
const LAST_BLOCKS = 2;
const CHOSEN_BLOCKS = 3;

const HASH_BYTES = 32;

/**
 * Whether a file begins with a content whose prints are known.
 *
 * Where it is known to be the same file (device and inode), loggers and copying programs only ever append to it, or put
 * another in its place: then its first block is looked at, the last ones with the rest behind them, and three chosen at
 * random, so that a change somewhere in the middle is not seen at once but, with a growth a minute, before long. Any
 * other file is looked at block by block.
 *
 * @param range bytes of the file from one place to another
 */
export async function sameBeginning(
  range: (from: number, to: number) => AsyncIterable<Uint8Array>,
  { sizeBytes, blocks }: Pick<ContentPrints, "sizeBytes" | "blocks">,
  isSameFile: boolean,
): Promise<boolean> {
  const whole = Math.floor(sizeBytes / PRINT_BLOCK_BYTES);
  const all = Math.ceil(sizeBytes / PRINT_BLOCK_BYTES);
  if (blocks.length !== all * HASH_BYTES) return false;
  const looked = new Set<number>();
  if (isSameFile) {
    looked.add(0);
    for (let block = Math.max(0, whole - LAST_BLOCKS); block < all; block++) looked.add(block);
    for (let i = 0; i < CHOSEN_BLOCKS && whole > 0; i++) looked.add(randomInt(whole));
  } else for (let block = 0; block < all; block++) looked.add(block);
  for (const block of looked) {
    const from = block * PRINT_BLOCK_BYTES;
    const hash = createHash("sha256");
    for await (const bytes of range(from, Math.min(sizeBytes, from + PRINT_BLOCK_BYTES))) hash.update(bytes);
    if (!hash.digest().equals(blocks.subarray(block * HASH_BYTES, (block + 1) * HASH_BYTES))) return false;
  }
  return true;
}
