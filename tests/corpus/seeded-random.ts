/** A stream of numbers in [0, 1) that hangs on its seed alone, with the draws that the corpus makes from it. */
export function seededRandom(seed: number) {
  let state = (seed ^ 0x9e3779b9) >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
  const pick = <T>(from: readonly T[]): T => from[Math.floor(next() * from.length)];
  return {
    next,
    pick,
    between: (low: number, high: number) => low + next() * (high - low),
    whole: (low: number, high: number) => low + Math.floor(next() * (high - low + 1)),
    chance: (share: number) => next() < share,
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
    shuffled<T>(of: readonly T[]): T[] {
      const all = [...of];
      for (let i = all.length - 1; i > 0; i--) {
        const j = Math.floor(next() * (i + 1));
        [all[i], all[j]] = [all[j], all[i]];
      }
      return all;
    },
  };
}

export type SeededRandom = ReturnType<typeof seededRandom>;

/** Deals values evenly: every value once in a random order, then again in another one. */
export function deckOf<T>(random: SeededRandom, values: readonly T[]): () => T {
  let left: T[] = [];
  return () => {
    if (left.length === 0) left = random.shuffled(values);
    return left.pop() as T;
  };
}
