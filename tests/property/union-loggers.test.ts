import { deserialize, serialize } from "node:v8";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { appendRows, createFrame, type HeldSeries } from "../../src/analysis/frame";
import { createHoldState, settleHolds } from "../../src/analysis/holds";
import type { NumericChannel, Series, Source } from "../../src/analysis/series";
import {
  createUnionState,
  endInUnion,
  packUnion,
  pushToUnion,
  settleUnion,
  type UnionState,
  unionWaits,
  unpackUnion,
} from "../../src/analysis/union-loggers";
import { type Sample, seriesOf, slice } from "../unit/analysis/samples";

/** What each of up to four loggers gives: channels, source and fault belong to one each. */
const GIVEN = [
  { channels: ["loadL1W", "batteryA"], source: false, fault: true },
  { channels: ["gridW"], source: true, fault: false },
  { channels: ["loadL2W", "solarW"], source: false, fault: false },
  { channels: ["batterySocPct"], source: false, fault: false },
] as const satisfies { channels: NumericChannel[]; source: boolean; fault: boolean }[];

const givesLoad = (logger: number) => GIVEN[logger].channels.some((channel) => channel.startsWith("load"));

const SOURCES: Source[] = ["inverter", "utility", "unknown", "none"];

/** Times of one logger: stretches of equal interval with gaps, on a coarse grid so that instants coincide. */
const times = (grid: number) =>
  fc
    .tuple(
      fc.integer({ min: 0, max: 200 }),
      fc.array(
        fc.record({
          count: fc.integer({ min: 1, max: 130 }),
          interval: fc.constantFrom(1, 1, 2, 5),
          gap: fc.constantFrom(0, 0, 1, 7, 40, 900),
        }),
        { minLength: 0, maxLength: 22 },
      ),
    )
    .map(([first, stretches]) => {
      let at = first * grid;
      const all = [at];
      for (const { count, interval, gap } of stretches) {
        at += gap * grid;
        for (let i = 0; i < count; i++) {
          at += interval * grid;
          all.push(at);
        }
      }
      return all;
    });

/** A logger's samples: values count up, so that each sample is told from every other; some are missing. */
function samplesOf(logger: number, timesS: readonly number[], shift: number): Sample[] {
  const { channels, source, fault } = GIVEN[logger];
  return timesS.map((s, i) => ({
    s: s / 1000,
    ...Object.fromEntries(
      channels.map((channel, c) => [channel, (i + shift) % 9 === c ? Number.NaN : i * 10 + c]),
    ),
    ...(source ? { source: SOURCES[(i + shift) % SOURCES.length] } : {}),
    ...(fault ? { fault: (i + shift) % 3 } : {}),
  }));
}

const site = fc
  .tuple(
    fc.integer({ min: 1, max: GIVEN.length }),
    fc.tuple(...GIVEN.map(() => fc.constantFrom(1, 3, 1000, 2000).chain(times))),
    fc.nat(20),
  )
  .map(([count, all, shift]) =>
    all.slice(0, count).map((timesMs, logger) => seriesOf(samplesOf(logger, timesMs, shift))),
  );

const loggersOf = (loggers: readonly Series[]) =>
  loggers.map((_, logger) => ({
    channels: GIVEN[logger].channels,
    hasSource: GIVEN[logger].source,
    hasFault: GIVEN[logger].fault,
  }));

/** One logger's samples with their holds, as settleHolds gives them for the whole of it at once. */
function held(series: Series) {
  const count = series.timesMs.length;
  const frame = createFrame([], count);
  appendRows(frame, series, 0, count);
  settleHolds(frame, createHoldState(), true);
  const ends = Array.from(series.timesMs, (at, i) =>
    frame.gapAfter[i] ? at + frame.deltaMs[i] : series.timesMs[i + 1],
  );
  return { series, ends, deltas: frame.deltaMs, timesMs: Array.from(series.timesMs) };
}

/**
 * The union by definition and slowly: every instant that can be a row is gone through, and what is in force
 * there is searched for. For a site whose source has a column.
 */
