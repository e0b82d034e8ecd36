import { describe, expect, it } from "vitest";
import { createLocalClock } from "../../../src/analysis/local-time";

const HOUR_MS = 3_600_000;

describe("a local clock", () => {
  it("has the date and the clock time of its own zone, west and east of Greenwich", () => {
    const denver = createLocalClock("America/Denver");
    const tokyo = createLocalClock("Asia/Tokyo");
    const atMs = Date.UTC(2026, 4, 1, 2, 30, 15);
    expect([denver.date(atMs), denver.clockS(atMs)]).toEqual(["2026-04-30", 20 * 3600 + 1815]);
    expect([tokyo.date(atMs + 14 * HOUR_MS), tokyo.clockS(atMs + 14 * HOUR_MS)]).toEqual([
      "2026-05-02",
      3600 + 1815,
    ]);
    expect(denver.startOfDayMs(atMs)).toBe(Date.UTC(2026, 3, 30, 6));
    expect(denver.nextDayMs(atMs)).toBe(Date.UTC(2026, 4, 1, 6));
    expect(denver.dateStartMs("2026-05-01")).toBe(Date.UTC(2026, 4, 1, 6));
    expect(tokyo.dateStartMs("2026-05-01")).toBe(Date.UTC(2026, 3, 30, 15));
  });

  it("changes its offset at the instant of the change, whichever way it comes to it", () => {
    const clock = createLocalClock("America/Denver");
    // 2026-03-08, 02:00 becomes 03:00.
    const changeMs = Date.UTC(2026, 2, 8, 9);
    for (const order of [
      [-1, 0, 1],
      [1, 0, -1],
    ]) {
      expect(order.map((ms) => clock.offsetMs(changeMs + ms) / HOUR_MS)).toEqual(
        order.map((ms) => (ms < 0 ? -7 : -6)),
      );
    }
    expect(clock.nextDayMs(changeMs) - clock.startOfDayMs(changeMs)).toBe(23 * HOUR_MS);
  });

  it("keeps a minute shown twice in the day that had begun", () => {
    // St. John's, 7 November 2010: at 00:01, which is 02:31 UTC, the clock went back to 23:01 of the 6th.
    const clock = createLocalClock("America/St_Johns");
    const [startMs, nextMs] = [Date.UTC(2010, 10, 7, 2, 30), Date.UTC(2010, 10, 8, 3, 30)];
    for (const atMs of [startMs, Date.UTC(2010, 10, 7, 2, 45), Date.UTC(2010, 10, 7, 3, 30), nextMs - 1]) {
      expect([clock.startOfDayMs(atMs), clock.nextDayMs(atMs)]).toEqual([startMs, nextMs]);
    }
    expect(clock.nextDayMs(startMs - 1)).toBe(startMs);
  });

  it("throws for a zone that doesn't exist", () => {
    expect(() => createLocalClock("Mars/Base")).toThrow(RangeError);
  });
});
