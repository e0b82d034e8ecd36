/**
 * What a row in the middle of a log is that has the header's names: "same" for the header once more, the place of
 * each column where the same columns stand in another order or among others, "other" where one of `used` is
 * missing or can't be told apart. Null where it is no header.
 *
 * @param names of the log's header
 * @param used columns that the map takes
 */
export function headerAgain(
  cells: readonly string[],
  names: readonly string[],
  used: readonly number[],
): "same" | "other" | Int32Array | null {
  const there = cells.map(fold);
  const wanted = names.map(fold);
  const named = wanted.filter((name) => name !== "");
  const found = named.filter((name) => there.includes(name)).length;
  if (found < Math.max(2, named.length / 2)) return null;
  if (
    wanted.every((name, i) => name === (there[i] ?? "")) &&
    there.slice(wanted.length).every((c) => c === "")
  )
    return "same";
  const places = Int32Array.from(wanted, (name) => there.indexOf(name));
  for (const i of used) {
    const name = wanted[i];
    const twice =
      wanted.indexOf(name) !== wanted.lastIndexOf(name) || there.indexOf(name) !== there.lastIndexOf(name);
    if (name === "" || places[i] < 0 || twice) return "other";
  }
  return places;
}

function fold(name: string): string {
  return name.trim().replace(/\s+/g, " ").toLowerCase();
}