function reference(loggers: readonly Series[]) {
  const all = loggers.map(held);
  const latest = (one: (typeof all)[number], at: number) => one.timesMs.findLastIndex((t) => t <= at);
  const inForce = (one: (typeof all)[number], at: number) => {
    const i = latest(one, at);
    return i >= 0 && at < one.ends[i] ? i : -1;
  };
  const sampled = new Set(all.flatMap((one) => one.timesMs));
  const instants = [...new Set([...sampled, ...all.flatMap((one) => one.ends)])].sort((a, b) => a - b);
  const rows = instants.filter((at) => sampled.has(at) || all.some((one) => inForce(one, at) >= 0));
  const sourceLogger = loggers.findIndex((series) => series.sources !== null);
  return rows.map((at, r) => {
    const next = rows[r + 1] ?? Number.POSITIVE_INFINITY;
    let picks = all.map((one) => inForce(one, at));
    const anything = picks.some((pick) => pick >= 0);
    if (!anything) picks = all.map((one) => one.timesMs.indexOf(at));
    // Between two rows nothing begins or ends, but that the last hold may end.
    const lastEnd = Math.max(at, ...all.map((one, l) => (picks[l] >= 0 ? one.ends[picks[l]] : at)));
    const gap = lastEnd < next;
    // Undefined before a logger's first sample.
    const intervals = all.map((one) => one.deltas[latest(one, at)]);
    const loads = intervals.filter((interval, l) => interval !== undefined && givesLoad(l));
    return {
      at,
      holdS: ((gap ? lastEnd : next) - at) / 1000,
      deltaMs: loads.length > 0 ? Math.max(...loads) : intervals.find((interval) => interval !== undefined),
      gapAfter: gap ? 1 : 0,
      loadSampled:
        !loggers.some((_, l) => givesLoad(l)) ||
        all.some((one, l) => givesLoad(l) && one.timesMs.includes(at))
          ? 1
          : picks.some((pick, l) => givesLoad(l) && pick >= 0)
            ? 0
            : 2,
      sourceGap: sourceLogger >= 0 && picks[sourceLogger] < 0 ? 1 : 0,
      values: Object.fromEntries(
        loggers.flatMap((series, l) =>
          Object.entries(series.channels).map(([name, column]) => [
            name,
            picks[l] < 0 ? Number.NaN : column[picks[l]],
          ]),
        ),
      ),
      source:
        sourceLogger < 0
          ? null
          : picks[sourceLogger] < 0
            ? 0
            : loggers[sourceLogger].sources![picks[sourceLogger]],
      fault: picks[0] < 0 ? 0 : loggers[0].faults![picks[0]],
    };
  });
}

function rowsOf(parts: readonly HeldSeries[]) {
  return parts.flatMap((part) =>
    Array.from(part.timesMs, (at, r) => ({
      at,
      holdS: part.holdS[r],
      deltaMs: part.deltaMs[r],
      gapAfter: part.gapAfter[r],
      sourceGap: part.sourceGap[r],
      loadSampled: part.loadSampled[r],
      values: Object.fromEntries(Object.entries(part.channels).map(([name, column]) => [name, column[r]])),
      source: part.sources?.[r] ?? null,
      fault: part.faults?.[r] ?? 0,
    })),
  );
}

function wholeUnion(loggers: readonly Series[]) {
  const state = createUnionState(loggersOf(loggers));
  for (const [logger, series] of loggers.entries()) pushToUnion(state, logger, series);
  const rows = settleUnion(state, true);
  return rowsOf(rows === null ? [] : [rows]);
}

