import { describe, expect, it } from "vitest";
import { timePart } from "../../../../src/ingest/sniff/time-part";

describe("timePart", () => {
  it.each([
    ["Date", ["01.05.2026", "02.05.2026"], "date"],
    ["x", ["2026-05-01"], "date"],
    ["Date", ["20260501"], "date"],
    ["Fecha", ["1 de mayo de 2026"], "date"],
    ["x", ["12:00:00", "12:00:01"], "clock"],
    ["x", ["1:05 PM"], "clock"],
    ["Time", ["1230", "1231"], "clock"],
    ["Uhrzeit", ["12.30"], "clock"],
    ["x", ["AM", "PM"], "half"],
    ["x", ["p. m."], "half"],
    ["x", ["-06:00", "Z"], "offset"],
    ["TZ", ["-0600", "-0600", "-0700", "-0700"], "offset"],
    ["x", ["UTC+05:45"], "offset"],
    ["TZ", ["EDT", "EDT", "EST", "EST"], "offset"],
    ["x", ["MDT", "MDT"], "offset"],
    ["TZ", ["MST", "MST"], "zone"],
    ["x", ["America/Denver", "America/Denver"], "zone"],
    ["Hour", ["0", "23"], "hour"],
    ["Minute", ["0", "45"], "minute"],
    ["Año", ["2026"], "year"],
  ])("takes %s %j for %s", (name, texts, part) => {
    expect(timePart(name, texts)).toBe(part);
  });

  it.each([
    ["Load", ["1230", "1231"]],
    ["Battery [W]", ["-3737", "-3640", "-3248", "-3275"]],
    ["Battery [W]", ["-0600", "-0600"]],
    ["UTC offset", ["-06:10", "-06:10"]],
    ["UTC offset", ["+14:15"]],
    ["Offset", ["-0600", "-0545", "-0530", "-0515", "-0500", "-0445"]],
    ["Mode", ["EST", "ON"]],
    ["Hour meter", ["4000", "4001"]],
    ["L1 min W", ["0", "45"]],
    ["Voltage", ["121.30"]],
    ["State", ["a", "p"]],
    ["x", ["2026-05-01 12:00"]],
  ])("takes %s %j for none", (name, texts) => {
    expect(timePart(name, texts)).toBeNull();
  });
});
