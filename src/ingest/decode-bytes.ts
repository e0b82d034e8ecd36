import { isAscii } from "node:buffer";

/** Encodings that a log can be in. */
export type TextEncoding = "utf-8" | "utf-16le" | "utf-16be";

/** Turns the chunks of a file into text; a character split over two chunks stays whole. */
export type ByteDecoder = {
  /** The text so far complete; null where the bytes are not of the encoding. */
  push(bytes: Uint8Array): string | null;
  /** What is left at the end of the file; null where it ends inside a character. */
  end(): string | null;
};

/** Decoder for one file, which takes the byte order mark away. Plain ASCII, the usual case, is not decoded at all. */
export function createByteDecoder(encoding: TextEncoding): ByteDecoder {
  const decoder = new TextDecoder(encoding, { fatal: true });
  let decoding = encoding !== "utf-8";
  function decode(bytes: Uint8Array, stream: boolean): string | null {
    try {
      return decoder.decode(bytes, { stream });
    } catch {
      return null;
    }
  }
  return {
    push(bytes) {
      if (!decoding && isAscii(bytes)) {
        return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString("latin1");
      }
      // Once a character beyond ASCII was seen, one may be pending in the decoder from here on.
      decoding = true;
      return decode(bytes, true);
    },
    end: () => (decoding ? decode(new Uint8Array(0), false) : ""),
  };
}
