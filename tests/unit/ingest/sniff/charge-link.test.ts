import { describe, expect, it } from "vitest";
import { chargeLink } from "../../../../src/ingest/sniff/charge-link";

const n = 600;
const times = Float64Array.from({ length: n }, (_, i) => i * 60_000);
const amps = Float64Array.from({ length: n }, (_, i) => 40 * Math.sin(i / 60) + 5 * Math.sin(i));
const soc = new Float64Array(n);
soc[0] = 60;
for (let i = 1; i < n; i++) soc[i] = soc[i - 1] - amps[i - 1] / 240;

describe("chargeLink", () => {
  it("is near 1 for a battery that counts discharge up, near -1 for one that counts charge", () => {
    expect(chargeLink(amps, soc, times).correlation).toBeGreaterThan(0.99);
    expect(
      chargeLink(
        amps.map((a) => -a),
        soc,
        times,
      ).correlation,
    ).toBeLessThan(-0.99);
  });

  it("says nothing without times, or of too few rows", () => {
    expect(
      chargeLink(
        amps,
        soc,
        times.map(() => Number.NaN),
      ).correlation,
    ).toBeNaN();
    expect(chargeLink(amps.slice(0, 20), soc.slice(0, 20), times.slice(0, 20)).correlation).toBeNaN();
  });
});
