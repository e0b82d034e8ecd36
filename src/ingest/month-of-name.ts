/** The month (1 to 12) of a name or its beginning in English, Spanish, German or French; NaN for none. */
export function monthOfName(name: string): number {
  const wanted = fold(name);
  const known = FOUND.get(wanted);
  if (known !== undefined) return known;
  let month = Number.NaN;
  if (wanted.length >= 3) {
    for (const [full, number] of NAMES) {
      if (!full.startsWith(wanted) || number === month) continue;
      // "jui" begins juin and juillet.
      if (!Number.isNaN(month)) {
        month = Number.NaN;
        break;
      }
      month = number;
    }
  }
  // Logs have few names; a file of invented ones must not fill the memory.
  if (FOUND.size < 500) FOUND.set(wanted, month);
  return month;
}

const NAMES: readonly (readonly [name: string, month: number])[] = [
  ...["en", "es", "de", "fr"].flatMap((language) =>
    Array.from({ length: 12 }, (_, i): [string, number] => [
      fold(
        new Intl.DateTimeFormat(language, { month: "long", timeZone: "UTC" }).format(Date.UTC(2001, i, 15)),
      ),
      i + 1,
    ]),
  ),
  ["mrz", 3],
  ["sept", 9],
  ["setiembre", 9],
  ["janner", 1],
];

const FOUND = new Map<string, number>();

function fold(name: string): string {
  return name
    .toLowerCase()
    .normalize("NFD")
    .replace(/[\p{M}.]/gu, "");
}
