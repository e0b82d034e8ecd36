import { describe, expect, test } from "vitest";
import { clockTicks } from "../../../../app/_charts/clock-ticks";
import { localTime } from "../../../../app/_format/local-time";
import { createLocalClock } from "../../../../src/analysis/local-time";

function shown(zone: string, date: string, from: number, to: number, most: number): string[] {
  const clock = createLocalClock(zone);
  const start = clock.dateStartMs(date);
  return clockTicks(start + from * 1000, start + to * 1000, clock, most).map(
    (atMs) => localTime(atMs, zone).clockWithSeconds,
  );
}

test("ticks stand at round times, never more than asked for", () => {
  expect(shown("America/Denver", "2026-05-14", 0, 86_400, 5)).toEqual([
    "00:00:00",
    "06:00:00",
    "12:00:00",
    "18:00:00",
    "00:00:00",
  ]);
  expect(shown("America/Denver", "2026-05-14", 65_000, 65_600, 6)).toEqual([
    "18:04:00",
    "18:06:00",
    "18:08:00",
    "18:10:00",
    "18:12:00",
  ]);
  expect(shown("America/Denver", "2026-05-14", 65_000.5, 65_003, 6)).toEqual([
    "18:03:21",
    "18:03:22",
    "18:03:23",
  ]);
});

test("of a zone half an hour off they stand at its own whole hours", () => {
  expect(shown("Asia/Kolkata", "2026-05-14", 0, 4 * 3600, 5)).toEqual([
    "00:00:00",
    "01:00:00",
    "02:00:00",
    "03:00:00",
    "04:00:00",
  ]);
});

// Clock changes by the IANA time zone database.
describe("where the clock changes", () => {
  test("an hour that is shown twice has two ticks", () => {
    expect(shown("America/Denver", "2026-11-01", 0, 4 * 3600, 5)).toEqual([
      "00:00:00",
      "01:00:00",
      "01:00:00",
      "02:00:00",
      "03:00:00",
    ]);
  });

  test("an hour that is leapt over has none", () => {
    expect(shown("America/Denver", "2026-03-08", 0, 4 * 3600, 5)).toEqual([
      "00:00:00",
      "01:00:00",
      "03:00:00",
      "04:00:00",
      "05:00:00",
    ]);
  });

  test("half an hour more keeps the whole hours", () => {
    expect(shown("Australia/Lord_Howe", "2026-04-05", 0, 24.5 * 3600, 7)).toEqual([
      "00:00:00",
      "04:00:00",
      "08:00:00",
      "12:00:00",
      "16:00:00",
      "20:00:00",
      "00:00:00",
    ]);
    expect(shown("Australia/Lord_Howe", "2026-10-04", 0, 23.5 * 3600, 7)).toEqual([
      "00:00:00",
      "04:00:00",
      "08:00:00",
      "12:00:00",
      "16:00:00",
      "20:00:00",
      "00:00:00",
    ]);
  });
});
