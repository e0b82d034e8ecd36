import { describe, expect, it } from "vitest";
import { appendRows, createFrame, type HeldSeries } from "../../../src/analysis/frame";
import { createHoldState, settleHolds } from "../../../src/analysis/holds";
import type { NumericChannel, Series } from "../../../src/analysis/series";
import { SOURCES } from "../../../src/analysis/series";
import {
  createUnionState,
  endInUnion,
  pushToUnion,
  settleUnion,
  unionWaits,
} from "../../../src/analysis/union-loggers";
import { type Sample, START_MS, seriesOf, slice, steady } from "./samples";

function loggerOf(series: Series) {
  return {
    channels: Object.keys(series.channels) as NumericChannel[],
    hasSource: series.sources !== null,
    hasFault: series.faults !== null,
  };
}

/** The whole union of loggers given as samples. */
function unionOf(...loggers: Sample[][]): HeldSeries {
  const series = loggers.map((samples) => seriesOf(samples));
  const state = createUnionState(series.map(loggerOf));
  for (const [logger, one] of series.entries()) pushToUnion(state, logger, one);
  const rows = settleUnion(state, true);
  if (rows === null) throw new Error("the union has no rows");
  expect(settleUnion(state, true)).toBeNull();
  return rows;
}

/** Seconds since the beginning. */
const seconds = (rows: HeldSeries) => Array.from(rows.timesMs, (at) => (at - START_MS) / 1000);
const column = (rows: HeldSeries, channel: NumericChannel) => Array.from(rows.channels[channel] ?? []);
const states = (rows: HeldSeries) => Array.from(rows.sources ?? [], (code) => SOURCES[code]);

