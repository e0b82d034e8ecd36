import { describe, expect, it } from "vitest";
import {
  clockOf,
  formatAmps,
  formatApparentPower,
  formatClock,
  formatClockTime,
  formatCount,
  formatDuration,
  formatEnergy,
  formatLoading,
  formatLocalTime,
  formatMonth,
  formatPct,
  formatPower,
  formatShare,
  formatTemperature,
  formatVolts,
  localIso,
} from "../../../src/report/format";

describe("figures in words", () => {
  it("says powers in W below a kilowatt, then in kW", () => {
    expect(formatPower(0)).toBe("0 W");
    expect(formatPower(-0.2)).toBe("0 W");
    expect(formatPower(850.4)).toBe("850 W");
    expect(formatPower(999.6)).toBe("1.00 kW");
    expect(formatPower(4604)).toBe("4.60 kW");
    expect(formatPower(11_234)).toBe("11.2 kW");
    expect(formatPower(null)).toBe("not known");
    expect(formatPower(Number.NaN)).toBe("not known");
  });

  it("says apparent powers, currents, voltages, temperatures and states of charge", () => {
    expect(formatApparentPower(4604)).toBe("4.60 kVA");
    expect(formatApparentPower(850)).toBe("850 VA");
    expect(formatApparentPower(null)).toBe("not known");
    expect(formatAmps(27.84)).toBe("27.8 A");
    expect(formatAmps(99.96)).toBe("100 A");
    expect(formatAmps(-0.01)).toBe("0.0 A");
    expect(formatAmps(null)).toBe("not known");
    expect(formatVolts(119.96)).toBe("120.0 V");
    expect(formatVolts(Number.NaN)).toBe("not known");
    expect(formatTemperature(76)).toBe("76 °C");
    expect(formatTemperature(76.25)).toBe("76.3 °C");
    expect(formatTemperature(null)).toBe("not known");
    expect(formatPct(21)).toBe("21 %");
    expect(formatPct(21.46)).toBe("21.5 %");
    expect(formatPct(null)).toBe("not known");
  });

  it("says energies in Wh below a kilowatt-hour, then in kWh, with thousands set apart", () => {
    expect(formatEnergy(640)).toBe("640 Wh");
    expect(formatEnergy(12_440)).toBe("12.4 kWh");
    expect(formatEnergy(1_010_400)).toBe("1,010 kWh");
  });

  it("never lets nearly all read as all", () => {
    expect(formatShare(1)).toBe("100 %");
    expect(formatShare(0.9997)).toBe("99.9 %");
    expect(formatShare(0.9214)).toBe("92.1 %");
    expect(formatShare(0.05)).toBe("5 %");
    expect(formatShare(null)).toBe("not known");
  });

  it("says durations as people do", () => {
    expect(formatDuration(8)).toBe("8 s");
    expect(formatDuration(60)).toBe("1 min");
    expect(formatDuration(200)).toBe("3 min 20 s");
    expect(formatDuration(3599)).toBe("60 min");
    expect(formatDuration(6300)).toBe("1 h 45 min");
    expect(formatDuration(86_400)).toBe("1 d");
    expect(formatDuration(51 * 3600)).toBe("2 d 3 h");
    expect(formatDuration(Number.NaN)).toBe("not known");
  });

  it("counts one thing and several", () => {
    expect(formatCount(1, "transfer")).toBe("1 transfer");
    expect(formatCount(1200, "transfer")).toBe("1,200 transfers");
  });

  it("cuts a loading off, so that only what has reached a limit reads as at it", () => {
    expect(formatLoading(1.0862)).toBe("1.08");
    expect(formatLoading(0.9962)).toBe("0.99");
    expect(formatLoading(0.8999)).toBe("0.89");
    // Products of decimals that fall short of them by a bit.
    expect(formatLoading(0.29)).toBe("0.29");
    expect(formatLoading(3600 / 4000)).toBe("0.90");
    expect(formatLoading(Number.NaN)).toBe("not known");
  });
});

describe("times at the site", () => {
  const denver = clockOf("America/Denver");

  it("are given on its clock", () => {
    expect(formatLocalTime(Date.UTC(2026, 4, 15, 0, 2), denver)).toBe("14 May, 18:02");
    expect(formatClock(Date.UTC(2026, 4, 15, 0, 2, 33), denver)).toBe("18:02:33");
    expect(formatMonth("2026-05")).toBe("May 2026");
  });

  it("are said not to be known where they aren't", () => {
    expect(formatLocalTime(Number.NaN, denver)).toBe("a time not known");
    expect(formatClock(Number.NaN, denver)).toBe("a time not known");
    expect(formatClockTime(12_600)).toBe("03:30");
    expect(formatClockTime(12_605)).toBe("03:30:05");
  });

  it("carry its offset in files, on both sides of a clock change", () => {
    expect(localIso(Date.UTC(2026, 10, 1, 7, 30), denver)).toBe("2026-11-01T01:30:00-06:00");
    expect(localIso(Date.UTC(2026, 10, 1, 8, 30), denver)).toBe("2026-11-01T01:30:00-07:00");
    expect(localIso(Date.UTC(2026, 0, 1, 0, 0, 0, 250), clockOf("Pacific/Chatham"))).toBe(
      "2026-01-01T13:45:00.250+13:45",
    );
    expect(localIso(Date.UTC(2026, 6, 1), clockOf("America/St_Johns"))).toBe("2026-06-30T21:30:00-02:30");
  });
});
