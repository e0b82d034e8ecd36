import { describe, expect, it } from "vitest";
import { createLocalClock } from "../../src/analysis/local-time";
import type { ReviewResult } from "../../src/analysis/results";
import { createZoneClock } from "../../src/ingest/zone-clock";
import { review, type Sample, seriesOf } from "../unit/analysis/samples";

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

/** A local day and what the clock does in it. */
type LocalDay = {
  zone: string;
  date: string;
  /** First instants of this day and of the next. */
  from: string;
  to: string;
  hours: number;
  /** Offset from UTC as the day begins, and at its last millisecond; minutes. */
  offsets: readonly [number, number];
  /** When the clock changes; null where it doesn't. */
  change: string | null;
};

/**
 * The clock changes of 2026 (checks.md, section 7, from IANA tz data 2025b and 2025c) and the days they lie in.
 * First instants by a scan of minutes with Python 3.11.7's zoneinfo on tz data 2025b (this run-time has its own):
 *   t.astimezone(ZoneInfo(zone)).date() >= day, for t in steps of one minute from 27 hours before
 */
const DAYS: readonly LocalDay[] = [
  day("America/New_York", "2026-03-08", "03-08T05:00", "03-09T04:00", 23, [-300, -240], "03-08T07:00"),
  day("America/New_York", "2026-11-01", "11-01T04:00", "11-02T05:00", 25, [-240, -300], "11-01T06:00"),
  day("America/Chicago", "2026-03-08", "03-08T06:00", "03-09T05:00", 23, [-360, -300], "03-08T08:00"),
  day("America/Chicago", "2026-11-01", "11-01T05:00", "11-02T06:00", 25, [-300, -360], "11-01T07:00"),
  day("America/Denver", "2026-03-08", "03-08T07:00", "03-09T06:00", 23, [-420, -360], "03-08T09:00"),
  day("America/Denver", "2026-11-01", "11-01T06:00", "11-02T07:00", 25, [-360, -420], "11-01T08:00"),
  day("America/Los_Angeles", "2026-03-08", "03-08T08:00", "03-09T07:00", 23, [-480, -420], "03-08T10:00"),
  day("America/Los_Angeles", "2026-11-01", "11-01T07:00", "11-02T08:00", 25, [-420, -480], "11-01T09:00"),
  day("America/Phoenix", "2026-03-08", "03-08T07:00", "03-09T07:00", 24, [-420, -420], null),
  day("America/Phoenix", "2026-11-01", "11-01T07:00", "11-02T07:00", 24, [-420, -420], null),
  day("America/St_Johns", "2026-03-08", "03-08T03:30", "03-09T02:30", 23, [-210, -150], "03-08T05:30"),
  day("America/St_Johns", "2026-11-01", "11-01T02:30", "11-02T03:30", 25, [-150, -210], "11-01T04:30"),
  // No midnight: the day begins at 01:00. And midnight twice: the first one begins the day.
  day("America/Havana", "2026-03-08", "03-08T05:00", "03-09T04:00", 23, [-240, -240], "03-08T05:00"),
  day("America/Havana", "2026-11-01", "11-01T04:00", "11-02T05:00", 25, [-240, -300], "11-01T05:00"),
  day("Europe/Berlin", "2026-03-29", "03-28T23:00", "03-29T22:00", 23, [60, 120], "03-29T01:00"),
  day("Europe/Berlin", "2026-10-25", "10-24T22:00", "10-25T23:00", 25, [120, 60], "10-25T01:00"),
  // Half an hour.
  day("Australia/Lord_Howe", "2026-10-04", "10-03T13:30", "10-04T13:00", 23.5, [630, 660], "10-03T15:30"),
  day("Australia/Lord_Howe", "2026-04-05", "04-04T13:00", "04-05T13:30", 24.5, [660, 630], "04-04T15:00"),
  day("Australia/Sydney", "2026-10-04", "10-03T14:00", "10-04T13:00", 23, [600, 660], "10-03T16:00"),
  day("Australia/Sydney", "2026-04-05", "04-04T13:00", "04-05T14:00", 25, [660, 600], "04-04T16:00"),
  day("Pacific/Chatham", "2026-09-27", "09-26T11:15", "09-27T10:15", 23, [765, 825], "09-26T14:00"),
  day("Pacific/Chatham", "2026-04-05", "04-04T10:15", "04-05T11:15", 25, [825, 765], "04-04T14:00"),
];