describe("the union of several loggers (D1)", () => {
  it("gives exactly what settleHolds gives for one logger alone", () => {
    const samples = [
      ...steady(1200, 10, { loadW: 500, source: "inverter", fault: 0 }),
      ...steady(300, 10, { loadW: 700, source: "utility", fault: 2 }, 13_000),
      ...steady(200, 1, { loadW: 800, source: "unknown" }, 17_000),
      ...steady(3, 60, { source: "inverter" }, 20_000),
    ];
    const series = seriesOf(samples);
    const frame = createFrame(["loadW"], 16);
    const state = createHoldState();
    appendRows(frame, series, 0, samples.length);
    settleHolds(frame, state, true);
    expect(state.segments).toHaveLength(1);

    const rows = unionOf(samples);
    expect(rows.timesMs).toEqual(series.timesMs);
    expect(rows.channels).toEqual(series.channels);
    expect(rows.sources).toEqual(series.sources);
    expect(rows.faults).toEqual(series.faults);
    expect(rows.holdS).toEqual(frame.holdS.slice(0, samples.length));
    expect(rows.deltaMs).toEqual(frame.deltaMs.slice(0, samples.length));
    expect(rows.gapAfter).toEqual(frame.gapAfter.slice(0, samples.length));
    expect(rows.sourceGap).toEqual(new Uint8Array(samples.length));
  });

  it("has a row at each time of each logger, and holds every channel by its own", () => {
    const rows = unionOf(
      [
        { s: 0, loadW: 1 },
        { s: 10, loadW: 2 },
        { s: 20, loadW: 3 },
      ],
      [
        { s: 4, gridW: 7 },
        { s: 19, gridW: 8 },
      ],
    );
    // The load ends at 30 s, the grid at 34 s.
    expect(seconds(rows)).toEqual([0, 4, 10, 19, 20, 30]);
    expect(column(rows, "loadW")).toEqual([1, 1, 2, 2, 3, Number.NaN]);
    expect(column(rows, "gridW")).toEqual([Number.NaN, 7, 7, 8, 8, 8]);
    expect(Array.from(rows.holdS)).toEqual([4, 6, 9, 1, 10, 4]);
    expect(Array.from(rows.gapAfter)).toEqual([0, 0, 0, 0, 0, 1]);
  });

  it("has one row where two loggers have a sample at the same instant", () => {
    const rows = unionOf(
      [
        { s: 0, loadW: 1 },
        { s: 10, loadW: 2 },
      ],
      [
        { s: 0, gridW: 5 },
        { s: 10, gridW: 6 },
      ],
    );
    expect(seconds(rows)).toEqual([0, 10]);
    expect(column(rows, "loadW")).toEqual([1, 2]);
    expect(column(rows, "gridW")).toEqual([5, 6]);
    expect(Array.from(rows.holdS)).toEqual([10, 10]);
    expect(Array.from(rows.gapAfter)).toEqual([0, 1]);
  });

  it("ends a logger's channels where its hold ends before a gap, while the other one goes on", () => {
    const rows = unionOf(
      [...steady(3, 10, { loadW: 100 }), ...steady(3, 10, { loadW: 200 }, 100)],
      steady(5, 30, { gridW: 50 }),
    );
    expect(seconds(rows)).toEqual([0, 10, 20, 30, 60, 90, 100, 110, 120, 130]);
    const none = Number.NaN;
    expect(column(rows, "loadW")).toEqual([100, 100, 100, none, none, none, 200, 200, 200, none]);
    expect(column(rows, "gridW")).toEqual(Array(10).fill(50));
    expect(Array.from(rows.gapAfter)).toEqual([0, 0, 0, 0, 0, 0, 0, 0, 0, 1]);
    expect(rows.holdS.reduce((sum, hold) => sum + hold, 0)).toBe(150);
  });

  it("adds a row of its own for a hold that ends between the others' samples, however short", () => {
    // The median of an even count of differences, 2 and 3 ms, is 2.5 ms.
    const rows = unionOf(
      [
        { s: 0, loadW: 1 },
        { s: 0.002, loadW: 2 },
        { s: 0.005, loadW: 3 },
      ],
      [
        { s: 0, gridW: 5 },
        { s: 0.007, gridW: 6 },
        { s: 0.014, gridW: 7 },
      ],
    );
    const ms = Array.from(rows.timesMs, (at) => at - START_MS);
    expect(ms).toEqual([0, 2, 5, 7, 7.5, 14]);
    expect(column(rows, "loadW")).toEqual([1, 2, 3, 3, Number.NaN, Number.NaN]);
    expect(Array.from(rows.holdS)).toEqual([0.002, 0.003, 0.002, 0.0005, 0.0065, 0.007]);
  });

  it("has a gap where no logger has anything in force, until the last hold has ended", () => {
    const rows = unionOf(
      [...steady(3, 10, { loadW: 1 }), ...steady(3, 10, { loadW: 2 }, 500)],
      [...steady(3, 10, { gridW: 3 }, 4), ...steady(3, 10, { gridW: 4 }, 700)],
    );
    expect(seconds(rows)).toEqual([0, 4, 10, 14, 20, 24, 30, 500, 510, 520, 700, 710, 720]);
    expect(Array.from(rows.gapAfter)).toEqual([0, 0, 0, 0, 0, 0, 1, 0, 0, 1, 0, 0, 1]);
    expect(rows.holdS[6]).toBe(4);
    expect(rows.holdS[9]).toBe(10);
    expect(column(rows, "gridW").slice(5, 8)).toEqual([3, 3, Number.NaN]);
  });

  it("is no gap where one logger begins at the very instant at which the other one ends", () => {
    const rows = unionOf(steady(3, 10, { loadW: 1 }), steady(3, 10, { gridW: 2 }, 30));
    expect(seconds(rows)).toEqual([0, 10, 20, 30, 40, 50]);
    expect(Array.from(rows.gapAfter)).toEqual([0, 0, 0, 0, 0, 1]);
    expect(column(rows, "loadW")).toEqual([1, 1, 1, Number.NaN, Number.NaN, Number.NaN]);
  });

  it("shows a sample without a hold only where nothing else is in force", () => {
    const beside = unionOf(steady(3, 10, { loadW: 1 }), [{ s: 5, gridW: 9 }]);
    expect(seconds(beside)).toEqual([0, 5, 10, 20]);
    expect(column(beside, "gridW")).toEqual(Array(4).fill(Number.NaN));
    expect(beside.holdS.reduce((sum, hold) => sum + hold, 0)).toBe(30);

    const alone = unionOf(steady(3, 10, { loadW: 1 }), [{ s: 100, gridW: 9 }], [{ s: 100, solarW: 8 }]);
    expect(seconds(alone)).toEqual([0, 10, 20, 100]);
    expect(column(alone, "gridW")[3]).toBe(9);
    expect(column(alone, "solarW")[3]).toBe(8);
    expect(alone.holdS[3]).toBe(0);
    expect(Array.from(alone.gapAfter)).toEqual([0, 0, 1, 1]);
  });
});

