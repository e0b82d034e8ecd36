/** What a file can be that holds logs inside. */
export type ContainerKind = "gzip" | "zip";

/**
 * Whether a file is an archive, told by its first bytes and never by its name; null for anything else. Four bytes do.
 * Source: RFC 1952, 2.3.1 (gzip); PKWARE APPNOTE 4.3 (zip: a local header, or the end record of an empty archive).
 */
export function containerKind(head: Uint8Array): ContainerKind | null {
  if (head.length >= 3 && head[0] === 0x1f && head[1] === 0x8b && head[2] === 8) return "gzip";
  if (head.length < 4 || head[0] !== 0x50 || head[1] !== 0x4b) return null;
  return (head[2] === 3 && head[3] === 4) || (head[2] === 5 && head[3] === 6) ? "zip" : null;
}
