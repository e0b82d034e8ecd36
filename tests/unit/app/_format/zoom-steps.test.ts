import { expect, test } from "vitest";
import { partsOfDay, zoomSteps } from "../../../../app/_format/zoom-steps";

const HOUR = 3_600_000;
const DAY = { fromMs: 0, toMs: 25 * HOUR };

test("from a whole day there is nothing wider, earlier or later", () => {
  expect(zoomSteps(DAY, DAY)).toEqual({
    closer: { fromMs: 6.5 * HOUR, toMs: 18.5 * HOUR },
    wider: null,
    earlier: null,
    later: null,
  });
});

test("closer and wider keep the middle, within the day", () => {
  const hour = { fromMs: 10 * HOUR, toMs: 11 * HOUR };
  const { closer, wider, earlier, later } = zoomSteps(hour, DAY);
  expect(closer).toEqual({ fromMs: 10.5 * HOUR - 600_000, toMs: 10.5 * HOUR + 600_000 });
  expect(wider).toEqual({ fromMs: 8.5 * HOUR, toMs: 12.5 * HOUR });
  expect(earlier).toEqual({ fromMs: 9.5 * HOUR, toMs: 10.5 * HOUR });
  expect(later).toEqual({ fromMs: 10.5 * HOUR, toMs: 11.5 * HOUR });
  expect(zoomSteps({ fromMs: 0, toMs: HOUR }, DAY).wider).toEqual({ fromMs: 0, toMs: 4 * HOUR });
  expect(zoomSteps({ fromMs: 24.5 * HOUR, toMs: 25 * HOUR }, DAY).later).toBeNull();
});

test("closer ends at a quarter of a minute, wider at the whole day", () => {
  let stretch = { fromMs: 3 * HOUR + 777, toMs: 4 * HOUR + 777 };
  for (let step = zoomSteps(stretch, DAY).closer; step !== null; step = zoomSteps(stretch, DAY).closer)
    stretch = step;
  expect(stretch.toMs - stretch.fromMs).toBe(15_000);
  expect(stretch.fromMs % 1000).toBe(0);
  for (let step = zoomSteps(stretch, DAY).wider; step !== null; step = zoomSteps(stretch, DAY).wider)
    stretch = step;
  expect(stretch).toEqual(DAY);
});

test("a day's parts make up the day, whatever its length", () => {
  for (const hours of [23, 23.5, 24, 24.5, 25]) {
    const parts = partsOfDay({ fromMs: 5000, toMs: 5000 + hours * HOUR });
    expect(parts[0].fromMs).toBe(5000);
    expect(parts.at(-1)!.toMs).toBe(5000 + hours * HOUR);
    for (const [at, part] of parts.slice(1).entries()) expect(part.fromMs).toBe(parts[at].toMs);
  }
});
