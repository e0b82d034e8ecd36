import { describe, expect, it } from "vitest";
import { appendRows, createFrame } from "../../../src/analysis/frame";
import { createHoldState, settleHolds } from "../../../src/analysis/holds";
import { review, seriesOf, steady } from "./samples";

function holdsOf(seconds: readonly number[]) {
  const frame = createFrame([], 16);
  const state = createHoldState();
  appendRows(frame, seriesOf(seconds.map((s) => ({ s }))), 0, seconds.length);
  settleHolds(frame, state, true);
  return {
    holds: Array.from(frame.holdS.subarray(0, frame.held)),
    gaps: Array.from(frame.gapAfter.subarray(0, frame.held)),
    state,
  };
}

/** Instants in s that stand so far apart, from 0. */
function stepped(...runs: readonly (readonly [count: number, stepS: number])[]): number[] {
  const seconds = [0];
  for (const [count, stepS] of runs) {
    for (let i = 0; i < count; i++) seconds.push(seconds[seconds.length - 1] + stepS);
  }
  return seconds;
}

describe("holds (D1)", () => {
  it("has no interval and no hold for a single sample", () => {
    const { holds, state } = holdsOf([0]);
    expect(holds).toEqual([0]);
    expect(state.nominalMs).toBeNaN();
  });

  it("lets each sample stand until the next, the last one for the nominal interval", () => {
    expect(holdsOf([0, 10, 20, 35]).holds).toEqual([10, 10, 15, 10]);
  });

  it("takes the mean of the middle two for an even count of differences", () => {
    expect(holdsOf([0, 10, 30]).state.nominalMs).toBe(15_000);
  });

  it("takes the interval from the first thousand samples, no fewer and no more", () => {
    expect(holdsOf(stepped([99, 10], [1101, 20])).state.nominalMs).toBe(20_000);
    expect(holdsOf(stepped([499, 10], [500, 12], [90, 10])).state.nominalMs).toBe(12_000);
    expect(holdsOf(stepped([500, 10], [499, 12], [90, 12])).state.nominalMs).toBe(10_000);
  });

  it("begins a new segment where differences are more than half as long again, not where just so much", () => {
    expect(holdsOf(stepped([1200, 60], [150, 90])).state.segments).toHaveLength(0);
    expect(holdsOf(stepped([1200, 60], [150, 90.001])).state.segments).toHaveLength(1);
    expect(holdsOf(stepped([1200, 60], [150, 40])).state.segments).toHaveLength(0);
    expect(holdsOf(stepped([1200, 60], [150, 39.999])).state.segments).toHaveLength(1);
  });

  it("is no gap at exactly three intervals, and one beyond", () => {
    expect(holdsOf([0, 10, 20, 50, 60]).gaps).toEqual([0, 0, 0, 0, 1]);
    const beyond = holdsOf([0, 10, 20, 50.001, 60.001]);
    expect(beyond.gaps).toEqual([0, 0, 1, 0, 1]);
    expect(beyond.holds[2]).toBe(10);
  });

  it("begins a new segment after a hundred much shorter differences, at the first of them", () => {
    const seconds = [...Array(1200).keys()].map((i) => i * 60);
    const last = seconds[seconds.length - 1];
    for (let i = 1; i <= 150; i++) seconds.push(last + i * 10);
    const { state, holds } = holdsOf(seconds);
    expect(state.nominalMs).toBe(60_000);
    expect(state.segments).toHaveLength(1);
    expect(state.segments[0].nominalMs).toBe(10_000);
    expect(state.segments[0].fromMs).toBe(seriesOf([{ s: last }]).timesMs[0]);
    expect(holds[holds.length - 1]).toBe(10);
  });

  it("begins the next segment at its first difference, also where that made the segment before", () => {
    const steps = [...Array(1100).fill(10), ...Array(60).fill(20), ...Array(200).fill(300)];
    const seconds = [0];
    for (const step of steps) seconds.push(seconds[seconds.length - 1] + step);
    const { state, gaps } = holdsOf(seconds);
    expect(state.segments.map(({ fromMs, nominalMs }) => [fromMs, nominalMs])).toEqual([
      [seriesOf([{ s: 11_000 }]).timesMs[0], 20_000],
      [seriesOf([{ s: 12_200 }]).timesMs[0], 300_000],
    ]);
    expect(gaps.reduce((sum, gap) => sum + gap, 0)).toBe(1);
  });

  it("begins none after ninety-nine", () => {
    const seconds = [...Array(1200).keys()].map((i) => i * 60);
    let at = seconds[seconds.length - 1];
    for (let i = 0; i < 99; i++) {
      at += 10;
      seconds.push(at);
    }
    for (let i = 0; i < 5; i++) {
      at += 60;
      seconds.push(at);
    }
    expect(holdsOf(seconds).state.segments).toHaveLength(0);
  });
});

describe("coverage (D1)", () => {
  it("counts held time, not rows, and lists the gaps", () => {
    const result = review(
      seriesOf([...steady(60, 60, { loadW: 100 }), ...steady(60, 60, { loadW: 100 }, 7200)]),
    );
    expect(result.coverage.samples).toBe(120);
    expect(result.coverage.heldS).toBe(7200);
    expect(result.coverage.ratio).toBeCloseTo(7200 / 10_800, 12);
    expect(result.coverage.gaps).toHaveLength(1);
    expect(result.coverage.gaps[0].toMs - result.coverage.gaps[0].fromMs).toBe(3_600_000);
  });
});
