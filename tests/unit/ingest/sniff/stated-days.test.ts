import { describe, expect, it } from "vitest";
import { statedDays } from "../../../../src/ingest/sniff/stated-days";

describe("statedDays", () => {
  it.each([
    ["log_2026-05-01.csv", ["2026-05-01"]],
    ["20260501.csv", ["2026-05-01"]],
    ["2026_05_01 to 2026_05_03.csv", ["2026-05-01", "2026-05-03"]],
    ["Report of May 1, 2026", ["2026-05-01"]],
    ["1 de mayo de 2026", ["2026-05-01"]],
    ["1. Mai 2026", ["2026-05-01"]],
    ["1-May-2026", ["2026-05-01"]],
  ])("finds those of %j", (text, days) => {
    expect(statedDays(text)).toEqual(days);
  });

  it.each(["05/01/2026", "2026-02-30", "2026-13-01", "log.csv", "serial 1202605017", "40 Foo 2026"])(
    "finds none in %j",
    (text) => {
      expect(statedDays(text)).toEqual([]);
    },
  );
});
