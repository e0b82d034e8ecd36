import { type SeededRandom, seededRandom } from "../corpus/seeded-random";

const HUGE = 120_000;

const NEWLINES = [0x0a, 0x0d];

const STRANGE_CELLS = [
  "1e308",
  "-1e999",
  "Infinity",
  "-0",
  "0x1F",
  "1_000",
  "١٢٣",
  "१२",
  "1.2.3",
  "--5",
  "+",
  "9".repeat(400),
  "2026-02-30 12:00:00",
  "2026-13-01T00:00:00Z",
  "99999-01-01T00:00:00Z",
  "0000-00-00 00:00:00",
  "2026-05-03T25:61:61",
  "-1",
  "1e15",
  "=1+1",
  "<b>1</b>",
  "\u2028",
  "\ud83d",
  "__proto__",
  "constructor",
  "true",
];

type Mutation = (bytes: Uint8Array, random: SeededRandom) => Uint8Array;

/** Ways in which a log is damaged on its way; each gives other bytes and leaves its argument alone. */
export const MUTATIONS: Readonly<Record<string, Mutation>> = {
  "bits flipped": (bytes, random) => {
    const out = bytes.slice();
    for (let n = random.whole(1, 24); n > 0; n--)
      out[random.whole(0, out.length - 1)] ^= 1 << random.whole(0, 7);
    return out;
  },
  "cut short": (bytes, random) => bytes.slice(0, random.whole(0, bytes.length)),
  "its begin lost": (bytes, random) => bytes.slice(random.whole(0, bytes.length - 1)),
  "lines swapped": (bytes, random) =>
    onLines(bytes, (lines) => {
      for (let n = random.whole(1, 30); n > 0; n--) {
        const [a, b] = [random.whole(0, lines.length - 1), random.whole(0, lines.length - 1)];
        [lines[a], lines[b]] = [lines[b], lines[a]];
      }
      return lines;
    }),
  "lines doubled": (bytes, random) =>
    onLines(bytes, (lines) => lines.flatMap((l) => (random.chance(0.2) ? [l, l] : [l]))),
  "lines lost": (bytes, random) => onLines(bytes, (lines) => lines.filter(() => !random.chance(0.3))),
  "lines joined": (bytes, random) =>
    onLines(bytes, (lines) =>
      lines.map((l) => (random.chance(0.05) ? l.filter((b) => !NEWLINES.includes(b)) : l)),
    ),
  "quotes doubled": (bytes, random) =>
    replaced(bytes, (b) => (b === 0x22 || random.chance(0.003) ? [0x22, 0x22] : null)),
  "quotes set in": (bytes, random) => inserted(bytes, random, random.whole(1, 12), () => [0x22]),
  "NULs set in": (bytes, random) => inserted(bytes, random, random.whole(1, 40), () => [0]),
  "a run of NULs": (bytes, random) =>
    inserted(bytes, random, 1, () => Array<number>(random.whole(1, 9000)).fill(0)),
  "random bytes set in": (bytes, random) =>
    inserted(bytes, random, random.whole(1, 6), () =>
      Array.from({ length: random.whole(1, 60) }, () => random.whole(0, 255)),
    ),
  "line ends mixed": (bytes, random) =>
    replaced(bytes, (b) => {
      if (!NEWLINES.includes(b) || random.chance(0.5)) return null;
      return random.pick([
        [0x0a],
        [0x0d],
        [0x0d, 0x0a],
        [0x0d, 0x0d, 0x0a],
        [0x0a, 0x0a],
        [0x0b],
        [0x0c],
        [],
      ]);
    }),
  "delimiters swapped": (bytes, random) => {
    const [from, to] = random.shuffled([0x2c, 0x3b, 0x09, 0x7c]);
    const share = random.pick([1, 0.5, 0.02]);
    return replaced(bytes, (b) => (b === from && random.chance(share) ? [to] : null));
  },
  "delimiters lost or doubled": (bytes, random) =>
    replaced(bytes, (b) =>
      ",;\t|".includes(String.fromCharCode(b)) && random.chance(0.03) ? random.pick([[], [b, b]]) : null,
    ),
  "a huge field": (bytes, random) =>
    inserted(bytes, random, 1, () => {
      const filler = random.pick(["x", "1", " ", '"', ",", "é"]);
      return [...Buffer.from(filler.repeat(random.whole(HUGE / 10, HUGE)))];
    }),
  "strange cells": (bytes, random) =>
    inserted(bytes, random, random.whole(1, 20), () => [...Buffer.from(random.pick(STRANGE_CELLS))]),
  "digits changed": (bytes, random) =>
    replaced(bytes, (b) =>
      b >= 0x30 && b <= 0x39 && random.chance(0.02) ? [random.whole(0x30, 0x39)] : null,
    ),
  "marks of byte order set in": (bytes, random) =>
    inserted(bytes, random, random.whole(1, 4), () =>
      random.pick([
        [0xef, 0xbb, 0xbf],
        [0xff, 0xfe],
        [0xfe, 0xff],
      ]),
    ),
  "one byte lost": (bytes, random) => {
    const at = random.whole(0, bytes.length - 1);
    return Buffer.concat([bytes.subarray(0, at), bytes.subarray(at + 1)]);
  },
  "twice over": (bytes) => Buffer.concat([bytes, bytes]),
};

/** A log damaged in one to four ways; the seed alone says which. */
export function mutateLog(bytes: Uint8Array, seed: number): { bytes: Uint8Array; how: string } {
  const random = seededRandom(seed);
  const names = Array.from({ length: random.pick([1, 1, 1, 2, 2, 3, 4]) }, () =>
    random.pick(Object.keys(MUTATIONS)),
  );
  let out = bytes;
  for (const name of names) if (out.length > 0) out = MUTATIONS[name](out, random);
  return { bytes: out, how: names.join(", then ") };
}

function onLines(bytes: Uint8Array, change: (lines: Uint8Array[]) => Uint8Array[]): Uint8Array {
  const lines: Uint8Array[] = [];
  let from = 0;
  for (let i = 0; i < bytes.length; i++) {
    if (bytes[i] !== 0x0a && !(bytes[i] === 0x0d && bytes[i + 1] !== 0x0a)) continue;
    lines.push(bytes.subarray(from, i + 1));
    from = i + 1;
  }
  if (from < bytes.length) lines.push(bytes.subarray(from));
  return Buffer.concat(change(lines));
}

function replaced(bytes: Uint8Array, by: (byte: number) => readonly number[] | null): Uint8Array {
  const out: number[] = [];
  for (const byte of bytes) {
    const other = by(byte);
    if (other === null) out.push(byte);
    else out.push(...other);
  }
  return Uint8Array.from(out);
}

function inserted(
  bytes: Uint8Array,
  random: SeededRandom,
  times: number,
  what: () => readonly number[],
): Uint8Array {
  let out = bytes;
  for (let n = 0; n < times; n++) {
    const at = random.whole(0, out.length);
    out = Buffer.concat([out.subarray(0, at), Uint8Array.from(what()), out.subarray(at)]);
  }
  return out;
}
