/** A part of a time pattern: a field with its number of letters, or text that must stand there. */
export type TimePatternPart =
  | {
      readonly field:
        | "year"
        | "month"
        | "day"
        | "hour24"
        | "hour12"
        | "minute"
        | "second"
        | "fraction"
        | "half"
        | "offset"
        | "monthName"
        | "weekday"
        | "zoneName";
      readonly width: number;
    }
  | { readonly text: string };

/** The parts of a pattern in order, or what is wrong with it. */
export type ParsedTimePattern =
  | { readonly ok: true; readonly parts: readonly TimePatternPart[] }
  | { readonly ok: false; readonly message: string };

/**
 * Reads a date pattern in the letters of Unicode CLDR (UTS 35, Date Format Patterns): y, M, d, H, h, m, s,
 * S, a, E (a day's name, which is not held against the date), X or x or Z, z (a zone's abbreviation of RFC 5322 or
 * Europe), quoted text in apostrophes. Day, month, year and hour must be there. Example: "dd/MM/yyyy HH:mm:ss".
 */
export function parseTimePattern(pattern: string): ParsedTimePattern {
  const parts: TimePatternPart[] = [];
  const seen = new Set<string>();
  let i = 0;
  while (i < pattern.length) {
    const letter = pattern[i];
    if (letter === "'") {
      const end = pattern.indexOf("'", i + 1);
      if (end === -1) return { ok: false, message: "has an apostrophe that is never closed" };
      parts.push({ text: end === i + 1 ? "'" : pattern.slice(i + 1, end) });
      i = end + 1;
      continue;
    }
    if (!/[A-Za-z]/.test(letter)) {
      parts.push({ text: letter });
      i++;
      continue;
    }
    let width = 1;
    while (pattern[i + width] === letter) width++;
    const field = fieldOf(letter, width);
    if (field === null)
      return { ok: false, message: `has "${letter.repeat(width)}", which is no field of a time` };
    const key = field === "hour12" ? "hour24" : field === "monthName" ? "month" : field;
    if (seen.has(key)) return { ok: false, message: `has the ${key.replace("24", "")} twice` };
    seen.add(key);
    if (field === "half") seen.add("half");
    parts.push({ field, width });
    i += width;
  }
  for (const needed of ["year", "month", "day", "hour24"]) {
    if (!seen.has(needed)) return { ok: false, message: `has no ${needed.replace("24", "")}` };
  }
  const hour12 = parts.some((p) => "field" in p && p.field === "hour12");
  if (hour12 && !seen.has("half")) return { ok: false, message: 'has "h" (1 to 12) without "a" (am or pm)' };
  return { ok: true, parts };
}

function fieldOf(letter: string, width: number): Exclude<TimePatternPart, { text: string }>["field"] | null {
  switch (letter) {
    case "y":
    case "u":
      return width <= 4 ? "year" : null;
    case "M":
    case "L":
      return width <= 2 ? "month" : width <= 4 ? "monthName" : null;
    case "d":
      return width <= 2 ? "day" : null;
    case "H":
      return width <= 2 ? "hour24" : null;
    case "h":
      return width <= 2 ? "hour12" : null;
    case "m":
      return width <= 2 ? "minute" : null;
    case "s":
      return width <= 2 ? "second" : null;
    case "S":
      return width <= 9 ? "fraction" : null;
    case "a":
      return width <= 3 ? "half" : null;
    case "X":
    case "x":
    case "Z":
      return width <= 5 ? "offset" : null;
    case "E":
    case "e":
    case "c":
      return width <= 5 ? "weekday" : null;
    case "z":
    case "v":
      return width <= 4 ? "zoneName" : null;
    default:
      return null;
  }
}