/**
 * Minutes of clock hours cut by a change. Lord Howe: 02:30 to 03:00 is all there is of that hour in spring, and
 * 01:30 to 02:00 comes twice in autumn. Chatham changes at 02:45 and 03:45: a hole from 02:45 to 03:45, and
 * 02:45 to 03:00 after 03:00 to 03:45.
 */
const PART_HOURS: { readonly [zone: string]: readonly number[] } = {
  "Australia/Lord_Howe": [30],
  "Pacific/Chatham": [45, 15],
};

const NAMED = DAYS.map((one) => [`${one.zone} ${one.date}`, one] as const);

function day(
  zone: string,
  date: string,
  from: string,
  to: string,
  hours: number,
  offsets: readonly [number, number],
  change: string | null,
): LocalDay {
  const instant = (text: string) => `2026-${text}Z`;
  return {
    zone,
    date,
    from: instant(from),
    to: instant(to),
    hours,
    offsets,
    change: change === null ? null : instant(change),
  };
}

describe("local days with a clock change", () => {
  it.each(NAMED)("%s begins and ends where Python says, and lasts as long", (_, one) => {
    const clock = createLocalClock(one.zone);
    const fromMs = Date.parse(one.from);
    const toMs = Date.parse(one.to);
    expect((toMs - fromMs) / HOUR_MS).toBe(one.hours);
    expect(clock.dateStartMs(one.date)).toBe(fromMs);
    for (const atMs of [fromMs, fromMs + 1, fromMs + 5 * HOUR_MS, toMs - 1]) {
      expect(clock.startOfDayMs(atMs)).toBe(fromMs);
      expect(clock.nextDayMs(atMs)).toBe(toMs);
      expect(clock.date(atMs)).toBe(one.date);
    }
    expect(clock.startOfDayMs(toMs)).toBe(toMs);
    expect(clock.nextDayMs(fromMs - 1)).toBe(fromMs);
    // Its neighbours are days like any other.
    expect((clock.nextDayMs(toMs) - toMs) / HOUR_MS).toBe(24);
    expect((fromMs - clock.startOfDayMs(fromMs - 1)) / HOUR_MS).toBe(24);
  });

  it.each(NAMED)("%s changes its offset at the instant of the change, to the millisecond", (_, one) => {
    const clock = createLocalClock(one.zone);
    const zone = createZoneClock(one.zone);
    const minutes = (atMs: number) => {
      expect(zone.offsetAtMs(atMs)).toBe(clock.offsetMs(atMs));
      return clock.offsetMs(atMs) / MINUTE_MS;
    };
    expect([minutes(Date.parse(one.from)), minutes(Date.parse(one.to) - 1)]).toEqual(one.offsets);
    if (one.change === null) return;
    const changeMs = Date.parse(one.change);
    const before = minutes(changeMs - 1);
    const after = minutes(changeMs);
    // A day is shorter by what the clock skips, longer by what it repeats.
    expect(24 - (after - before) / 60).toBe(one.hours);
    expect(after).toBe(one.offsets[1]);
  });

  it.each(NAMED)("%s is tiled by its clock hours", (_, one) => {
    const clock = createLocalClock(one.zone);
    const toMs = Date.parse(one.to);
    let atMs = Date.parse(one.from);
    const lengths: number[] = [];
    while (atMs < toMs) {
      expect(clock.startOfHourMs(atMs)).toBe(atMs);
      const end = clock.endOfHourMs(atMs);
      expect(clock.startOfHourMs(end - 1)).toBe(atMs);
      lengths.push((end - atMs) / MINUTE_MS);
      atMs = end;
    }
    expect(atMs).toBe(toMs);
    expect(lengths.filter((length) => length !== 60)).toEqual(PART_HOURS[one.zone] ?? []);
  });

  it("begins Havana's day without a midnight at one o'clock", () => {
    const clock = createLocalClock("America/Havana");
    expect(clock.clockS(Date.UTC(2026, 2, 8, 5))).toBe(3600);
    expect(clock.clockS(Date.UTC(2026, 2, 8, 5) - 1)).toBe(86_399.999);
    // Both midnights of 1 November belong to it.
    for (const hour of [4, 5]) {
      expect(clock.clockS(Date.UTC(2026, 10, 1, hour))).toBe(0);
      expect(clock.date(Date.UTC(2026, 10, 1, hour))).toBe("2026-11-01");
    }
  });
});

