import { describe, expect, it } from "vitest";
import { thinPoints } from "../../../../app/_charts/thin-points";

describe("thinPoints", () => {
  it("keeps nothing of nothing and everything of a few", () => {
    expect(thinPoints([])).toEqual([]);
    expect(thinPoints([3, 1, 2], 4)).toEqual([0, 1, 2]);
  });

  it("never keeps more than was asked for, in ascending order, with both ends", () => {
    const values = Float32Array.from({ length: 100_000 }, (_, at) => Math.sin(at / 50));
    const kept = thinPoints(values);
    expect(kept.length).toBeLessThanOrEqual(2000);
    expect(kept[0]).toBe(0);
    expect(kept.at(-1)).toBe(99_999);
    expect(kept).toEqual([...new Set(kept)].sort((a, b) => a - b));
  });

  it("loses no peak, however short, up or down", () => {
    for (const at of [1, 777, 50_001, 99_998]) {
      const values = new Float32Array(100_000).fill(1);
      values[at] = 9;
      expect(thinPoints(values)).toContain(at);
      values[at] = -9;
      expect(thinPoints(values)).toContain(at);
    }
  });

  it("keeps a hole a hole", () => {
    const values = new Float32Array(10_000).fill(1).fill(Number.NaN, 4000, 6000);
    expect(thinPoints(values, 100).some((at) => Number.isNaN(values[at]))).toBe(true);
  });

  it("refuses to draw with fewer than four points", () => {
    expect(() => thinPoints([1], 3)).toThrow("thinPoints requires maxPoints of at least 4, got 3");
  });
});
