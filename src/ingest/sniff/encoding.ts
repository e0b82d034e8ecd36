import { isAscii } from "node:buffer";
import { type TextEncoding, utf8At } from "../decode-bytes";

/** The encoding of a log, and what says so. */
export type SniffedEncoding =
  | {
      readonly ok: true;
      readonly encoding: TextEncoding;
      /** Whether a byte order mark said it. */
      readonly marked: boolean;
      /** Nothing but ASCII so far: what comes later shows whether it is UTF-8 or Windows-1252. */
      readonly open: boolean;
      readonly confidence: number;
      readonly figures: { readonly [name: string]: number };
    }
  | { readonly ok: false; readonly code: "file.encoding" | "file.not-a-table"; readonly what: string };

/** Files that are taken for logs by mistake, by their first bytes. */
const OTHER_FILES: readonly (readonly [what: string, bytes: readonly number[]])[] = [
  ["a ZIP archive or a workbook", [0x50, 0x4b, 0x03, 0x04]],
  ["a gzip archive", [0x1f, 0x8b]],
  ["an old workbook", [0xd0, 0xcf, 0x11, 0xe0]],
  ["a PDF document", [0x25, 0x50, 0x44, 0x46, 0x2d]],
];

/** Part of the bytes that may be control characters: power cuts and bit flips leave some, a binary file has more. */
const MOST_CONTROLS = 0.01;

/**
 * Settles the encoding of a log from its first bytes, which may end inside a character: by the byte order mark;
 * else by the zeros that UTF-16 puts beside every Latin letter; else by whether what is beyond ASCII is UTF-8, or
 * Windows-1252, of which Latin-1 text is a part. A log that is mostly UTF-8 with some damaged characters stays it.
 */
export function sniffEncoding(head: Uint8Array, given?: TextEncoding): SniffedEncoding {
  const marked = byMark(head);
  if (given !== undefined && marked !== null && marked !== given) {
    return refuse("file.encoding", `The column map says ${given} and the byte order mark says ${marked}.`);
  }
  for (const [what, bytes] of OTHER_FILES) {
    if (bytes.every((byte, i) => head[i] === byte)) return refuse("file.not-a-table", `The file is ${what}.`);
  }
  const settled = marked ?? given ?? null;
  if (settled !== null) {
    const wrong =
      new TextDecoder(settled).decode(head.subarray(0, CHECKED_BYTES)).match(/[\uFFFD\0]/g)?.length ?? 0;
    if (wrong > 0.05 * Math.min(head.length, CHECKED_BYTES)) {
      return refuse("file.encoding", `The file is said to be ${settled} and can't be read as that.`);
    }
    return { ok: true, encoding: settled, marked: marked !== null, open: false, confidence: 1, figures: {} };
  }
  const wide = wideEncoding(head);
  if (wide !== null) return wide;
  const looked = head.subarray(0, CHECKED_BYTES);
  const binary = controls(looked);
  if (binary > MOST_CONTROLS * looked.length) {
    const zero = head.indexOf(0);
    return refuse(
      "file.not-a-table",
      zero === -1
        ? `Of the first ${looked.length} bytes ${binary} are control characters: this is a binary file.`
        : `Byte ${zero + 1} is 0, which no text has: this is a binary file.`,
    );
  }
  return narrowEncoding(head);
}

const CHECKED_BYTES = 65_536;

function refuse(code: "file.encoding" | "file.not-a-table", what: string): SniffedEncoding {
  return { ok: false, code, what };
}

function byMark(head: Uint8Array): TextEncoding | null {
  if (head[0] === 0xff && head[1] === 0xfe) return "utf-16le";
  if (head[0] === 0xfe && head[1] === 0xff) return "utf-16be";
  return head[0] === 0xef && head[1] === 0xbb && head[2] === 0xbf ? "utf-8" : null;
}

/** UTF-16 without a mark: in a table nearly every second byte is 0, always the same one of two. */
function wideEncoding(head: Uint8Array): SniffedEncoding | null {
  const n = Math.min(head.length, CHECKED_BYTES) & ~1;
  let even = 0;
  let odd = 0;
  for (let i = 0; i < n; i += 2) {
    if (head[i] === 0) even++;
    if (head[i + 1] === 0) odd++;
  }
  const [most, least] = even > odd ? [even, odd] : [odd, even];
  if (n < 8 || most < 0.7 * (n / 2) || least > 0.02 * (n / 2)) return null;
  const encoding = even > odd ? "utf-16be" : "utf-16le";
  const text = new TextDecoder(encoding).decode(head.subarray(0, n));
  if (!/[\r\n]/.test(text) || !/\d/.test(text)) return null;
  const share = Math.round((most / (n / 2)) * 1000) / 1000;
  return { ok: true, encoding, marked: false, open: false, confidence: 0.98, figures: { zeroShare: share } };
}

/** Control characters, a run of zeros counted once: a power cut leaves such runs in a log. */
function controls(head: Uint8Array): number {
  let n = 0;
  for (let i = 0; i < head.length; i++) {
    const byte = head[i];
    if (byte >= 32 || byte === 9 || byte === 10 || byte === 13) continue;
    if (byte !== 0 || i === 0 || head[i - 1] !== 0) n++;
  }
  return n;
}

function narrowEncoding(head: Uint8Array): SniffedEncoding {
  if (isAscii(head))
    return {
      ok: true,
      encoding: "utf-8",
      marked: false,
      open: true,
      confidence: 1,
      figures: { beyondAscii: 0 },
    };
  let whole = 0;
  let broken = 0;
  for (let i = 0; i < head.length; i++) {
    if (head[i] < 0x80) continue;
    const sequence = utf8At(head, i);
    if (sequence === "none") broken++;
    else whole++;
    if (sequence !== "none") while (i + 1 < head.length && (head[i + 1] & 0xc0) === 0x80) i++;
  }
  const encoding = whole >= broken ? "utf-8" : "windows-1252";
  const right = encoding === "utf-8" ? whole : broken;
  return {
    ok: true,
    encoding,
    marked: false,
    open: false,
    confidence: right / (whole + broken),
    figures: { utf8Characters: whole, otherCharacters: broken },
  };
}
