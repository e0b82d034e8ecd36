import { describe, expect, it } from "vitest";
import { createTimeReader } from "../../../src/ingest/time-reader";

const read = (format: string, text: string, zone = "UTC") => {
  const at = createTimeReader({ format, zone }).read(text);
  return Number.isNaN(at) ? null : new Date(at).toISOString();
};

describe("createTimeReader", () => {
  it.each([
    ["epoch-s", "1749535200", "2025-06-10T06:00:00.000Z"],
    ["epoch-s", "1749535200.25", "2025-06-10T06:00:00.250Z"],
    ["epoch-ms", "1749535200125", "2025-06-10T06:00:00.125Z"],
    ["epoch-s", "1.7495352E9", "2025-06-10T06:00:00.000Z"],
    ["epoch-us", "1749535200125000", "2025-06-10T06:00:00.125Z"],
    ["epoch-us", "1749535200125999.5", "2025-06-10T06:00:00.125Z"],
    ["spreadsheet-day", "46143.520833333336", "2026-05-01T12:30:00.000Z"],
    ["spreadsheet-day-1904", "44681.5", "2026-05-01T12:00:00.000Z"],
    ["EEE dd/MM/yyyy HH:mm", "Sun 05/07/2026 14:30", "2026-07-05T14:30:00.000Z"],
    ["EEE, d MMM yyyy HH:mm", "dim., 5 juil. 2026 14:30", "2026-07-05T14:30:00.000Z"],
    ["EEE, d MMM yyyy HH:mm", "dim, 5 juil. 2026 14:30", "2026-07-05T14:30:00.000Z"],
    ["d MMM yyyy HH:mm", "5 Sept. 2026 14:30", "2026-09-05T14:30:00.000Z"],
    ["d MMM yyyy HH:mm", "5 Mrz 2026 14:30", "2026-03-05T14:30:00.000Z"],
    ["d MMM yyyy HH:mm", "5 aout 2026 14:30", "2026-08-05T14:30:00.000Z"],
    ["dd/MM/yyyy HH:mm:ss.SSS", "05/07/2026 14:30:05", "2026-07-05T14:30:05.000Z"],
    ["yyyy-MM-dd HH:mm zzz", "2026-07-05 14:30 MDT", "2026-07-05T20:30:00.000Z"],
    ["yyyy-MM-dd HH:mm zzz", "2026-07-05 14:30 MESZ", "2026-07-05T12:30:00.000Z"],
    ["dd/MM/yyyy HH:mm:ss", "05/07/2026 14:30:05", "2026-07-05T14:30:05.000Z"],
    ["M/d/yyyy h:mm a", "7/5/2026 2:30 PM", "2026-07-05T14:30:00.000Z"],
    ["M/d/yyyy h:mm a", "7/5/2026 12:05 am", "2026-07-05T00:05:00.000Z"],
    ["M/d/yyyy h:mm a", "7/5/2026 12:05 p.m.", "2026-07-05T12:05:00.000Z"],
    ["d.M.yy HH:mm", "5.7.26 14:30", "2026-07-05T14:30:00.000Z"],
    ["yyyyMMddHHmmss", "20260705143005", "2026-07-05T14:30:05.000Z"],
    ["d MMM yyyy HH:mm", "5 Jul 2026 14:30", "2026-07-05T14:30:00.000Z"],
    ["d MMMM yyyy HH:mm", "5 Mai 2026 14:30", "2026-05-05T14:30:00.000Z"],
    ["dd/MM/yyyy HH:mm:ss.SSS", "05/07/2026 14:30:05.250", "2026-07-05T14:30:05.250Z"],
    ["dd/MM/yyyy HH:mm XXX", "05/07/2026 14:30 +02:00", "2026-07-05T12:30:00.000Z"],
    ["yyyy-MM-dd'T'HH:mm", "2026-07-05T14:30", "2026-07-05T14:30:00.000Z"],
  ])("reads %s", (format, text, iso) => {
    expect(read(format, text)).toBe(iso);
  });

  it.each([
    ["epoch-s", "soon"],
    ["epoch-s", ""],
    ["dd/MM/yyyy HH:mm", "31/04/2026 10:00"],
    ["dd/MM/yyyy HH:mm", "05/13/2026 10:00"],
    ["dd/MM/yyyy HH:mm", "05/07/2026"],
    ["dd/MM/yyyy HH:mm", "05/07/2026 10:00 x"],
    ["M/d/yyyy h:mm a", "7/5/2026 13:30 PM"],
    ["M/d/yyyy h:mm a", "7/5/2026 1:30"],
    ["d MMM yyyy HH:mm", "5 Foo 2026 14:30"],
    ["d MMM yyyy HH:mm", "5 jui 2026 14:30"],
    ["yyyy-MM-dd HH:mm zzz", "2026-07-05 14:30 XYZ"],
    ["spreadsheet-day", "yesterday"],
    ["epoch-us", "soon"],
  ])("refuses for %s the text %j", (format, text) => {
    expect(read(format, text)).toBeNull();
  });

  it("puts days to times of day, on from the first one, in ascending and in descending logs", () => {
    const of = (texts: string[], date = "2026-05-01") => {
      const reader = createTimeReader({ format: "auto", zone: "UTC", date });
      return texts.map((text) => new Date(reader.read(text)).toISOString().slice(0, 16));
    };
    expect(of(["23:58", "23:59", "00:00", "12:00", "00:01"])).toEqual([
      "2026-05-01T23:58",
      "2026-05-01T23:59",
      "2026-05-02T00:00",
      "2026-05-02T12:00",
      "2026-05-02T00:01",
    ]);
    expect(of(["00:01", "23:59", "23:58"])).toEqual([
      "2026-05-01T00:01",
      "2026-04-30T23:59",
      "2026-04-30T23:58",
    ]);
    expect(() => createTimeReader({ format: "auto", zone: "UTC", date: "May" })).toThrow(/requires a date/);
  });

  it("reads wall times in a zone or a fixed offset", () => {
    expect(read("auto", "2026-07-05 12:00", "America/Denver")).toBe("2026-07-05T18:00:00.000Z");
    expect(read("auto", "2026-01-05 12:00", "America/Denver")).toBe("2026-01-05T19:00:00.000Z");
    expect(read("auto", "2026-07-05 12:00", "-07:00")).toBe("2026-07-05T19:00:00.000Z");
  });

  it("throws for a zone and a format that don't exist", () => {
    expect(() => createTimeReader({ format: "auto", zone: "Mars/Base" })).toThrow(RangeError);
    expect(() => createTimeReader({ format: "dd/MM", zone: "UTC" })).toThrow(/requires a date pattern/);
  });
});
