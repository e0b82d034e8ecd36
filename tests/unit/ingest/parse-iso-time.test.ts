import { describe, expect, it } from "vitest";
import { parseIsoTime, type WrittenTime } from "../../../src/ingest/parse-iso-time";

const into: WrittenTime = { wallMs: 0, offsetMs: 0, zone: null };
const wall = (text: string) => (parseIsoTime(text, into) ? new Date(into.wallMs).toISOString() : null);

describe("parseIsoTime", () => {
  it.each([
    ["2026-05-01T14:30:05", "2026-05-01T14:30:05.000Z"],
    ["2026-05-01 14:30", "2026-05-01T14:30:00.000Z"],
    ["2026/05/01 14:30:05", "2026-05-01T14:30:05.000Z"],
    ["20260501T143005", "2026-05-01T14:30:05.000Z"],
    ["2026-05-01", "2026-05-01T00:00:00.000Z"],
    ["2026-05-01T14:30:05.1", "2026-05-01T14:30:05.100Z"],
    ["2026-05-01T14:30:05,123456", "2026-05-01T14:30:05.123Z"],
    ["  2026-05-01 9:30 ", "2026-05-01T09:30:00.000Z"],
    ["2026-05-01T24:00:00", "2026-05-02T00:00:00.000Z"],
    ["2028-02-29T00:00:00", "2028-02-29T00:00:00.000Z"],
    ["2000-02-29T00:00:00", "2000-02-29T00:00:00.000Z"],
  ])("reads %s", (text, iso) => {
    expect(wall(text)).toBe(iso);
    expect(into.offsetMs).toBeNaN();
  });

  it.each([
    ["2026-05-01T14:30:05Z", 0],
    ["2026-05-01T14:30:05z", 0],
    ["2026-05-01T14:30:05-06:00", -360],
    ["2026-05-01T14:30:05+0545", 345],
    ["2026-05-01T14:30:05+02", 120],
    ["2026-05-01 14:30:05 UTC", 0],
    ["2026-05-01T14:30:05.25-06:00", -360],
  ])("reads the offset of %s", (text, offsetMinutes) => {
    expect(parseIsoTime(text, into)).toBe(true);
    expect(into.offsetMs).toBe(offsetMinutes * 60_000);
  });

  it("keeps the zone of a wall time with a suffix", () => {
    expect(parseIsoTime("2026-05-01T14:30:05[Europe/Paris]", into)).toBe(true);
    expect(into.zone).toBe("Europe/Paris");
  });

  it.each([
    "",
    "2026",
    "2026-02-29T00:00",
    "2100-02-29T00:00",
    "2026-13-01T00:00",
    "2026-00-10T00:00",
    "2026-05-01T25:00",
    "2026-05-01T14:60",
    "2026-05-01T14:30:60",
    "2026-05-01T24:00:01",
    "2026-05-01T14:3",
    "2026-05-01T14:30:05.",
    "2026-05-01T14:30:05+",
    "2026-05-01T14:30:05+2",
    "2026-05-01T14:30:05 PM",
    "2026-05-01x14:30",
    "2026-05/01 14:30",
    "2026-05-01T14:30:05[Mars/Base]",
    "2026-05-01T14:30:05Z[Europe/Paris",
    "1749535200",
    "05/01/2026 14:30",
  ])("refuses %j", (text) => {
    expect(wall(text)).toBeNull();
  });
});
