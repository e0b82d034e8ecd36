import { describe, expect, it } from "vitest";
import { formatBytes, formatCount } from "../../../../app/_format/count";
import { formatDuration } from "../../../../app/_format/duration";
import { isoLocal, localTime } from "../../../../app/_format/local-time";
import { formatNumber } from "../../../../app/_format/number";
import { formatPercent } from "../../../../app/_format/percent";
import { formatKw, formatKwh } from "../../../../app/_format/power";
import { parseTransferId, transferId } from "../../../../app/_format/transfer-id";

const plain = (text: string) => text.replaceAll("\u00a0", " ");

describe("figures on a screen", () => {
  it("says a dash where nothing is known, never zero", () => {
    expect([formatKw(null), formatKwh(Number.NaN), formatPercent(null), formatDuration(undefined)]).toEqual([
      "–",
      "–",
      "–",
      "–",
    ]);
  });

  it("keeps the minus sign of a figure and drops that of a rounded zero", () => {
    expect(formatNumber(-12.34, 1)).toBe("−12.3");
    expect(formatNumber(-0.04, 1)).toBe("0.0");
  });

  it("gives power in kW and energy in kWh", () => {
    expect(plain(formatKw(4640))).toBe("4.64 kW");
    expect(plain(formatKw(11_740))).toBe("11.7 kW");
    expect(plain(formatKwh(1_240_400))).toBe("1,240 kWh");
  });

  it("never rounds a part up to all of it, nor down to nothing", () => {
    expect(plain(formatPercent(0.9999))).toBe("over 99 %");
    expect(plain(formatPercent(0.0004))).toBe("under 1 %");
    expect(plain(formatPercent(1))).toBe("100 %");
    expect(plain(formatPercent(0))).toBe("0 %");
  });

  it("gives durations in the two greatest units that say something", () => {
    expect([45, 192, 3600, 7500, 356_400].map((s) => plain(formatDuration(s)))).toEqual([
      "45 s",
      "3 min 12 s",
      "1 h",
      "2 h 5 min",
      "4 d 3 h",
    ]);
  });

  it("never gives sixty seconds or sixty minutes when it rounds", () => {
    expect(plain(formatDuration(59.6))).toBe("1 min");
    expect(plain(formatDuration(3599.7))).toBe("1 h");
    expect(plain(formatDuration(7199))).toBe("2 h");
  });

  it("counts with the right noun", () => {
    expect(plain(formatCount(1, "transfer"))).toBe("1 transfer");
    expect(plain(formatCount(1200, "transfer"))).toBe("1,200 transfers");
    expect(plain(formatBytes(202_000_000))).toBe("202 MB");
  });
});

describe("local time", () => {
  it("is the site's, with its zone, on both sides of a clock change", () => {
    const before = localTime(Date.parse("2026-11-01T07:30:00Z"), "America/Denver");
    const after = localTime(Date.parse("2026-11-01T08:30:00Z"), "America/Denver");
    expect([before.clock, before.zone, after.clock, after.zone]).toEqual(["01:30", "MDT", "01:30", "MST"]);
  });

  it("is written with the offset that was in force", () => {
    expect(isoLocal(Date.parse("2026-05-15T00:02:33Z"), "America/Denver")).toBe("2026-05-14T18:02:33-06:00");
    expect(isoLocal(Date.parse("2026-01-01T00:00:00.250Z"), "Asia/Kathmandu")).toBe(
      "2026-01-01T05:45:00.250+05:45",
    );
  });
});

describe("the name of a transfer", () => {
  it("is its instant, and leads back to it", () => {
    const atMs = Date.parse("2026-05-14T18:02:33Z");
    expect(transferId(atMs)).toBe("20260514T180233Z");
    expect(parseTransferId("20260514T180233Z")).toBe(atMs);
    expect(parseTransferId(transferId(atMs + 250))).toBe(atMs + 250);
  });

  it("is refused where it is no instant", () => {
    expect(["", "20260514", "20261314T180233Z", "20260230T000000Z"].map(parseTransferId)).toEqual([
      null,
      null,
      null,
      null,
    ]);
  });
});