/** Intervals in seconds that don't divide a day, and one that is longer than most logs have. */
const INTERVALS_S = [60, 420, 1800, 3000];

describe("a review of a constant 1 kW across a clock change", { timeout: 60_000 }, () => {
  it.each(NAMED)("%s takes as many kWh as it has hours, its neighbours 24", (_, one) => {
    const fromMs = Date.parse(one.from);
    const toMs = Date.parse(one.to);
    for (const intervalS of INTERVALS_S) {
      // From 36 hours before to 36 hours after, off the clock by 7 minutes: holds lie across midnights.
      const startMs = fromMs - 36 * HOUR_MS - 7 * MINUTE_MS;
      const count = Math.ceil((toMs + 36 * HOUR_MS - startMs) / (intervalS * 1000));
      const samples: Sample[] = Array.from({ length: count }, (_, i) => ({
        s: i * intervalS,
        loadW: 1000,
        solarW: 250,
        gridW: 750,
      }));
      const result = review(seriesOf(samples, startMs), { zone: one.zone });
      const at = result.days.findIndex((found) => found.date === one.date);
      const [before, found, after] = result.days.slice(at - 1, at + 2);
      expect([before.toMs, found.fromMs, found.toMs, after.fromMs]).toEqual([fromMs, fromMs, toMs, toMs]);
      for (const [whole, hours] of [
        [before, 24],
        [found, one.hours],
        [after, 24],
      ] as const) {
        expect((whole.toMs - whole.fromMs) / HOUR_MS).toBe(hours);
        expect(whole.heldS / 3600).toBeCloseTo(hours, 9);
        expect(whole.sharesHeldS).toBe(whole.heldS);
        expect(whole.shares.loadWh / 1000).toBeCloseTo(hours, 9);
        expect(whole.shares.solarToLoadWh / 1000).toBeCloseTo(hours / 4, 9);
        expect(whole.shares.gridToLoadWh / 1000).toBeCloseTo((3 * hours) / 4, 9);
      }
      expect(result.coverage.ratio).toBeCloseTo(1, 12);
      expect(result.coverage.gaps).toEqual([]);
      expectTiled(result, one);
    }
  });

  it("gives the two 01:30s of New York's 2026-11-01 to one day, each to its own hour", () => {
    const startMs = Date.UTC(2026, 10, 1, 4);
    const samples: Sample[] = Array.from({ length: 25 * 60 }, (_, i) => ({
      s: i * 60,
      loadL1W: i === 90 ? 2000 : i === 150 ? 3000 : 500,
      loadL2W: 500,
      source: "inverter",
    }));
    const { days, hours } = review(seriesOf(samples, startMs), { zone: "America/New_York" });
    expect(days.map((one) => one.date)).toEqual(["2026-11-01"]);
    expect(hours.length).toBe(25);
    // 05:30Z and 06:30Z (checks.md, section 7), both 01:30 on the clock.
    expect(hours[1].peakAtMs).toBe(Date.UTC(2026, 10, 1, 5, 30));
    expect(hours[2].peakAtMs).toBe(Date.UTC(2026, 10, 1, 6, 30));
    const clock = createLocalClock("America/New_York");
    expect([hours[1], hours[2]].map((hour) => clock.clockS(hour.fromMs))).toEqual([3600, 3600]);
  });
});

/** Days follow one another without hole or overlap, and the whole day's hours fill it. */
function expectTiled(result: ReviewResult, one: LocalDay): void {
  for (let i = 1; i < result.days.length; i++) expect(result.days[i].fromMs).toBe(result.days[i - 1].toMs);
  const hours = result.hours.filter(
    (hour) => hour.fromMs >= Date.parse(one.from) && hour.fromMs < Date.parse(one.to),
  );
  expect(hours[0].fromMs).toBe(Date.parse(one.from));
  expect(hours.reduce((sum, hour) => sum + hour.heldS, 0) / 3600).toBeCloseTo(one.hours, 9);
  for (const hour of hours) expect(hour.heldS).toBeCloseTo((hour.toMs - hour.fromMs) / 1000, 6);
}
