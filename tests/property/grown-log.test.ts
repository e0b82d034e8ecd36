import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { LogVerdict } from "../../src/ingest/log-verdict";
import { continueLog, HEAD_BYTES, type ReadLogOptions, readLog } from "../../src/ingest/read-log";
import type { ReadPosition } from "../../src/ingest/read-position";
import { columnMap } from "../../src/site/column-map";
import { collectingSink, RECEIVED_AT_MS, type Sample } from "../unit/ingest/memory-log";

const T0 = Date.UTC(2026, 4, 1, 6);
const HEADER = "time,l1,import,export,energy,feed,code";
const map = (stamps: "start" | "end") =>
  columnMap({
    version: 1,
    time: { column: "time", stamps },
    channels: {
      loadL1W: { column: "l1" },
      gridW: { column: { plus: "import", minus: "export" }, unit: "Wh", energy: "counter" },
      solarW: { column: "energy", unit: "Wh", energy: "interval" },
      source: { column: "feed", words: { own: "inverter", street: "utility" } },
      faultCode: { column: "code" },
    },
  })!;

/** Rows of a log that is long enough to be read on, ten seconds apart. */
const BASE = (() => {
  const lines = [HEADER];
  let bytes = 0;
  for (let i = 0; bytes < HEAD_BYTES + 4000; i++) {
    const line = rowAt(i);
    lines.push(line);
    bytes += line.length + 1;
  }
  return { text: `${lines.join("\n")}\n`, rows: lines.length - 1 };
})();

function rowAt(i: number, more: { importWh?: number; code?: string } = {}): string {
  const time = new Date(T0 + i * 10_000).toISOString();
  const importWh = more.importWh ?? 1000 + i * 2;
  return `${time},${400 + (i % 50)},${importWh},${500 + (i >> 3)},${i % 4},${i % 900 < 20 ? "street" : "own"},${more.code ?? (i % 700 === 0 ? "F7" : "0")}`;
}

/** What may come behind: a row, or something else that logs have. */
const piece = fc.oneof(
  {
    weight: 10,
    arbitrary: fc.record({ skip: fc.constantFrom(0, 0, 0, 0, 1, 2, 8), kind: fc.constant("row") }),
  },
  {
    weight: 4,
    arbitrary: fc.record({
      skip: fc.constant(0),
      kind: fc.constantFrom(
        "fall",
        "jump",
        "empty",
        "bad",
        "new code",
        "blank",
        "footer",
        "short",
        "quote",
        "again",
        "umlaut",
      ),
    }),
  },
);
const tails = fc.array(piece, { minLength: 1, maxLength: 60 });

function tailText(pieces: readonly { skip: number; kind: string }[], end: string): string {
  let i = BASE.rows;
  let base = 1000;
  const lines = pieces.map(({ skip, kind }) => {
    i += skip;
    if (kind === "fall") base -= 400;
    if (kind === "jump") base += 50_000;
    const importWh = base + i * 2;
    switch (kind) {
      case "blank":
        return "";
      case "footer":
        return "End of day,,,,,,";
      case "short":
        return "2026-05-01";
      case "quote":
        return `${rowAt(i++, { importWh }).replace(/,0$/, ',"0"')}`;
      case "again":
        return rowAt(i - 1, { importWh });
      case "empty":
        return rowAt(i++)
          .replace(/,\d+,/, ",,")
          .replace(/^([^,]*,[^,]*),\d+/, "$1,");
      case "bad":
        return rowAt(i++, { importWh }).replace(/^([^,]*),/, "$1,x");
      case "new code":
        return rowAt(i++, { importWh, code: `F${i % 13}` });
      case "umlaut":
        return rowAt(i++, { importWh, code: "Störung" });
      default:
        return rowAt(i++, { importWh });
    }
  });
  return lines.join(end) + end;
}

type Read = {
  samples: Sample[];
  verdict: Extract<LogVerdict, { refused: false }>;
  position: ReadPosition | null;
};

const source = (bytes: Uint8Array) => {
  async function* range(from: number, to: number) {
    for (let at = from; at < to; at += 50_000) yield bytes.subarray(at, Math.min(to, at + 50_000));
  }
  return { name: "test.csv", sizeBytes: bytes.length, open: () => range(0, bytes.length), range };
};

async function fresh(bytes: Uint8Array, stamps: "start" | "end"): Promise<Read> {
  const sink = collectingSink();
  let position: ReadPosition | null = null;
  const verdict = await readLog(
    source(bytes),
    map(stamps),
    options((p) => (position = p)),
    sink,
  );
  if (verdict.refused) throw new Error(verdict.problem.what);
  return { samples: sink.samples, verdict, position };
}

const options = (onPosition: (position: ReadPosition) => void): ReadLogOptions => ({
  siteZone: "America/Denver",
  receivedAtMs: RECEIVED_AT_MS,
  onPosition,
});

/** What stands after the log that was read has grown to these bytes; null where it has to be read anew. */
async function grown(before: Read, bytes: Uint8Array, stamps: "start" | "end"): Promise<Read | null> {
  const sink = collectingSink();
  let position: ReadPosition | null = null;
  const known = before.position;
  if (known === null) return null;
  const outcome = await continueLog(
    source(bytes),
    map(stamps),
    known,
    options((p) => (position = p)),
    sink,
  );
  if (outcome === null) return null;
  const stands = before.samples.filter((s) => known.tailFromMs === null || s.timeMs < known.tailFromMs);
  const rejects = [...before.verdict.rejects.slice(0, outcome.rejectsBefore), ...outcome.verdict.rejects];
  return { samples: [...stands, ...sink.samples], verdict: { ...outcome.verdict, rejects }, position };
}

describe("a log that has grown", { timeout: 120_000 }, () => {
  it("is, read on, what it is read anew: samples, counts, rejects and notes, wherever it was cut", async () => {
    let readOn = 0;
    let anew = 0;
    await fc.assert(
      fc.asyncProperty(
        tails,
        fc.constantFrom("\n", "\r\n"),
        fc.constantFrom("start" as const, "end" as const),
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 1, maxLength: 3 }),
        async (pieces, end, stamps, cuts) => {
          const bytes = new TextEncoder().encode(BASE.text + tailText(pieces, end));
          const whole = await fresh(bytes, stamps);
          const least = HEAD_BYTES + 2000;
          let now: Read | null = null;
          for (const cut of [...cuts].sort((a, b) => a - b)) {
            const part = bytes.subarray(0, least + Math.floor(cut * (bytes.length - least)));
            now = (now && (await grown(now, part, stamps))) ?? (await fresh(part, stamps));
          }
          const read = await grown(now!, bytes, stamps);
          if (read === null) {
            anew++;
            return;
          }
          readOn++;
          expect(read.samples).toEqual(whole.samples);
          expect(read.verdict).toEqual(whole.verdict);
        },
      ),
      { numRuns: 40 },
    );
    // Otherwise nothing was proved.
    expect(readOn).toBeGreaterThan(12);
    expect(anew).toBeLessThan(readOn);
  });
});
