/**
 * The one of `known` that is fewest single-character edits away from `name`, letter case aside; null where
 * even the nearest differs in more than a third of the longer one's characters (at least 2 are allowed).
 * Levenshtein distance with adjacent transposition.
 */
export function nearestName(name: string, known: readonly string[]): string | null {
  let best: string | null = null;
  let bestDistance = Number.POSITIVE_INFINITY;
  const wanted = name.slice(0, 80).toLowerCase();
  for (const candidate of known) {
    const distance = editDistance(wanted, candidate.toLowerCase());
    const allowed = Math.max(2, Math.floor(Math.max(wanted.length, candidate.length) / 3));
    if (distance < bestDistance && distance <= allowed) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

function editDistance(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const cost = a[i - 1] === b[j - 1] ? 0 : 1;
      let value = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + cost);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        value = Math.min(value, beforeLast[j - 2] + 1);
      }
      row.push(value);
    }
    beforeLast = last;
    last = row;
  }
  return last[b.length];
}
