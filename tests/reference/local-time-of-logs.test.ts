import { existsSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { createLocalClock } from "../../src/analysis/local-time";
import { createTimeReader } from "../../src/ingest/time-reader";
import { createZoneClock } from "../../src/ingest/zone-clock";

const HOUR = 3_600_000;

/** Offset in minutes of "-05:00". */
function minutes(offset: string): number {
  const [, sign, h, m] = /^([+-])(\d\d):(\d\d)$/.exec(offset) as RegExpExecArray;
  return (sign === "-" ? -1 : 1) * (Number(h) * 60 + Number(m));
}

// Source: checks.md, section 7, which computed it from the IANA tz data 2025b and 2025c.
const CHANGES = [
  ["America/New_York", "2026-03-08T07:00Z", "-05:00", "-04:00"],
  ["America/New_York", "2026-11-01T06:00Z", "-04:00", "-05:00"],
  ["America/Chicago", "2026-03-08T08:00Z", "-06:00", "-05:00"],
  ["America/Chicago", "2026-11-01T07:00Z", "-05:00", "-06:00"],
  ["America/Denver", "2026-03-08T09:00Z", "-07:00", "-06:00"],
  ["America/Denver", "2026-11-01T08:00Z", "-06:00", "-07:00"],
  ["America/Los_Angeles", "2026-03-08T10:00Z", "-08:00", "-07:00"],
  ["America/Los_Angeles", "2026-11-01T09:00Z", "-07:00", "-08:00"],
  ["America/St_Johns", "2026-03-08T05:30Z", "-03:30", "-02:30"],
  ["America/St_Johns", "2026-11-01T04:30Z", "-02:30", "-03:30"],
  ["America/Havana", "2026-03-08T05:00Z", "-05:00", "-04:00"],
  ["America/Havana", "2026-11-01T05:00Z", "-04:00", "-05:00"],
  ["Europe/Berlin", "2026-03-29T01:00Z", "+01:00", "+02:00"],
  ["Europe/Berlin", "2026-10-25T01:00Z", "+02:00", "+01:00"],
  ["Australia/Lord_Howe", "2026-10-03T15:30Z", "+10:30", "+11:00"],
  ["Australia/Lord_Howe", "2026-04-04T15:00Z", "+11:00", "+10:30"],
  ["Australia/Sydney", "2026-10-03T16:00Z", "+10:00", "+11:00"],
  ["Australia/Sydney", "2026-04-04T16:00Z", "+11:00", "+10:00"],
  ["Pacific/Chatham", "2026-09-26T14:00Z", "+12:45", "+13:45"],
  ["Pacific/Chatham", "2026-04-04T14:00Z", "+13:45", "+12:45"],
] as const;

describe("the clock changes of 2026", () => {
  it.each(CHANGES)("%s changes at %s from %s to %s", (zone, at, before, after) => {
    const change = Date.parse(at);
    const clock = createZoneClock(zone);
    expect(clock.offsetAtMs(change - 1) / 60_000).toBe(minutes(before));
    expect(clock.offsetAtMs(change) / 60_000).toBe(minutes(after));
    const local = createLocalClock(zone);
    expect(local.offsetMs(change - 1) / 60_000).toBe(minutes(before));
    expect(local.offsetMs(change) / 60_000).toBe(minutes(after));
  });

  it.each(CHANGES)("%s at %s skips or repeats just the wall times in between", (zone, at, before, after) => {
    const change = Date.parse(at);
    const clock = createZoneClock(zone);
    const wallBefore = change + minutes(before) * 60_000;
    const wallAfter = change + minutes(after) * 60_000;
    const low = Math.min(wallBefore, wallAfter);
    const high = Math.max(wallBefore, wallAfter);
    const isGap = wallAfter > wallBefore;
    for (const wall of [low, low + 60_000, high - 1]) {
      const first = clock.instantMs(wall);
      if (isGap) {
        expect(first).toBeNaN();
      } else {
        expect(first).toBe(wall - minutes(before) * 60_000);
        expect(clock.secondMs()).toBe(wall - minutes(after) * 60_000);
      }
    }
    for (const [wall, offset] of [
      [low - 1, before],
      [high, after],
    ] as const) {
      expect(clock.instantMs(wall)).toBe(wall - minutes(offset) * 60_000);
      expect(clock.secondMs()).toBeNaN();
    }
  });

  it("finds none in America/Phoenix", () => {
    const clock = createZoneClock("America/Phoenix");
    for (let at = Date.UTC(2026, 0, 1); at < Date.UTC(2027, 0, 1); at += HOUR) {
      expect(clock.offsetAtMs(at)).toBe(-7 * HOUR);
    }
  });

  // Source: checks.md, section 7: the two instants of 01:30, and 02:30, which does not exist.
  it("knows both instants of New York's 2026-11-01 01:30, and none of its 2026-03-08 02:30", () => {
    const reader = createTimeReader({ format: "auto", zone: "America/New_York" });
    expect(reader.read("2026-11-01 01:30")).toBe(Date.UTC(2026, 10, 1, 5, 30));
    expect(reader.second()).toBe(Date.UTC(2026, 10, 1, 6, 30));
    expect(reader.read("2026-03-08T02:30")).toBeNaN();
    expect(reader.onClock()).toBe(false);
  });
});

// Source: RFC 9557, sections 3.3 and 3.4, and its examples.
describe("times with a suffix of RFC 9557", () => {
  const reader = createTimeReader({ format: "auto", zone: "UTC" });
  it.each([
    ["2022-07-08T00:14:07Z[Europe/Paris]", "2022-07-08T00:14:07Z"],
    ["2022-07-08T02:14:07+02:00[Europe/Paris]", "2022-07-08T00:14:07Z"],
    ["2022-07-08T00:14:07+01:00[Europe/Paris]", "2022-07-07T23:14:07Z"],
    ["2022-07-08T00:14:07+02:00[!Europe/Paris]", "2022-07-07T22:14:07Z"],
    ["2022-07-08T00:14:07Z[knort=blargel]", "2022-07-08T00:14:07Z"],
    ["1996-12-19T16:39:57-08:00[America/Los_Angeles]", "1996-12-20T00:39:57Z"],
    ["1996-12-19T16:39:57-08:00[America/Los_Angeles][u-ca=hebrew]", "1996-12-20T00:39:57Z"],
    ["1996-12-19T16:39:57-08:00[_foo=bar][_baz=bat]", "1996-12-20T00:39:57Z"],
    ["2022-07-08T00:14:07Z[!Europe/London]", "2022-07-08T00:14:07Z"],
    ["2022-07-08T00:14:07+08:45[!+08:45]", "2022-07-07T15:29:07Z"],
  ])("%s is %s", (text, instant) => {
    expect(reader.read(text)).toBe(Date.parse(instant));
  });

  it.each([
    "2022-07-08T00:14:07+01:00[!Europe/Paris]",
    "2022-07-08T00:14:07Z[!knort=blargel]",
    "2022-07-08T00:14:07+00:00[!Europe/London]",
    "2022-07-08T00:14:07Z[!u-ca=chinese][u-ca=japanese]",
    "2022-07-08T00:14:07Z[u-ca=chinese][!u-ca=japanese]",
    "2022-07-08T00:14:07+08:45[!+08:00]",
  ])("%s is refused", (text) => {
    expect(reader.read(text)).toBeNaN();
  });
});

// Source: Open Power System Data, household data, residential4 (CC BY 4.0): the publisher's own local column.
const OPSD = "../shared/datasets/opsd-household/household_data_60min_singleindex_residential4.csv";

describe("the publisher's local time in the open household data", { timeout: 30_000 }, () => {
  const there = existsSync(OPSD);
  it("is at hand under CI", () => {
    if (!there) console.warn(`Ran without ${OPSD}: the open household data is not beside this checkout.`);
    expect(there || process.env.CI !== "true").toBe(true);
  });

  it.skipIf(!there)("is what Europe/Berlin gives, in all 11,867 rows across three clock changes", () => {
    const rows = readFileSync(OPSD, "utf8")
      .trim()
      .split("\n")
      .slice(1)
      .map((line) => line.split(","));
    expect(rows.length).toBe(11_867);
    const clock = createZoneClock("Europe/Berlin");
    const local = createLocalClock("Europe/Berlin");
    const stated = createTimeReader({ format: "auto", zone: "UTC" });
    const wall = createTimeReader({ format: "auto", zone: "Europe/Berlin" });
    let repeated = 0;
    for (const [utc, cest] of rows) {
      const at = stated.read(utc);
      const offset = clock.offsetAtMs(at);
      expect(local.offsetMs(at)).toBe(offset);
      const hours = String(offset / HOUR).padStart(2, "0");
      expect(`${new Date(at + offset).toISOString().slice(0, 19)}+${hours}00`).toBe(cest);
      expect(stated.read(cest)).toBe(at);
      const first = wall.read(cest.slice(0, 19));
      if (Number.isNaN(wall.second())) {
        expect(first).toBe(at);
      } else {
        expect([first, wall.second()]).toContain(at);
        repeated++;
      }
    }
    // 02:00 local twice, on 2015-10-25 and on 2016-10-30.
    expect(repeated).toBe(4);
  });
});
