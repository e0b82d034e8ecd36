import { describe, expect, it } from "vitest";
import { countsOf, readMemoryLog } from "./memory-log";

const MINUTE_MS = 60_000;
const T0 = Date.UTC(2026, 4, 1, 6);

/** A log of one counter in kWh; a reading is [minute, cell]. */
function log(
  readings: readonly (readonly [minute: number, cell: string | number])[],
  header = "time,kwh",
): string {
  return `${header}\n${readings.map(([m, cell]) => `${new Date(T0 + m * MINUTE_MS).toISOString()},${cell}`).join("\n")}\n`;
}

const MAP = { time: { column: "time" }, channels: { loadW: { column: "kwh", unit: "kWh" } } };
const END_MAP = { ...MAP, time: { column: "time", stamps: "end" } };

async function powers(text: string, map: object = MAP, options: object = {}) {
  const { verdict, sink } = await readMemoryLog(text, map, options);
  if (verdict.refused) throw new Error(JSON.stringify(verdict.problem));
  return {
    powers: sink.samples.map((s) => (s.loadW ?? s.gridW ?? s.solarW) as number),
    minutes: sink.samples.map((s) => (s.timeMs - T0) / MINUTE_MS),
    codes: verdict.codes,
    rejects: verdict.rejects,
    notes: verdict.notes,
    counts: countsOf(verdict),
  };
}

