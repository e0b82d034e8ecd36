import { describe, expect, it } from "vitest";
import { spreadsheetDayMs } from "../../../src/ingest/spreadsheet-day";

const iso = (text: string, decimals: number, from1904 = false) => {
  const ms = spreadsheetDayMs(text, decimals, from1904);
  return Number.isNaN(ms) ? null : new Date(ms).toISOString();
};

describe("spreadsheetDayMs", () => {
  // Source: ECMA-376, part 1, 18.17.4.1: serial number 1 is 1900-01-01 and 2,958,465 is 9999-12-31; with its leap day
  // of 1900 that never was, 61 is 1900-03-01. In the 1904 base serial number 0 is 1904-01-01.
  it("counts days as spreadsheets do", () => {
    expect(iso("61", 0)).toBe("1900-03-01T00:00:00.000Z");
    expect(iso("36526", 0)).toBe("2000-01-01T00:00:00.000Z");
    expect(iso("0", 0, true)).toBe("1904-01-01T00:00:00.000Z");
    expect(iso("44681.5", 1, true)).toBe("2026-05-01T12:00:00.000Z");
  });

  it.each([
    ["46143.52083", 5, "2026-05-01T12:30:00.000Z"],
    ["46143.520833333336", 12, "2026-05-01T12:30:00.000Z"],
    ["46143.5208449074", 10, "2026-05-01T12:30:01.000Z"],
    ["46143.52084", 5, "2026-05-01T12:30:01.000Z"],
    ["46143,52083", 5, "2026-05-01T12:30:00.000Z"],
    ["46143.5208", 4, "2026-05-01T12:30:00.000Z"],
    ["46143.5", 5, "2026-05-01T12:00:00.000Z"],
    ["46143", 5, "2026-05-01T00:00:00.000Z"],
    ["46143.521", 5, "2026-05-01T12:30:14.000Z"],
    ["46143.5208362268", 10, "2026-05-01T12:30:00.250Z"],
  ])("reads %s of a log with %i decimals", (text, decimals, at) => {
    expect(iso(text, decimals)).toBe(at);
  });

  it.each(["", "today", "-1", "46143.5.1", "4614352083"])("refuses %j", (text) => {
    expect(iso(text, 5)).toBeNull();
  });
});
