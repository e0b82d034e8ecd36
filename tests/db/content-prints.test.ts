import { createHash, randomBytes } from "node:crypto";
import { expect, test } from "vitest";
import {
  continueContentPrinter,
  createContentPrinter,
  PRINT_BLOCK_BYTES,
} from "../../db/samples/content-prints";
import { sameBeginning } from "../../db/samples/same-beginning";

// No database: prints of a content and what is told from them.

const bytes = randomBytes(5 * PRINT_BLOCK_BYTES + 12_345);
const rangeOf = (content: Uint8Array) =>
  async function* (from: number, to: number) {
    for (let at = from; at < to; at += 70_001) yield content.subarray(at, Math.min(to, at + 70_001));
  };

async function printsOf(content: Uint8Array) {
  const printer = await createContentPrinter();
  for await (const part of rangeOf(content)(0, content.length)) printer.add(part);
  return printer.prints();
}

test("prints hold the SHA-256 of the whole and of each block, and go on to those of a longer content", async () => {
  let known = await printsOf(bytes.subarray(0, 10));
  for (const size of [
    11,
    PRINT_BLOCK_BYTES,
    PRINT_BLOCK_BYTES + 1,
    3 * PRINT_BLOCK_BYTES - 1,
    bytes.length,
  ]) {
    const range = rangeOf(bytes);
    const whole = known.sizeBytes - (known.sizeBytes % PRINT_BLOCK_BYTES);
    const printer = await continueContentPrinter(known, range(whole, known.sizeBytes));
    for await (const part of range(known.sizeBytes, size)) printer!.add(part);
    const grown = printer!.prints();
    // The state holds what was left over in its buffer, too, which means nothing.
    expect({ ...grown, shaState: null }).toEqual({
      ...(await printsOf(bytes.subarray(0, size))),
      shaState: null,
    });
    expect(grown.sha256).toBe(createHash("sha256").update(bytes.subarray(0, size)).digest("hex"));
    known = grown;
  }
  const first = createHash("sha256").update(bytes.subarray(0, PRINT_BLOCK_BYTES)).digest();
  expect(known.blocks.subarray(0, 32).equals(first)).toBe(true);
});

test("a state of another version of the hash is not gone on with", async () => {
  const known = await printsOf(bytes.subarray(0, 1000));
  known.shaState[0] ^= 0xff;
  expect(await continueContentPrinter(known, rangeOf(bytes)(0, 1000))).toBeNull();
});

test("of any file every byte counts; of the same file the first block, the last ones and the rest at once", async () => {
  const known = await printsOf(bytes.subarray(0, bytes.length - 100));
  expect(await sameBeginning(rangeOf(bytes), known, false)).toBe(true);
  expect(await sameBeginning(rangeOf(bytes), known, true)).toBe(true);
  const changedAt = async (at: number, isSameFile: boolean) => {
    const changed = Buffer.from(bytes);
    changed[at] ^= 1;
    return sameBeginning(rangeOf(changed), known, isSameFile);
  };
  for (let block = 0; block < 6; block++)
    expect(await changedAt(block * PRINT_BLOCK_BYTES + 99, false)).toBe(false);
  for (const at of [0, 3 * PRINT_BLOCK_BYTES, 4 * PRINT_BLOCK_BYTES + 5, bytes.length - 101]) {
    expect(await changedAt(at, true)).toBe(false);
  }
  // What is behind the old part is none of it.
  expect(await changedAt(bytes.length - 50, false)).toBe(true);
  // Somewhere in between it shows before long: each look has three blocks of five.
  let seen = false;
  for (let look = 0; look < 60 && !seen; look++) seen = !(await changedAt(2 * PRINT_BLOCK_BYTES, true));
  expect(seen).toBe(true);
});
