import { describe, expect, it } from "vitest";
import { channelsPresent } from "../../../src/analysis/channels-present";
import { createDeriveCounts, deriveColumns } from "../../../src/analysis/derive-columns";
import { appendHeldRows, createFrame, type Frame, type HeldSeries } from "../../../src/analysis/frame";
import { type NumericChannel, SOURCES } from "../../../src/analysis/series";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { createSourceState, settleSources } from "../../../src/analysis/settle-sources";
import { createTransferState, findTransfers, type TransferState } from "../../../src/analysis/transfers";
import { createUnionState, pushToUnion, settleUnion } from "../../../src/analysis/union-loggers";
import { RATINGS, type Sample, START_MS, seriesOf, steady } from "./samples";

/** Source states and events of the union of loggers. */
function eventsOf(...loggers: Sample[][]): { frame: Frame; states: string[]; events: TransferState } {
  const series = loggers.map((samples) => seriesOf(samples));
  const channels = series.flatMap((one) => Object.keys(one.channels) as NumericChannel[]);
  const hasSource = series.some((one) => one.sources !== null);
  const union = createUnionState(
    series.map((one) => ({
      channels: Object.keys(one.channels) as NumericChannel[],
      hasSource: one.sources !== null,
      hasFault: false,
    })),
  );
  for (const [logger, one] of series.entries()) pushToUnion(union, logger, one);
  const rows = settleUnion(union, true) as HeldSeries;
  const present = channelsPresent(channels, hasSource, false);
  const frame = createFrame(channels, rows.timesMs.length);
  const events = createTransferState();
  appendHeldRows(frame, rows, 0, rows.timesMs.length);
  settleSources(frame, createSourceState(), present, () => RATINGS, DEFAULT_SETTINGS, true);
  deriveColumns(frame, present, RATINGS, DEFAULT_SETTINGS, createDeriveCounts(), 0, frame.sourced);
  findTransfers(frame, events, () => RATINGS, DEFAULT_SETTINGS, 0, frame.sourced);
  return {
    frame,
    events,
    states: Array.from(frame.source.subarray(0, frame.count), (code) => SOURCES[code]),
  };
}

const at = (s: number) => START_MS + s * 1000;
const load = steady(30, 10, { loadW: 500 });
const on = (source: "inverter" | "utility" | "none" | "unknown", count: number, fromS: number) =>
  steady(count, 10, { source }, fromS);

describe("the source where its logger has a hole and another one goes on (D5)", () => {
  it("takes no state from around the hole, however short", () => {
    const { states } = eventsOf(load, [...on("inverter", 5, 0), ...on("inverter", 21, 90)]);
    expect(states.slice(4, 10)).toEqual(["inverter", ...Array(4).fill("unknown"), "inverter"]);
  });

  it("takes it where the log says unknown without a hole", () => {
    const { states } = eventsOf(load, [
      ...on("inverter", 5, 0),
      ...on("unknown", 4, 50),
      ...on("inverter", 21, 90),
    ]);
    expect(new Set(states)).toEqual(new Set(["inverter"]));
  });

  it("doesn't take it where the unknown stretch of the log has the hole in it", () => {
    const { states } = eventsOf(load, [
      ...on("inverter", 5, 0),
      ...on("unknown", 2, 50),
      ...on("unknown", 2, 120),
      ...on("inverter", 16, 140),
    ]);
    expect(states.slice(5, 14)).toEqual(Array(9).fill("unknown"));
  });

  it("has a transfer in the hole, from the end of its hold to the next sample", () => {
    const { events } = eventsOf(load, [...on("inverter", 5, 0), ...on("utility", 21, 90)]);
    expect(events.transfers).toHaveLength(1);
    expect(events.transfers[0]).toMatchObject({
      atMs: at(90),
      inGap: true,
      gapFromMs: at(50),
      gapToMs: at(90),
    });
  });

  it("leaves a transfer open from where the hold ends, as in a log of its own", () => {
    const samples = [...on("inverter", 5, 0), ...on("utility", 5, 50), ...on("inverter", 15, 150)];
    const beside = eventsOf(load, samples).events.transfers;
    expect(beside).toHaveLength(1);
    expect(beside[0]).toMatchObject({ returnedAtMs: null, onUtilityS: 50, lowerBound: true });
    expect(timesOf(beside[0])).toEqual(timesOf(eventsOf(samples).events.transfers[0]));
  });

  it("leaves a transfer open where the logger of the source ends and the other one goes on", () => {
    const { events } = eventsOf(load, [...on("inverter", 5, 0), ...on("utility", 5, 50)]);
    expect(events.transfers[0]).toMatchObject({ returnedAtMs: null, onUtilityS: 50, lowerBound: true });
  });

  it("has one dropout where the loads are dead before and after it, as in a log of its own", () => {
    const samples = [...on("inverter", 5, 0), ...on("none", 5, 50), ...on("none", 15, 150)];
    const { dropouts, pendingDropouts } = eventsOf(load, samples).events;
    expect([...dropouts, ...pendingDropouts]).toHaveLength(1);
    expect(dropouts[0]).toMatchObject({ endedAtMs: null, deadS: 50, lowerBound: true });
    expect(eventsOf(samples).events.dropouts).toHaveLength(1);
  });

  it("has no dropout where its logger begins later, and dead", () => {
    const { events } = eventsOf(load, on("none", 20, 100));
    expect([...events.dropouts, ...events.pendingDropouts]).toEqual([]);
  });

  it("goes by the gap of all where the hole reaches over it", () => {
    const { events } = eventsOf(
      [...steady(10, 10, { loadW: 500 }), ...steady(10, 10, { loadW: 500 }, 500)],
      [...on("inverter", 10, 0), ...on("utility", 5, 550)],
    );
    expect(events.transfers[0]).toMatchObject({ gapFromMs: at(100), gapToMs: at(550) });
  });
});

/** All of a transfer but what comes from the load. */
function timesOf(transfer: TransferState["transfers"][number]) {
  return { ...transfer, figures: null, loadMissing: null };
}
