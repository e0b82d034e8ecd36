import { describe, expect, it } from "vitest";
import { clearSkyRatio } from "../../../src/simulate/clear-sky";

const at = (iso: string) => Date.parse(iso) / 1000;
// On this meridian mean solar noon is at 19:00 UTC.
const LONGITUDE = -105;
const day = (date: string) =>
  Array.from({ length: 1440 }, (_, minute) =>
    clearSkyRatio(at(`${date}T07:00:00Z`) + 60 * minute, 40, LONGITUDE, 30),
  );

describe("clearSkyRatio", () => {
  it("is greatest at solar noon and nothing at night", () => {
    const june = day("2026-06-21");
    expect(june.indexOf(Math.max(...june))).toBeCloseTo(720, -1);
    expect(june[0]).toBe(0);
    expect(june[1439]).toBe(0);
  });

  it("stays between nothing and the panel's peak", () => {
    for (const date of ["2026-03-20", "2026-06-21", "2026-12-21"]) {
      for (const ratio of day(date)) {
        expect(ratio).toBeGreaterThanOrEqual(0);
        expect(ratio).toBeLessThanOrEqual(1);
      }
    }
  });

  it("has days of the length that the latitude gives", () => {
    // 40° N: cos H = −tan φ · tan δ gives 14.85 h at the solstice of June, 9.15 h at that of December.
    const hours = (date: string) => day(date).filter((ratio) => ratio > 0).length / 60;
    expect(hours("2026-06-21")).toBeCloseTo(14.85, 0);
    expect(hours("2026-12-21")).toBeCloseTo(9.15, 0);
    expect(hours("2026-03-20")).toBeCloseTo(12, 0);
  });

  it("mirrors the seasons south of the equator", () => {
    const noon = (date: string) => clearSkyRatio(at(`${date}T19:00:00Z`), -40, LONGITUDE, 30);
    expect(noon("2026-12-21")).toBeGreaterThan(noon("2026-06-21"));
  });
});
