import { describe, expect, it } from "vitest";
import { randomStream } from "../../../src/simulate/random-stream";

const first = (seed: number, name: string, n: number) => {
  const next = randomStream(seed, name);
  return Array.from({ length: n }, next);
};

describe("randomStream", () => {
  it("gives the same numbers for the same seed and name, for ever", () => {
    expect(first(1, "kettle", 3)).toEqual(first(1, "kettle", 3));
    expect(first(1, "kettle", 3)).toMatchInlineSnapshot(`
      [
        0.5448907155077904,
        0.26023444905877113,
        0.15806424897164106,
      ]
    `);
  });

  it("gives other numbers for another name or seed", () => {
    expect(first(1, "kettle", 3)).not.toEqual(first(1, "kiln", 3));
    expect(first(1, "kettle", 3)).not.toEqual(first(2, "kettle", 3));
  });

  it("is spread evenly over 0 to 1", () => {
    const draws = first(7, "even", 100_000);
    expect(Math.min(...draws.slice(0, 50_000))).toBeGreaterThanOrEqual(0);
    expect(draws.every((draw) => draw < 1)).toBe(true);
    const tenths = new Array(10).fill(0);
    for (const draw of draws) tenths[Math.floor(draw * 10)]++;
    // 10,000 expected in each, standard deviation 95.
    for (const count of tenths) expect(Math.abs(count - 10_000)).toBeLessThan(475);
  });
});