describe("the source of the union (D5)", () => {
  it("is unknown, and marked as a gap, where its own logger has one", () => {
    const rows = unionOf(
      [...steady(3, 10, { source: "inverter" }), ...steady(2, 10, { source: "utility" }, 90)],
      steady(5, 30, { loadW: 50 }, -30),
    );
    expect(seconds(rows)).toEqual([-30, 0, 10, 20, 30, 60, 90, 100, 110]);
    const i = "inverter";
    const no = "unknown";
    expect(states(rows)).toEqual([no, i, i, i, no, no, "utility", "utility", no]);
    expect(Array.from(rows.sourceGap)).toEqual([1, 0, 0, 0, 1, 1, 0, 0, 1]);
  });

  it("is unknown without a gap where its logger says so", () => {
    const rows = unionOf(
      [
        { s: 0, source: "inverter" },
        { s: 10, source: "unknown" },
        { s: 20, source: "inverter" },
      ],
      steady(3, 10, { loadW: 50 }),
    );
    expect(states(rows)).toEqual(["inverter", "unknown", "inverter"]);
    expect(Array.from(rows.sourceGap)).toEqual([0, 0, 0]);
  });

  it("is not cut by the gaps of a logger that gives something else", () => {
    const rows = unionOf(steady(20, 10, { source: "inverter" }), [
      ...steady(3, 10, { loadW: 50 }),
      ...steady(3, 10, { loadW: 60 }, 150),
    ]);
    expect(rows.sourceGap).toEqual(new Uint8Array(20));
  });

  it("has the gaps of the loggers of load and grid power where it must be derived from them", () => {
    const rows = unionOf(
      steady(6, 10, { loadW: 50 }),
      [...steady(3, 5, { gridW: 0 }), ...steady(3, 5, { gridW: 0 }, 45)],
      steady(2, 10, { solarW: 5 }, 20),
    );
    expect(seconds(rows)).toEqual([0, 5, 10, 15, 20, 30, 40, 45, 50, 55]);
    expect(Array.from(rows.sourceGap)).toEqual([0, 0, 0, 1, 1, 1, 1, 0, 0, 0]);
  });

  it("has no faults and no sources where no logger has them", () => {
    const rows = unionOf(steady(3, 10, { loadW: 1 }), steady(3, 10, { gridW: 1 }));
    expect(rows.sources).toBeNull();
    expect(rows.faults).toBeNull();
  });

  it("takes the faults of the logger that gives them, none where that has nothing in force", () => {
    const rows = unionOf(steady(3, 10, { loadW: 1 }), steady(2, 10, { source: "inverter", fault: 3 }, 5));
    expect(seconds(rows)).toEqual([0, 5, 10, 15, 20, 25]);
    expect(Array.from(rows.faults ?? [])).toEqual([0, 3, 3, 3, 3, 0]);
  });
});

describe("the interval of a row", () => {
  it("is that of the logger that gives the load, of the first where it has had no sample yet", () => {
    const rows = unionOf(steady(13, 10, { gridW: 1 }), steady(2, 60, { loadW: 1 }, 20));
    expect(Array.from(rows.deltaMs.subarray(0, 4))).toEqual([10_000, 10_000, 60_000, 60_000]);
    expect(rows.deltaMs[rows.deltaMs.length - 1]).toBe(60_000);
  });

  it("is the longest where several loggers give the load, also in a gap of one", () => {
    const rows = unionOf(steady(12, 10, { loadL1W: 1 }), steady(2, 30, { loadL2W: 1 }));
    expect(new Set(rows.deltaMs)).toEqual(new Set([30_000]));
  });
});

