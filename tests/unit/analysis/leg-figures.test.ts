import { describe, expect, it } from "vitest";
import { legFigures } from "../../../src/analysis/leg-figures";
import { review, type Sample, START_MS, seriesOf, steady } from "./samples";

const figuresOf = (samples: readonly Sample[]) => legFigures(review(seriesOf(samples)).days);

// Definitions D9, D11 and D16; the figures were reckoned by hand.
describe("figures of the two legs", () => {
  it("are null without days, and where the log has no legs", () => {
    for (const figures of [legFigures([]), figuresOf(steady(30, 60, { loadW: 900, source: "inverter" }))]) {
      expect(figures).toMatchObject({
        density: null,
        meanL1W: null,
        meanL2W: null,
        neutral: null,
        voltage: null,
      });
      expect(figures.hours.every(({ l1W, l2W }) => l1W === null && l2W === null)).toBe(true);
    }
  });

  it("give the neutral's current by the time it is reached, its greatest with its time", () => {
    const samples = [
      ...steady(99, 60, { loadL1W: 1200, loadL2W: 600, source: "inverter" as const }),
      ...steady(1, 60, { loadL1W: 3600, loadL2W: 0, source: "inverter" as const }, 99 * 60),
    ];
    const { neutral } = figuresOf(samples);
    expect(neutral?.heldS).toBe(6000);
    expect(neutral?.maxA).toBe(30);
    expect(neutral?.maxAtMs).toBe(START_MS + 99 * 60_000);
    const exceeded = Object.fromEntries(
      neutral?.shares.map((share, at) => [share, neutral.exceededA[at]]) ?? [],
    );
    expect(exceeded).toEqual({ 0: 30, 0.001: 30, 0.01: 30, 0.05: 5, 0.1: 5, 0.5: 5 });
  });

  it("take measured amperes before W over V, and measured V before the nominal one", () => {
    const { neutral } = figuresOf(
      steady(10, 60, { loadL1W: 1000, loadL1A: 12, loadL2W: 500, loadL2V: 125, source: "inverter" }),
    );
    expect(neutral?.maxA).toBe(8);
  });

  it("give mean loads over the time that each leg is known", () => {
    const { meanL1W, meanL2W, hours } = figuresOf([
      ...steady(60, 60, { loadL1W: 1000, loadL2W: 400, source: "inverter" }),
      ...steady(60, 60, { loadL1W: 3000, loadL2W: Number.NaN, source: "inverter" }, 3600),
    ]);
    expect([meanL1W, meanL2W]).toEqual([2000, 400]);
    expect(hours[1]).toMatchObject({ l1W: 3000, l2W: null });
  });

  it("say how often each voltage occurs, in bins that hold every sample", () => {
    const { voltage } = figuresOf(
      Array.from({ length: 100 }, (_, i) => ({
        s: i * 60,
        loadL1W: 500,
        loadL2W: 500,
        loadL1V: 119 + (i % 4) * 0.5,
        source: "inverter" as const,
      })),
    );
    expect(voltage?.l2).toEqual([]);
    expect(voltage?.l1).toEqual([
      { volts: 119, share: 0.25 },
      { volts: 119.5, share: 0.25 },
      { volts: 120, share: 0.25 },
      { volts: 120.5, share: 0.25 },
    ]);
  });

  it("keep a dead leg's voltages and a damaged one's to a bearable number of bins", () => {
    const volts = (...values: number[]) =>
      figuresOf(
        values.map((loadL1V, i) => ({
          s: i * 60,
          loadL1W: 500,
          loadL2W: 500,
          loadL1V,
          source: "inverter" as const,
        })),
      ).voltage?.l1 ?? [];
    expect(volts(0, 120)).toHaveLength(241);
    expect(volts(0, 120).filter(({ share }) => share > 0)).toHaveLength(2);
    expect(volts(0, 120, 1e6)).toHaveLength(3);
  });

  it("add days up", () => {
    const samples = steady(3 * 24, 3600, { loadL1W: 2000, loadL2W: 500, source: "inverter" });
    const figures = figuresOf(samples);
    expect(figures.density?.heldS).toBe(3 * 86_400);
    expect(figures.density?.cells).toHaveLength(1);
    expect(figures.hours[23]).toEqual({ hour: 23, l1W: 2000, l1HeldS: 10_800, l2W: 500, l2HeldS: 10_800 });
  });
});
