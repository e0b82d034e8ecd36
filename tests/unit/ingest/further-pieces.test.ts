import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fileLogSource } from "../../../src/ingest/file-log-source";
import { furtherPieces } from "../../../src/ingest/further-pieces";
import { PIECE_BYTES } from "../../../src/ingest/places-of-pieces";
import { SNIFF_BYTES, sniffLog } from "../../../src/ingest/sniff-log";
import { memoryLog } from "./memory-log";

const two = (n: number) => String(n).padStart(2, "0");

/** Three days at one second, from 1 May on: the head is all of the first day, which could be 5 January. */
function threeDays(): string {
  const lines = ["Time,Load L1 (W),Load L2 (W)"];
  for (let i = 0; i < 3 * 86_400; i++) {
    const s = i % 86_400;
    const clock = `${two(Math.floor(s / 3600))}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
    lines.push(`05/${two(1 + Math.floor(i / 86_400))}/2026 ${clock},${300 + (i % 700)},${200 + (i % 900)}`);
  }
  return `${lines.join("\n")}\n`;
}

describe("furtherPieces", () => {
  it("shows days go by where the head is all of one day", async () => {
    const folder = mkdtempSync(join(tmpdir(), "legroom-pieces-"));
    try {
      const path = join(folder, "log.csv");
      const text = threeDays();
      writeFileSync(path, text);
      const head = Buffer.from(text.slice(0, SNIFF_BYTES));
      const { further } = await furtherPieces(await fileLogSource(path), head.length);
      expect(further.length).toBe(24);
      expect(text.endsWith(Buffer.from(further[23]).toString())).toBe(true);
      const options = { name: "log.csv", strict: false };
      expect(sniffLog(head, null, options).ask.map((q) => q.choice)).toContain("time.format");
      expect(sniffLog(head, null, { ...options, further, sizeBytes: text.length })).toMatchObject({
        ask: [],
        draft: { time: { format: "MM/dd/yyyy HH:mm:ss" } },
      });
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it("shows a grid that is in use for an hour of a day only, and what its signs and words are", async () => {
    const lines = ["ts,p_l1,p_l2,batt,grid,mode"];
    for (let i = 0; i < 86_400; i++) {
      const on = i >= 66_000 && i < 69_600;
      const l1 = 300 + ((13 * i * i) % 701);
      const l2 = 200 + ((7 * i * i) % 907);
      const cells = [l1, l2, on ? 0 : l1 + l2 + 40, on ? -(l1 + l2) : 0, on ? 1 : 0];
      lines.push([1_780_000_000 + i, ...cells].join(","));
    }
    const folder = mkdtempSync(join(tmpdir(), "legroom-pieces-"));
    try {
      const path = join(folder, "log.csv");
      writeFileSync(path, `${lines.join("\n")}\n`);
      const head = Buffer.from(`${lines.join("\n")}\n`.slice(0, SNIFF_BYTES));
      const { further } = await furtherPieces(await fileLogSource(path), head.length);
      const { draft } = sniffLog(head, null, { name: "log.csv", strict: false, further });
      expect(draft.channels?.gridW?.positive).toBe("export");
      expect(draft.channels?.source?.words).toEqual({ "0": "inverter", "1": "utility" });
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it("gives none of a log that is no longer than its head, without reading it", async () => {
    const open = () => {
      throw new Error("not to be read");
    };
    const short = { ...memoryLog("t,a\n"), sizeBytes: 1000, open, range: open };
    expect(await furtherPieces(short, 1000)).toEqual({ further: [], sizeBytes: 1000 });
  });

  it("takes the same pieces of a log that goes by once, cut anywhere, as of a file that can be read anywhere", async () => {
    const all = Buffer.alloc(SNIFF_BYTES + 4_000_000);
    for (let i = 0; i + 4 <= all.length; i += 4) all.writeUInt32LE((i * 2_654_435_761) >>> 0, i);
    await fc.assert(
      fc.asyncProperty(
        fc.oneof(
          fc.integer({ min: 0, max: 400_000 }),
          fc.integer({ min: 0, max: 4_000_000 }),
          // Around a doubling of the grid's steps, to the byte.
          fc
            .tuple(fc.integer({ min: 0, max: 2 }), fc.integer({ min: -3, max: 3 }))
            .map(([doubled, by]) => 96 * PIECE_BYTES * 2 ** doubled + 2 * PIECE_BYTES + by),
        ),
        fc.array(fc.integer({ min: 1, max: 700_000 }), { maxLength: 8 }),
        async (behind, cuts) => {
          const bytes = all.subarray(0, SNIFF_BYTES + behind);
          async function* open() {
            for (let from = 0, n = 0; from < bytes.length; n++) {
              // The array is another's as soon as the next one is asked for.
              const piece = Uint8Array.from(bytes.subarray(from, from + (cuts[n] ?? 65_537)));
              from += piece.length;
              yield piece;
              piece.fill(0);
            }
          }
          async function* range(from: number, to: number) {
            yield bytes.subarray(from, to);
          }
          const file = { open, range, sizeBytes: bytes.length };
          const known = await furtherPieces(file, SNIFF_BYTES);
          const passing = await furtherPieces({ open, sizeBytes: null }, SNIFF_BYTES);
          expect(passing.sizeBytes).toBe(bytes.length);
          expect(passing.further.length).toBe(known.further.length);
          for (const [i, piece] of passing.further.entries())
            expect([i, Buffer.compare(piece, known.further[i])]).toEqual([i, 0]);
          expect(known.further.length).toBe(
            behind < 8 * PIECE_BYTES ? 0 : Math.min(24, Math.floor(behind / PIECE_BYTES)),
          );
          for (const piece of known.further) expect(piece.byteLength).toBeGreaterThanOrEqual(PIECE_BYTES);
        },
      ),
      { numRuns: 50 },
    );
  });
});
