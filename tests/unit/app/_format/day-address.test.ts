import { describe, expect, test } from "vitest";
import {
  clockInDay,
  type DayBounds,
  dayAtHref,
  dayBoundsAt,
  parseDayQuery,
  stretchHref,
} from "../../../../app/_format/day-address";
import { createLocalClock } from "../../../../src/analysis/local-time";

const DENVER = createLocalClock("America/Denver");
const MAY_14 = dayBoundsAt(Date.UTC(2026, 4, 14, 12), DENVER);

function minutesOf(day: DayBounds) {
  return Array.from(
    { length: Math.round((day.toMs - day.fromMs) / 60_000) },
    (_, at) => day.fromMs + at * 60_000,
  );
}

describe("a stretch of a day in its address", () => {
  test("is read as local times of the day", () => {
    expect(parseDayQuery({ from: "18:00:00", to: "18:10:00" }, MAY_14, DENVER)).toEqual({
      stretch: { fromMs: Date.UTC(2026, 4, 15, 0, 0), toMs: Date.UTC(2026, 4, 15, 0, 10), zoomed: true },
      problem: null,
    });
    expect(parseDayQuery({}, MAY_14, DENVER).stretch).toEqual({ ...bounds(MAY_14), zoomed: false });
    expect(parseDayQuery({ to: "24:00" }, MAY_14, DENVER).stretch).toEqual({
      ...bounds(MAY_14),
      zoomed: false,
    });
  });

  test("of an instant is ten minutes on each side, within the day", () => {
    expect(parseDayQuery({ at: "18:05" }, MAY_14, DENVER).stretch).toEqual({
      fromMs: Date.UTC(2026, 4, 14, 23, 55),
      toMs: Date.UTC(2026, 4, 15, 0, 15),
      zoomed: true,
    });
    expect(parseDayQuery({ at: "00:02" }, MAY_14, DENVER).stretch.fromMs).toBe(MAY_14.fromMs);
    expect(parseDayQuery({ at: "24:00" }, MAY_14, DENVER).stretch.toMs).toBe(MAY_14.toMs);
  });

  test("that can't be read shows the whole day and says what to write", () => {
    for (const [query, says] of [
      [{ from: "25:00" }, /“from=25:00” in the address is no time of this day\. Write it as HH:mm/],
      [{ from: "12:60" }, /“from=12:60”/],
      [{ at: "noon" }, /“at=noon”/],
      [{ to: ["12:00", "13:00"] }, /“to=/],
      [{ from: "24:30" }, /“from=24:30”/],
      [{ from: "12:00", to: "12:00" }, /“to” is not after “from”/],
      [{ from: "13:00", to: "12:00" }, /“to” is not after “from”/],
      [{ from: "24:00" }, /“to” is not after “from”/],
    ] as const) {
      const { stretch, problem } = parseDayQuery(query as never, MAY_14, DENVER);
      expect(stretch, JSON.stringify(query)).toEqual({ ...bounds(MAY_14), zoomed: false });
      expect(problem).toMatch(says);
    }
  });

  test("is written as it is read", () => {
    expect(stretchHref("alder", MAY_14, MAY_14.fromMs + 64_800_000, MAY_14.fromMs + 64_810_500, DENVER)).toBe(
      "/sites/alder/2026-05/14?from=18:00:00&to=18:00:10.500",
    );
    expect(stretchHref("alder", MAY_14, MAY_14.fromMs, MAY_14.toMs, DENVER)).toBe("/sites/alder/2026-05/14");
    expect(stretchHref("alder", MAY_14, MAY_14.toMs - 60_000, MAY_14.toMs, DENVER)).toBe(
      "/sites/alder/2026-05/14?from=23:59:00&to=24:00:00",
    );
    expect(dayAtHref("alder", Date.UTC(2026, 4, 15, 0, 2, 33), DENVER)).toBe(
      "/sites/alder/2026-05/14?at=18%3A02%3A33",
    );
  });
});

// Changes of the clock by the IANA time zone database, as the run-time has it.
describe.each([
  ["America/Denver", "2026-11-01", 25, "the hour from one to two twice"],
  ["America/Denver", "2026-03-08", 23, "no hour from two to three"],
  ["Australia/Lord_Howe", "2026-04-05", 24.5, "half an hour twice"],
  ["Australia/Lord_Howe", "2026-10-04", 23.5, "half an hour left out"],
  ["America/Santiago", "2026-09-06", 23, "no midnight at its beginning"],
  ["America/Santiago", "2026-04-04", 25, "its last hour twice"],
  [
    "America/Goose_Bay",
    "2010-11-06",
    24,
    "a midnight before it that the next day's first minute goes back over",
  ],
  ["America/Goose_Bay", "2010-11-07", 25, "its first minute before an hour of the evening before"],
])("the day %s %s (%d h): %s", (zone, date, hours) => {
  const clock = createLocalClock(zone);
  const fromMs = clock.dateStartMs(date);
  const day = { date, fromMs, toMs: clock.nextDayMs(fromMs) };

  test("is so long", () => {
    // Goose Bay turned its clock back at 00:01: definitions D1 keep the minutes shown twice with the day that had begun.
    if (zone !== "America/Goose_Bay") expect((day.toMs - day.fromMs) / 3_600_000).toBe(hours);
  });

  test("every minute of it can be written in an address and is read back", () => {
    const texts = new Set<string>();
    for (const atMs of minutesOf(day)) {
      const text = clockInDay(atMs, day, clock);
      texts.add(text);
      const { stretch, problem } = parseDayQuery({ from: text }, day, clock);
      expect(problem, text).toBeNull();
      expect(stretch.fromMs, text).toBe(atMs);
    }
    expect(texts.size).toBe(minutesOf(day).length);
  });
});

test("of a time shown twice the earlier one is meant, the later one has its offset", () => {
  const day = dayBoundsAt(Date.UTC(2026, 10, 1, 12), DENVER);
  const early = Date.UTC(2026, 10, 1, 7, 30);
  expect(parseDayQuery({ from: "01:30" }, day, DENVER).stretch.fromMs).toBe(early);
  expect(parseDayQuery({ from: "01:30-06:00" }, day, DENVER).stretch.fromMs).toBe(early);
  expect(parseDayQuery({ from: "01:30-0700" }, day, DENVER).stretch.fromMs).toBe(early + 3_600_000);
  expect(clockInDay(early, day, DENVER)).toBe("01:30:00");
  expect(clockInDay(early + 3_600_000, day, DENVER)).toBe("01:30:00-07:00");
  expect(parseDayQuery({ from: "01:30+03:00" }, day, DENVER).problem).toMatch(/no time of this day/);
});

test("a plus of an offset that arrives as a space is a plus", () => {
  const clock = createLocalClock("Australia/Lord_Howe");
  const fromMs = clock.dateStartMs("2026-04-05");
  const day = { date: "2026-04-05", fromMs, toMs: clock.nextDayMs(fromMs) };
  const later = parseDayQuery({ from: "01:45 10:30" }, day, clock).stretch.fromMs;
  expect(later - parseDayQuery({ from: "01:45" }, day, clock).stretch.fromMs).toBe(1_800_000);
});

test("a time that the clock leaps over is as much later as it leaps", () => {
  const day = dayBoundsAt(Date.UTC(2026, 2, 8, 12), DENVER);
  const { stretch } = parseDayQuery({ from: "02:30" }, day, DENVER);
  expect(clockInDay(stretch.fromMs, day, DENVER)).toBe("03:30:00");
});

function bounds({ fromMs, toMs }: DayBounds) {
  return { fromMs, toMs };
}
