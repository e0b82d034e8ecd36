import { CONTAINER_BOUNDS } from "./container-bounds";
import { containerKind } from "./container-kind";
import { UnreadableContainer } from "./unreadable-container";

/**
 * Unpacked bytes as they come, within the bounds of an archive.
 *
 * @param packedBytes how many bytes it took so far to make them
 * @throws UnreadableContainer where what comes out is too much, or is an archive again
 */
export async function* boundedBytes(
  name: string,
  bytes: AsyncIterable<Uint8Array>,
  packedBytes: () => number,
): AsyncGenerator<Uint8Array> {
  const { ratio, ratioFromBytes, totalBytes } = CONTAINER_BOUNDS;
  let out = 0;
  for await (const piece of bytes) {
    if (out === 0 && containerKind(piece) !== null) {
      throw new UnreadableContainer(
        "file.archive-nested",
        name,
        "What the archive holds is an archive again.",
      );
    }
    out += piece.byteLength;
    if (out > totalBytes) {
      throw new UnreadableContainer(
        "file.archive-too-large",
        name,
        `It unpacks to more than the ${totalBytes / 1024 ** 3} GiB that one import takes.`,
      );
    }
    if (out > ratioFromBytes && out > ratio * packedBytes()) {
      throw new UnreadableContainer(
        "file.archive-too-large",
        name,
        `It unpacks to more than ${ratio} times its size, as no log does: ${out} bytes came out of ${packedBytes()}.`,
      );
    }
    yield piece;
  }
}
