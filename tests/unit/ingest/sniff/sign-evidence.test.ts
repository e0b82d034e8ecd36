import { describe, expect, it } from "vitest";
import { signEvidence } from "../../../../src/ingest/sniff/sign-evidence";

const column = (f: (i: number) => number) => Float64Array.from({ length: 200 }, (_, i) => f(i));
const load = column((i) => 400 + 30 * (i % 17));
const solar = column((i) => (i < 100 ? 1500 + 5 * i : 0));
const battery = load.map((l, i) => l + 40 - solar[i]);
const powers = { load, solar, battery, grid: null };

describe("signEvidence", () => {
  it("says to what the balance closes as read and the other way round", () => {
    const evidence = signEvidence(powers, "battery", Number.NaN);
    expect(evidence.sign).toBe(1);
    expect(evidence.figures.closesToPct).toBeLessThan(2);
    expect(evidence.figures.otherwiseToPct).toBeGreaterThan(60);
    expect(evidence.figures.rows).toBeGreaterThan(150);
  });

  it("turns a power that is read the wrong way round", () => {
    const wrong = { ...powers, battery: battery.map((v) => -v) };
    expect(signEvidence(wrong, "battery", Number.NaN).sign).toBe(-1);
  });

  it("leaves the sign open where the rows don't show it, or two figures contradict each other", () => {
    expect(signEvidence({ ...powers, grid: column(() => 0) }, "grid", Number.NaN).sign).toBeNull();
    expect(signEvidence(powers, "battery", -0.95).sign).toBeNull();
    expect(signEvidence({ ...powers, load: null }, "battery", Number.NaN).sign).toBeNull();
  });

  it("takes the state of charge where there is no balance", () => {
    expect(signEvidence({ ...powers, load: null }, "battery", -0.97)).toMatchObject({
      sign: -1,
      figures: { socCorrelation: -0.97 },
    });
  });
});
