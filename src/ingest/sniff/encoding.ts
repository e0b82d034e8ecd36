import type { TextEncoding } from "../decode-bytes";

/** The encoding of a log, and whether a byte order mark said so. */
export type SniffedEncoding =
  | { readonly ok: true; readonly encoding: TextEncoding; readonly marked: boolean }
  | { readonly ok: false; readonly code: "file.encoding" | "file.not-a-table"; readonly what: string };

/**
 * Settles the encoding by the byte order mark, else takes UTF-8 and looks whether the head is that. `head`
 * may end inside a character. Bytes of value 0 are in no text.
 */
export function sniffEncoding(head: Uint8Array): SniffedEncoding {
  if (head[0] === 0xff && head[1] === 0xfe) return { ok: true, encoding: "utf-16le", marked: true };
  if (head[0] === 0xfe && head[1] === 0xff) return { ok: true, encoding: "utf-16be", marked: true };
  const zero = head.indexOf(0);
  if (zero !== -1) {
    return {
      ok: false,
      code: "file.not-a-table",
      what: `Byte ${zero + 1} is 0, which no text has: this is a binary file.`,
    };
  }
  try {
    new TextDecoder("utf-8", { fatal: true }).decode(head, { stream: true });
  } catch {
    return { ok: false, code: "file.encoding", what: "The file is not UTF-8 and has no byte order mark." };
  }
  return { ok: true, encoding: "utf-8", marked: head[0] === 0xef && head[1] === 0xbb && head[2] === 0xbf };
}
