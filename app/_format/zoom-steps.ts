/** A stretch of time, epoch ms. */
type Stretch = { fromMs: number; toMs: number };

/** Where one can go from a stretch of a day; null where there is nothing more on that side. */
export type ZoomSteps = {
  closer: Stretch | null;
  wider: Stretch | null;
  earlier: Stretch | null;
  later: Stretch | null;
};

const LENGTHS_MS = [15, 60, 300, 1200, 3600, 4 * 3600, 12 * 3600].map((seconds) => seconds * 1000);

/**
 * The next shorter and the next longer stretch around the same middle, and the ones half a length earlier and later.
 * All lie within the day and begin at whole seconds.
 */
export function zoomSteps({ fromMs, toMs }: Stretch, day: Stretch): ZoomSteps {
  const lengthMs = toMs - fromMs;
  const dayMs = day.toMs - day.fromMs;
  const placed = (startMs: number, length: number): Stretch => {
    const from = Math.min(Math.max(Math.round(startMs / 1000) * 1000, day.fromMs), day.toMs - length);
    return { fromMs: from, toMs: from + length };
  };
  const around = (length: number) => placed((fromMs + toMs) / 2 - length / 2, length);
  const shorter = LENGTHS_MS.findLast((length) => length < lengthMs);
  const longer = LENGTHS_MS.find((length) => length > lengthMs && length < dayMs) ?? dayMs;
  return {
    closer: shorter === undefined ? null : around(shorter),
    wider: lengthMs >= dayMs ? null : around(longer),
    earlier: fromMs <= day.fromMs ? null : placed(fromMs - lengthMs / 2, lengthMs),
    later: toMs >= day.toMs ? null : placed(fromMs + lengthMs / 2, lengthMs),
  };
}

/** A day in parts of four hours and less at its end, to begin with. */
export function partsOfDay({ fromMs, toMs }: Stretch): Stretch[] {
  const partMs = 4 * 3_600_000;
  return Array.from({ length: Math.ceil((toMs - fromMs) / partMs) }, (_, part) => ({
    fromMs: fromMs + part * partMs,
    toMs: Math.min(toMs, fromMs + (part + 1) * partMs),
  }));
}
