import { describe, expect, it } from "vitest";
import { energyPower } from "../../../../src/ingest/sniff/energy-power";

const minutes = (...m: number[]) => Float64Array.from(m, (x) => x * 60_000);

describe("energyPower", () => {
  it("makes a running total the rise to the next row over the time to it, and nothing of a new start", () => {
    const power = energyPower(Float64Array.of(10, 10.5, 0, 0.25), minutes(0, 15, 30, 45), "counter", 900_000);
    expect([...power]).toEqual([2, Number.NaN, 1, Number.NaN]);
  });

  it("reads a log that runs backwards the same", () => {
    const power = energyPower(Float64Array.of(10.5, 10), minutes(15, 0), "counter", 900_000);
    expect(power[0]).toBe(2);
  });

  it("spreads energies of intervals over the usual time between rows", () => {
    expect([...energyPower(Float64Array.of(0.5, 0.25), minutes(0, 60), "interval", 900_000)]).toEqual([2, 1]);
  });
});
