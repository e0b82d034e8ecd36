import { isAscii } from "node:buffer";
import type { ENCODINGS } from "../site/column-map-schema";

/** Encodings that a log can be in. */
export type TextEncoding = (typeof ENCODINGS)[number];

/** Turns the chunks of a file into text; a character split over two chunks stays whole. */
export type ByteDecoder = {
  /** The text so far complete. Bytes that are none of the encoding become U+FFFD. */
  push(bytes: Uint8Array): string;
  /** What is left at the end of the file. */
  end(): string;
  /** The encoding that it turned out to be; null as long as everything was ASCII and it is open. */
  settled(): TextEncoding | null;
};

/**
 * Decoder for one file, which takes the byte order mark away. Plain ASCII, the usual case, is not decoded at all.
 * Where the encoding is `open`, since the file's head is nothing but ASCII, its first other byte shows whether it
 * is UTF-8 or Windows-1252, wherever its pieces are cut.
 */
export function createByteDecoder(encoding: TextEncoding, open: boolean): ByteDecoder {
  let decoder: TextDecoder | null = open ? null : new TextDecoder(encoding);
  let settled: TextEncoding | null = open ? null : encoding;
  // Bytes from the first one beyond ASCII on, too few yet to tell what they are.
  let waiting: Uint8Array = new Uint8Array(0);

  function settle(bytes: Uint8Array, last: boolean): string {
    const joined = waiting.length === 0 ? bytes : Buffer.concat([waiting, bytes]);
    const at = joined.findIndex((byte) => byte >= 0x80);
    const sequence = at < 0 ? null : utf8At(joined, at);
    if (sequence === "cut" && !last) {
      waiting = joined.slice(at);
      return ascii(joined.subarray(0, at));
    }
    waiting = new Uint8Array(0);
    settled = sequence === "whole" ? "utf-8" : "windows-1252";
    decoder = new TextDecoder(settled);
    return decoder.decode(joined, { stream: !last });
  }

  return {
    push(bytes) {
      if (decoder !== null) return decoder.decode(bytes, { stream: true });
      if (waiting.length === 0 && isAscii(bytes)) return ascii(bytes);
      return settle(bytes, false);
    },
    end() {
      if (decoder !== null) return decoder.decode();
      return waiting.length === 0 ? "" : settle(new Uint8Array(0), true);
    },
    settled: () => settled,
  };
}

function ascii(bytes: Uint8Array): string {
  return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString("latin1");
}

/** Whether a whole UTF-8 character begins there, one that the bytes cut off, or none [RFC 3629, 4]. */
export function utf8At(bytes: Uint8Array, at: number): "whole" | "cut" | "none" {
  const first = bytes[at];
  const length =
    first >= 0xc2 && first <= 0xdf
      ? 2
      : first >= 0xe0 && first <= 0xef
        ? 3
        : first >= 0xf0 && first <= 0xf4
          ? 4
          : 0;
  if (length === 0) return "none";
  for (let i = 1; i < length; i++) {
    if (at + i >= bytes.length) return "cut";
    const byte = bytes[at + i];
    const least = i > 1 ? 0x80 : first === 0xe0 ? 0xa0 : first === 0xf0 ? 0x90 : 0x80;
    const most = i > 1 ? 0xbf : first === 0xed ? 0x9f : first === 0xf4 ? 0x8f : 0xbf;
    if (byte < least || byte > most) return "none";
  }
  return "whole";
}