describe("the union of loggers", () => {
  it("is what a search at every instant finds", () => {
    fc.assert(
      fc.property(site, (loggers) => {
        // The search is for sites whose source has a column.
        fc.pre(loggers.some((series) => series.sources !== null) || loggers.length === 1);
        const found = wholeUnion(loggers);
        expect(found).toEqual(reference(loggers));
      }),
      { numRuns: 60 },
    );
  });

  it("is the same to the bit in whatever order and pieces the samples come, and from a kept state", () => {
    const step = fc.record({
      logger: fc.nat(GIVEN.length - 1),
      count: fc.oneof(fc.integer({ min: 0, max: 40 }), fc.integer({ min: 0, max: 900 })),
      settle: fc.boolean(),
      keep: fc.boolean(),
    });
    fc.assert(
      fc.property(site, fc.array(step, { maxLength: 60 }), fc.boolean(), (loggers, steps, tellEnds) => {
        let state = createUnionState(loggersOf(loggers));
        const read = loggers.map(() => 0);
        const parts: HeldSeries[] = [];
        for (const { logger: any, count, settle, keep } of steps) {
          const logger = any % loggers.length;
          const { length } = loggers[logger].timesMs;
          if (read[logger] === length) continue;
          const to = Math.min(length, read[logger] + count);
          pushToUnion(state, logger, slice(loggers[logger], read[logger], to));
          read[logger] = to;
          if (tellEnds && to === length) endInUnion(state, logger);
          const rows = settle ? settleUnion(state, false) : null;
          if (rows !== null) parts.push(rows);
          if (keep) state = unpackUnion(deserialize(serialize(packUnion(state))) as UnionState);
        }
        for (const [logger, series] of loggers.entries()) {
          const { length } = series.timesMs;
          if (read[logger] < length) pushToUnion(state, logger, slice(series, read[logger], length));
        }
        const rows = settleUnion(state, true);
        if (rows !== null) parts.push(rows);
        expect(rowsOf(parts)).toEqual(wholeUnion(loggers));
      }),
      { numRuns: 80 },
    );
  });

  it("is the same row by row, reading always the logger that it waits for", () => {
    fc.assert(
      fc.property(site, fc.integer({ min: 1, max: 60 }), (loggers, batch) => {
        const short = loggers.map((series) => slice(series, 0, 1100));
        const state = createUnionState(loggersOf(short));
        const read = short.map(() => 0);
        const parts: HeldSeries[] = [];
        for (
          let logger = unionWaits(state).forLogger;
          logger !== null;
          logger = unionWaits(state).forLogger
        ) {
          const to = Math.min(short[logger].timesMs.length, read[logger] + batch);
          pushToUnion(state, logger, slice(short[logger], read[logger], to));
          read[logger] = to;
          if (to === short[logger].timesMs.length) endInUnion(state, logger);
          const rows = settleUnion(state, false);
          if (rows !== null) parts.push(rows);
        }
        expect(settleUnion(state, true)).toBeNull();
        expect(rowsOf(parts)).toEqual(wholeUnion(short));
      }),
      { numRuns: 30 },
    );
  });

  it("keeps the same bytes for the same samples, however they were pushed", () => {
    fc.assert(
      fc.property(site, fc.integer({ min: 1, max: 900 }), fc.nat(3000), (loggers, batch, lengthS) => {
        // As at a midnight: of each logger all that stands before an instant.
        const untilMs = loggers[0].timesMs[0] + lengthS * 1000;
        const before = loggers.map((series) => {
          const end = series.timesMs.findIndex((at) => at >= untilMs);
          return slice(series, 0, end < 0 ? series.timesMs.length : end);
        });
        const whole = createUnionState(loggersOf(loggers));
        const cut = createUnionState(loggersOf(loggers));
        for (const [logger, series] of before.entries()) pushToUnion(whole, logger, series);
        settleUnion(whole, false);
        for (const [logger, series] of [...before.entries()].reverse()) {
          for (let from = 0; from < series.timesMs.length; from += batch) {
            pushToUnion(cut, logger, slice(series, from, Math.min(from + batch, series.timesMs.length)));
            settleUnion(cut, false);
          }
        }
        settleUnion(cut, false);
        const kept = serialize(packUnion(whole));
        expect(serialize(packUnion(cut)).equals(kept)).toBe(true);
        expect(serialize(packUnion(unpackUnion(deserialize(kept) as UnionState))).equals(kept)).toBe(true);
      }),
      { numRuns: 60 },
    );
  });

  it("has as much held time with a value of a channel as that channel's logger alone", () => {
    fc.assert(
      fc.property(site, (loggers) => {
        const found = wholeUnion(loggers);
        for (const [l, series] of loggers.entries()) {
          // A sample without a hold has none here either, but it can stand in a row of no length.
          const { ends, timesMs } = held(series);
          for (const [name, column] of Object.entries(series.channels)) {
            const alone = timesMs.reduce(
              (sum, at, i) => sum + (Number.isNaN(column[i]) ? 0 : ends[i] - at),
              0,
            );
            const here = found.reduce(
              (sum, row) => sum + (Number.isNaN(row.values[name]) ? 0 : row.holdS),
              0,
            );
            expect(here, `${name} of logger ${l}`).toBeCloseTo(alone / 1000, 6);
          }
        }
      }),
      { numRuns: 40 },
    );
  });
});