describe("power from an energy counter", () => {
  it("is the difference to the next reading over the time between; the last sample has none", async () => {
    const found = await powers(
      log([
        [0, 10],
        [1, 10.02],
        [2, 10.05],
        [3, 10.05],
      ]),
    );
    expect(found.powers.map((p) => Math.round(p * 1000) / 1000)).toEqual([1200, 1800, 0, Number.NaN]);
    expect(found.counts).toMatchObject({ records: 4, taken: 4 });
    expect(found.codes).toEqual({});
  });

  it("is the difference from the reading before where stamps end the interval; the first sample has none", async () => {
    const found = await powers(
      log([
        [0, 10],
        [1, 10.02],
        [2, 10.05],
        [3, 10.05],
      ]),
      END_MAP,
    );
    expect(found.minutes).toEqual([-1, 0, 1, 2]);
    expect(found.powers.map((p) => Math.round(p * 1000) / 1000)).toEqual([Number.NaN, 1200, 1800, 0]);
  });

  it("times its hold is what the counter counted, with uneven end stamps too", async () => {
    const minutes = [0, 1, 2.1, 3, 5, 6, 6.9, 8, 9, 10];
    const kwh = [0, 0.02, 0.05, 0.06, 0.12, 0.14, 0.2, 0.21, 0.22, 0.25];
    const found = await powers(log(minutes.map((m, i) => [m, kwh[i]] as const)), END_MAP);
    let wh = 0;
    for (let i = 1; i < found.powers.length; i++) {
      const holdMin = i + 1 < found.minutes.length ? found.minutes[i + 1] - found.minutes[i] : 1;
      wh += (found.powers[i] * holdMin) / 60;
    }
    // From the hold of the second sample, which begins at minute 0.
    expect(wh).toBeCloseTo(250, 3);
  });

  it("is missing across a fall, and the fall is counted with both readings", async () => {
    const found = await powers(
      log([
        [0, 900],
        [1, 900.01],
        [2, 0.5],
        [3, 0.51],
        [4, 0.52],
      ]),
    );
    expect(found.powers.map((p) => Math.round(p))).toEqual([600, Number.NaN, 600, 600, Number.NaN]);
    expect(found.codes).toEqual({ "cell.counter-reset": 1 });
    expect(found.rejects).toMatchObject([{ line: 4, column: 2, columnName: "kwh", text: "900.01 → 0.5" }]);
  });

  it("is missing across a hole, and there is never an hour of 80 kW after it", async () => {
    const found = await powers(
      log([
        [0, 1],
        [1, 1.01],
        [2, 1.02],
        [60 * 24, 81.02],
        [60 * 24 + 1, 81.03],
      ]),
    );
    expect(found.powers.map((p) => Math.round(p))).toEqual([600, 600, Number.NaN, 600, Number.NaN]);
    expect(found.codes).toEqual({ "cell.counter-gap": 1 });
  });

  it("bridges readings that are missing up to three intervals", async () => {
    const rows = (gap: number) =>
      log(
        [
          ...[0, 1, 2, 3].map((m) => [m, `${m / 100},5`] as const),
          ...Array.from({ length: gap }, (_, i) => [4 + i, ",5"] as const),
          ...[4, 5, 6].map((m) => [m + gap, `${(m + gap) / 100},5`] as const),
        ],
        "time,kwh,volts",
      );
    const map = { ...MAP, channels: { ...MAP.channels, loadL1V: { column: "volts" } } };
    const bridged = await powers(rows(2), map);
    expect(bridged.powers.map((p) => Math.round(p))).toEqual([
      600,
      600,
      600,
      600,
      600,
      600,
      600,
      600,
      Number.NaN,
    ]);
    const hole = await powers(rows(3), map);
    expect(hole.powers.map((p) => Math.round(p))).toEqual([
      600,
      600,
      600,
      ...Array(4).fill(Number.NaN),
      600,
      600,
      Number.NaN,
    ]);
    expect(hole.codes).toEqual({ "cell.counter-gap": 1 });
  });

  it("is missing where it would be beyond the channel's bounds", async () => {
    const found = await powers(
      log([
        [0, 1],
        [1, 1.01],
        [2, 9],
        [3, 9.01],
        [4, 9.02],
      ]),
    );
    expect(found.powers.map((p) => Math.round(p))).toEqual([600, Number.NaN, 600, 600, Number.NaN]);
    expect(found.codes).toEqual({ "cell.out-of-range": 1 });
    expect(found.rejects[0].text).toBe("1.01 → 9");
  });

  it("is the difference of both in a one-way pair, each with its own falls", async () => {
    const text =
      "time,in,out\n" +
      [
        [0, 5, 7],
        [1, 5.01, 7],
        [2, 5.01, 7.02],
        [3, 5.02, 0],
        [4, 5.03, 0.01],
        [5, 5.04, 0.02],
      ]
        .map(([m, a, b]) => `${new Date(T0 + m * MINUTE_MS).toISOString()},${a},${b}`)
        .join("\n");
    const map = {
      time: { column: "time" },
      channels: { gridW: { column: { plus: "in", minus: "out" }, unit: "kWh", energy: "counter" } },
    };
    const found = await powers(text, map);
    expect(found.powers.map((p) => Math.round(p))).toEqual([600, -1200, Number.NaN, 0, 0, Number.NaN]);
    expect(found.codes).toEqual({ "cell.counter-reset": 1 });
    const sold = await powers(text, {
      ...map,
      channels: { gridW: { column: "out", unit: "kWh", positive: "export" } },
    });
    expect(sold.powers.map((p) => Math.round(p) + 0)).toEqual([0, -1200, Number.NaN, -600, -600, Number.NaN]);
  });

  it("takes Wh and MWh", async () => {
    for (const [unit, factor] of [
      ["Wh", 1000],
      ["MWh", 0.001],
    ] as const) {
      const map = { time: { column: "time" }, channels: { loadW: { column: "kwh", unit } } };
      const found = await powers(
        log([
          [0, 1 * factor],
          [1, 1.02 * factor],
          [2, 1.03 * factor],
        ]),
        map,
      );
      expect(found.powers.map((p) => Math.round(p))).toEqual([1200, 600, Number.NaN]);
    }
  });

  it("follows a change of the interval instead of taking every step for a hole", async () => {
    const minutes = [
      ...Array.from({ length: 1100 }, (_, i) => i),
      ...Array.from({ length: 200 }, (_, i) => 1100 + 15 * i),
    ];
    const found = await powers(log(minutes.map((m) => [m, (m / 100).toFixed(2)] as const)));
    expect(found.codes).toEqual({});
    expect(found.powers.slice(0, -1).every((p) => Math.abs(p - 600) < 0.01)).toBe(true);
  });

  it("says that a counter is coarse, with its resolution, and only then", async () => {
    const coarse = log(
      Array.from({ length: 60 }, (_, m) => [m, (Math.floor(m / 7) / 10).toFixed(1)] as const),
    );
    const found = await powers(coarse);
    expect(found.notes).toEqual([
      { code: "series.counter-coarse", figures: { channel: "loadW", resolutionWh: 100, stepW: 6000 } },
    ]);
    expect([...new Set(found.powers.map((p) => Math.round(p)))]).toEqual([0, 6000, Number.NaN]);
    const fine = log(Array.from({ length: 60 }, (_, m) => [m, (m * 0.0471).toFixed(4)] as const));
    expect((await powers(fine)).notes).toEqual([]);
  });

  it("is the same for a log that is sorted", async () => {
    const readings = Array.from({ length: 40 }, (_, m) => [m, (m * 0.0371).toFixed(4)] as const);
    const inOrder = await powers(log(readings));
    const turned = await powers(log([...readings].reverse()));
    expect(turned.powers).toEqual(inOrder.powers);
    expect(turned.minutes).toEqual(inOrder.minutes);
  });

  it("takes equal rows for duplicates and other readings at the same instant for conflicts", async () => {
    const found = await powers(
      log([
        [0, 1],
        [1, 1.01],
        [1, 1.01],
        [1, 1.02],
        [2, 1.02],
        [3, 1.03],
      ]),
    );
    expect(found.counts).toMatchObject({ records: 6, taken: 4, duplicates: 1, conflicts: 1 });
    expect(found.powers.map((p) => Math.round(p))).toEqual([600, 600, 600, Number.NaN]);
  });
});

describe("power from energy of the interval", () => {
  const map = {
    time: { column: "time" },
    channels: { solarW: { column: "kwh", unit: "kWh", energy: "interval" } },
  };

  it("is the energy over the hold", async () => {
    const found = await powers(
      log([
        [0, 0.25],
        [15, 0.5],
        [30, 0],
        [45, 0.1],
      ]),
      map,
    );
    expect(found.powers.map((p) => Math.round(p))).toEqual([1000, 2000, 0, 400]);
  });

  it("takes a little under zero of the sun as zero, and counts it", async () => {
    const found = await powers(
      log([
        [0, 0.25],
        [15, -0.001],
        [30, 0.1],
      ]),
      map,
    );
    expect(found.powers.map((p) => Math.round(p))).toEqual([1000, 0, 400]);
    expect(found.notes).toEqual([{ code: "solar-below-zero", figures: { cells: 1 } }]);
  });

  it("is missing beyond the channel's bounds", async () => {
    const found = await powers(
      log([
        [0, 0.25],
        [15, 90],
        [30, 0.1],
      ]),
      map,
    );
    expect(found.powers.map((p) => Math.round(p))).toEqual([1000, Number.NaN, 400]);
    expect(found.codes).toEqual({ "cell.out-of-range": 1 });
  });
});
