import { expect, test } from "vitest";
import { eventClusters } from "../../../../app/_parts/event-clusters";

const STRETCH = { fromMs: 0, toMs: 100_000 };
const event = (fromMs: number) => ({
  kind: "transfer" as const,
  fromMs,
  toMs: fromMs + 1,
  text: "",
  href: "",
});

test("no events have no marks", () => {
  expect(eventClusters([], STRETCH, 10)).toEqual([]);
});

test("events apart have a mark each, near ones share one whose stretch holds them all", () => {
  const clusters = eventClusters([event(5000), event(41_000), event(49_000), event(99_999)], STRETCH, 10);
  expect(clusters.map(({ events, share }) => [events.length, share])).toEqual([
    [1, 0.05],
    [2, 0.45],
    [1, 0.95],
  ]);
  for (const { events, fromMs, toMs } of clusters) {
    for (const one of events) expect(one.fromMs >= fromMs && one.fromMs < toMs).toBe(true);
  }
});

test("events outside of what is shown have none", () => {
  expect(eventClusters([event(-1), event(100_000)], STRETCH, 10)).toEqual([]);
});

test("there are never more marks than places, and none stands twice", () => {
  const clusters = eventClusters(
    Array.from({ length: 500 }, (_, at) => event(at * 200)),
    STRETCH,
    18,
  );
  expect(clusters).toHaveLength(18);
  expect(new Set(clusters.map(({ share }) => share)).size).toBe(18);
});
