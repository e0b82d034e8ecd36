import { deserialize, serialize } from "node:v8";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createPowerFromEnergy, type EnergyChannel } from "../../src/ingest/power-from-energy";
import { createSampleColumns, type SampleColumns } from "../../src/ingest/sample-columns";
import type { LogShape } from "../../src/ingest/sample-sink";
import { readMemoryLog } from "../unit/ingest/memory-log";

const T0 = Date.UTC(2026, 4, 1, 6);

/** Rows of a counter: seconds since the row before, its rise in Wh, and what may be wrong with the row. */
const rows = fc.array(
  fc.record({
    stepS: fc.oneof(
      { weight: 12, arbitrary: fc.constant(60) },
      { weight: 3, arbitrary: fc.integer({ min: 1, max: 170 }) },
      {
        weight: 1,
        arbitrary: fc.constantFrom(300, 900, 86_400),
      },
    ),
    riseWh: fc.oneof(
      { weight: 8, arbitrary: fc.integer({ min: 0, max: 120 }) },
      { weight: 1, arbitrary: fc.constantFrom(-5000, 90_000) },
    ),
    cell: fc.oneof(
      { weight: 10, arbitrary: fc.constant("reading") },
      { weight: 2, arbitrary: fc.constantFrom("", "--", "x") },
    ),
  }),
  { minLength: 2, maxLength: 400 },
);

type Row = { stepS: number; riseWh: number; cell: string };

function csv(list: readonly Row[]): { text: string; readings: { atMs: number; wh: number | null }[] } {
  let atMs = T0;
  let wh = 100_000;
  const readings = list.map(({ stepS, riseWh, cell }) => {
    atMs += stepS * 1000;
    wh += riseWh;
    return { atMs, wh: cell === "reading" ? wh : null, cell: cell === "reading" ? String(wh) : cell };
  });
  const lines = readings.map((r) => `${new Date(r.atMs).toISOString()},${r.cell},230`);
  return { text: `time,wh,volts\n${lines.join("\n")}\n`, readings };
}

const map = (stamps: "start" | "end") => ({
  time: { column: "time", stamps },
  channels: { loadW: { column: "wh", unit: "Wh" }, loadL1V: { column: "volts" } },
});

const SHAPE: LogShape = { channels: ["loadW", "gridW"], hasSource: false, hasFault: false };
const CHANNELS: EnergyChannel[] = [
  { channel: "loadW", values: 0, form: "interval", plus: 0, minus: -1, sign: 1, min: -2e5, max: 2e5 },
  { channel: "gridW", values: 1, form: "counter", plus: 1, minus: 2, sign: -1, min: -2e5, max: 2e5 },
];

/** Pushes samples in pieces; with `again` what is carried goes through a file and back between them. */
function inPieces(list: readonly Row[], pieces: readonly number[], shiftMs: number, again: boolean) {
  const { readings } = csv(list);
  const given: string[] = [];
  const problems: unknown[] = [];
  const create = (known: Parameters<typeof createPowerFromEnergy>[5]) =>
    createPowerFromEnergy(SHAPE, CHANNELS, 3, shiftMs, (...problem) => problems.push(problem), known);
  let powers = create(null);
  const give = (out: SampleColumns) => {
    for (let i = 0; i < out.n; i++)
      given.push([out.timesMs[i], out.lines[i], ...out.values.map((v) => v[i])].join());
    powers.handedOver();
  };
  for (let from = 0, p = 0; from < readings.length; p++) {
    const n = Math.min(pieces[p % pieces.length], readings.length - from);
    const columns = createSampleColumns(SHAPE, n, 3);
    for (let i = 0; i < n; i++) {
      const { atMs, wh } = readings[from + i];
      columns.timesMs[i] = atMs;
      columns.lines[i] = from + i;
      columns.energies[0][i] = wh === null ? Number.NaN : wh % 500;
      columns.energies[1][i] = wh ?? Number.NaN;
      columns.energies[2][i] = (from + i) % 7 === 3 ? Number.NaN : (from + i) * 13;
    }
    columns.n = n;
    give(powers.push(columns));
    from += n;
    if (again) powers = create(deserialize(serialize(powers.state())));
  }
  give(powers.end());
  return { given, problems, coarse: powers.coarse() };
}

describe("powers from a counter", { timeout: 60_000 }, () => {
  it("are the same in pieces of any size, and when what is carried was put away in between", () => {
    fc.assert(
      fc.property(
        fc.array(rows, { minLength: 1, maxLength: 8 }).map((lists) => lists.flat()),
        fc.array(fc.integer({ min: 1, max: 700 }), { minLength: 1, maxLength: 5 }),
        fc.constantFrom(0, 60_000, 900_000),
        fc.boolean(),
        (list, pieces, shiftMs, again) => {
          expect(inPieces(list, pieces, shiftMs, again)).toEqual(
            inPieces(list, [list.length], shiftMs, false),
          );
        },
      ),
      { numRuns: 100 },
    );
  });

  it("are the same to the bit whatever the size of the chunks, and for rows in any order", async () => {
    await fc.assert(
      fc.asyncProperty(
        rows,
        fc.constantFrom("start" as const, "end" as const),
        fc.integer({ min: 1, max: 3000 }),
        async (list, stamps, chunkBytes) => {
          const { text } = csv(list);
          const whole = await readMemoryLog(text, map(stamps));
          const pieces = await readMemoryLog(text, map(stamps), { chunkBytes });
          expect(pieces.sink.samples).toEqual(whole.sink.samples);
          expect({ ...pieces.verdict }).toEqual({ ...whole.verdict });
          const [header, ...lines] = text.trim().split("\n");
          const turned = await readMemoryLog([header, ...lines.reverse()].join("\n"), map(stamps));
          const bare = (samples: typeof whole.sink.samples) =>
            samples.map((sample) => ({ ...sample, line: 0 }));
          expect(bare(turned.sink.samples)).toEqual(bare(whole.sink.samples));
        },
      ),
      { numRuns: 150 },
    );
  });

  it("are, reckoned apart, the rise over the time to the next reading, and nothing across falls, holes and jumps", async () => {
    await fc.assert(
      fc.asyncProperty(rows, async (list) => {
        const { text, readings } = csv(list);
        const { sink, verdict } = await readMemoryLog(text, map("start"));
        if (verdict.refused) return;
        const nominalMs = verdict.nominalMs as number;
        // Long runs of another interval begin a segment of their own; here all readings are to be of one.
        if (list.length > 99) return;
        expect(sink.samples.length).toBe(readings.length);
        for (const [i, sample] of sink.samples.entries()) {
          const from = readings.findLastIndex((r, k) => k <= i && r.wh !== null);
          const to = readings.findIndex((r, k) => k > i && r.wh !== null);
          let expected = Number.NaN;
          if (from >= 0 && to >= 0) {
            const rise = (readings[to].wh as number) - (readings[from].wh as number);
            const tookMs = readings[to].atMs - readings[from].atMs;
            const power = Math.fround((rise * 3_600_000) / tookMs);
            if (rise >= 0 && tookMs <= 3 * nominalMs && power <= 200_000) expected = power;
          }
          expect(sample.loadW).toBe(expected);
        }
      }),
      { numRuns: 150 },
    );
  });
});
