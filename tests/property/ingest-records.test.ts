import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { readMemoryLog } from "../unit/ingest/memory-log";

const MAP = {
  time: { column: "time" },
  channels: {
    loadL1W: { column: "l1" },
    loadL2W: { column: "l2" },
    source: { column: "src", words: { own: "inverter" } },
    faultCode: { column: "code" },
  },
};
const HEADER = "time,l1,l2,src,code";

const row = fc
  .record({
    s: fc.integer({ min: 0, max: 5000 }),
    l1: fc.oneof(
      fc.integer({ min: -50, max: 9000 }).map(String),
      fc.constantFrom("", "--", "x", "1e9", "1,5"),
    ),
    l2: fc.double({ min: 0, max: 9000, noNaN: true }).map((v) => v.toFixed(1)),
    src: fc.constantFrom("own", "utility", "", "?"),
    code: fc.constantFrom("0", "7", ""),
  })
  .map(
    (r) => `${new Date(Date.UTC(2026, 4, 1) + r.s * 1000).toISOString()},${r.l1},${r.l2},${r.src},${r.code}`,
  );

/** A row, or something that a log may hold in its place. */
const lineOf = fc.oneof(
  { weight: 8, arbitrary: row },
  {
    weight: 1,
    arbitrary: fc.constantFrom(
      "",
      ",,,,",
      HEADER,
      "end of log",
      "2026-05-01T00:00,1",
      '"open,1,2,own,0',
      "1970-01-01T00:00:00Z,1,2,own,0",
      `${HEADER},extra`,
    ),
  },
  { weight: 1, arbitrary: row.map((r) => r.replace(/,/, ',"').replace(/,(?=[^,]*$)/, '",')) },
);

const logText = fc
  .tuple(fc.array(lineOf, { minLength: 1, maxLength: 60 }), fc.constantFrom("\n", "\r\n"), fc.boolean())
  .map(([lines, end, last]) => [HEADER, ...lines].join(end) + (last ? end : ""));

describe("reading a log", { timeout: 60_000 }, () => {
  it("counts every record once, whatever bytes were changed", async () => {
    await fc.assert(
      fc.asyncProperty(
        logText,
        fc.array(fc.tuple(fc.nat(), fc.integer({ min: 1, max: 127 })), { maxLength: 6 }),
        fc.integer({ min: 1, max: 500 }),
        async (text, changes, chunkBytes) => {
          const bytes = new TextEncoder().encode(text);
          for (const [at, to] of changes) {
            const i = HEADER.length + 2 + (at % Math.max(1, bytes.length - HEADER.length - 2));
            if (i < bytes.length) bytes[i] = to;
          }
          const { verdict, sink } = await readMemoryLog(bytes, MAP, { chunkBytes });
          if (verdict.refused) return;
          const { records, taken, duplicates, conflicts, rejected, skipped } = verdict.counts;
          expect(taken + duplicates + conflicts + rejected + skipped).toBe(records);
          expect(sink.samples.length).toBe(taken);
          for (const n of Object.values(verdict.counts)) expect(n).toBeGreaterThanOrEqual(0);
          for (let i = 1; i < sink.samples.length; i++) {
            expect(sink.samples[i].timeMs).toBeGreaterThan(sink.samples[i - 1].timeMs);
          }
          const rowCodes = Object.entries(verdict.codes).filter(([c]) =>
            /^row\.|^cell\.(time|not-a-time)/.test(c),
          );
          expect(rowCodes.reduce((sum, [, n]) => sum + (n ?? 0), 0)).toBe(rejected);
          expect(verdict.codes["series.conflict"] ?? 0).toBe(conflicts);
        },
      ),
      { numRuns: 400 },
    );
  });

  it("has as many records as physical lines under the header where nothing is quoted", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(row, { minLength: 1, maxLength: 60 }), async (lines) => {
        const { verdict } = await readMemoryLog(`${[HEADER, ...lines].join("\n")}\n`, MAP);
        if (verdict.refused) {
          expect(verdict.problem.code).toBe("file.nothing-taken");
          expect(verdict.problem.what).toContain(`None of the ${lines.length} rows`);
        } else expect(verdict.counts.records).toBe(lines.length);
      }),
      { numRuns: 100 },
    );
  });

  it("gives the same whatever pieces the bytes come in", async () => {
    await fc.assert(
      fc.asyncProperty(logText, fc.integer({ min: 1, max: 200 }), async (text, chunkBytes) => {
        const whole = await readMemoryLog(`\uFEFF${text}`, MAP, { chunkBytes: 1 << 20 });
        const pieces = await readMemoryLog(`\uFEFF${text}`, MAP, { chunkBytes });
        expect(pieces.verdict).toEqual(whole.verdict);
        expect(pieces.sink.samples).toEqual(whole.sink.samples);
      }),
      { numRuns: 300 },
    );
  });

  it("gives the same samples in whatever order the rows stand", async () => {
    const distinct = fc.uniqueArray(fc.integer({ min: 0, max: 100_000 }), { minLength: 2, maxLength: 80 });
    await fc.assert(
      fc.asyncProperty(distinct, fc.infiniteStream(fc.nat()), async (seconds, random) => {
        const lines = seconds.map(
          (s) => `${new Date(Date.UTC(2026, 4, 1) + s * 1000).toISOString()},${s % 7000},1,own,0`,
        );
        const sorted = [...lines].sort();
        const shuffled = [...lines]
          .map((l) => [random.next().value as number, l] as const)
          .sort((a, b) => a[0] - b[0])
          .map(([, l]) => l);
        const a = await readMemoryLog([HEADER, ...sorted].join("\n"), MAP);
        const b = await readMemoryLog([HEADER, ...shuffled].join("\n"), MAP);
        const plain = (s: (typeof a)["sink"]["samples"]) => s.map(({ line: _line, ...rest }) => rest);
        expect(plain(b.sink.samples)).toEqual(plain(a.sink.samples));
        expect(!b.verdict.refused && b.verdict.counts).toEqual(!a.verdict.refused && a.verdict.counts);
      }),
      { numRuns: 150 },
    );
  });
});