describe("a union in the making", () => {
  const load = seriesOf(steady(2000, 1, { loadW: 1 }));
  const late = seriesOf(steady(1500, 10, { gridW: 1 }, 1500));

  it("gives no row before every logger's samples and holds are known so far", () => {
    const state = createUnionState([loggerOf(load), loggerOf(late)]);
    expect(settleUnion(state, false)).toBeNull();
    expect(unionWaits(state).forLogger).toBe(0);
    pushToUnion(state, 0, load);
    expect(settleUnion(state, false)).toBeNull();
    expect(unionWaits(state).forLogger).toBe(1);
    pushToUnion(state, 1, late);
    // The last sample of the load may be followed by a gap.
    expect(settleUnion(state, false)?.timesMs.length).toBe(1999);
    expect(unionWaits(state).forLogger).toBe(0);
  });

  it("goes on without a logger that has ended", () => {
    const state = createUnionState([loggerOf(load), loggerOf(late)]);
    pushToUnion(state, 1, late);
    endInUnion(state, 0);
    expect(unionWaits(state).forLogger).toBe(1);
    expect(settleUnion(state, false)?.timesMs.length).toBe(1499);
    endInUnion(state, 1);
    expect(unionWaits(state).forLogger).toBeNull();
    expect(settleUnion(state, false)?.timesMs.length).toBe(1);
    expect(() => pushToUnion(state, 0, load)).toThrow(RangeError);
  });

  it("has room for the ends of holds that were begun in what was given before", () => {
    const goesOn = seriesOf(steady(2000, 1, { loadW: 1 }));
    // Intervals of 6.6 and 7.7 s: both last holds end after the last row that is given first.
    const solar = seriesOf(steady(2, 6.6, { solarW: 1 }, 1492));
    const grid = seriesOf(steady(2, 7.7, { gridW: 1 }, 1490));
    const given = [goesOn, solar, grid].map(loggerOf);
    const cut = createUnionState(given);
    const whole = createUnionState(given);
    for (const state of [cut, whole]) {
      for (const [logger, series] of [goesOn, solar, grid].entries()) {
        pushToUnion(state, logger, logger === 0 && state === cut ? slice(series, 0, 1501) : series);
      }
    }
    endInUnion(cut, 1);
    endInUnion(cut, 2);
    const first = settleUnion(cut, false)!;
    pushToUnion(cut, 0, slice(goesOn, 1501, 2000));
    const second = settleUnion(cut, true)!;
    const all = settleUnion(whole, true)!;
    expect([...seconds(first), ...seconds(second)]).toEqual(seconds(all));
    expect([...column(first, "solarW"), ...column(second, "solarW")]).toEqual(column(all, "solarW"));
    expect([...column(first, "gridW"), ...column(second, "gridW")]).toEqual(column(all, "gridW"));
  });

  it("holds no more than a batch and a thousand samples of a logger, whoever reads the one it waits for", () => {
    const batch = 512;
    const fast = seriesOf(steady(60_000, 1, { loadW: 1 }));
    // A long interval, and a gap as long as forty batches of the other logger.
    const slow = seriesOf([...steady(1200, 10, { gridW: 1 }), ...steady(1200, 10, { gridW: 2 }, 33_000)]);
    const series = [fast, slow];
    const state = createUnionState(series.map(loggerOf));
    const read = [0, 0];
    let rows = 0;
    let most = 0;
    for (let logger = unionWaits(state).forLogger; logger !== null; logger = unionWaits(state).forLogger) {
      const from = read[logger];
      const to = Math.min(from + batch, series[logger].timesMs.length);
      read[logger] = to;
      pushToUnion(state, logger, {
        timesMs: series[logger].timesMs.slice(from, to),
        channels: Object.fromEntries(
          Object.entries(series[logger].channels).map(([name, values]) => [name, values.slice(from, to)]),
        ),
        sources: null,
        faults: null,
      });
      if (to === series[logger].timesMs.length) endInUnion(state, logger);
      rows += settleUnion(state, false)?.timesMs.length ?? 0;
      most = Math.max(most, ...state.parts.map((part) => part.frame.count));
    }
    expect(rows).toBe(60_000);
    expect(most).toBeLessThanOrEqual(2 * (1000 + batch));
  });

  it("refuses what is no union", () => {
    const main = { channels: ["loadW" as const], hasSource: true, hasFault: false };
    const meter = { channels: ["gridW" as const], hasSource: false, hasFault: true };
    expect(() => createUnionState([])).toThrow("requires at least one logger");
    expect(() => createUnionState([main, { ...meter, channels: ["loadW"] }])).toThrow("got loadW of two");
    expect(() => createUnionState([main, { ...meter, hasSource: true }])).toThrow("got source of two");
    expect(() => createUnionState([meter, { ...main, hasFault: true }])).toThrow("got faultCode of two");
    const state = createUnionState([main, meter]);
    expect(() => pushToUnion(state, 2, load)).toThrow(RangeError);
    expect(() => endInUnion(state, -1)).toThrow(RangeError);
    pushToUnion(state, 0, load);
    expect(() => pushToUnion(state, 0, load)).toThrow("strictly ascending");
  });
});
