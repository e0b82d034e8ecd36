import { monthOfName } from "../month-of-name";

/**
 * CLDR patterns that a log's times could be written in, by how one of them looks: an order of day and month that
 * is open gives several. Empty where it looks like no time with a date.
 *
 * @param example one of the longest texts
 * @param seen more texts, which tell how many digits a field has
 */
export function timePatterns(example: string, seen: readonly string[]): string[] {
  const [weekday, text] = withoutWeekday(example.trim());
  const dateFirst = datesAtStart(text, seen);
  if (dateFirst !== null) {
    const clock = clockPattern(text.slice(dateFirst.length), seen);
    return clock === null ? [] : dateFirst.patterns.map((date) => `${weekday}${date}${clock}`);
  }
  const clockFirst = /^(\d{1,2}[:h]\d{2}(?:[:.]\d{2}(?:[.,]\d+)?)?(?:\s?[ap]\.?\s?m\.?)?)(,?\s+)/i.exec(text);
  if (clockFirst === null) return [];
  const rest = text.slice(clockFirst[0].length);
  const date = datesAtStart(rest, seen);
  const clock = clockPattern(` ${clockFirst[1]}`, seen);
  if (date === null || clock === null || date.length !== rest.length) return [];
  return date.patterns.map(
    (pattern) => `${weekday}${clock.trimStart()}${clockFirst[2].trimEnd()} ${pattern}`,
  );
}

/** "Fri 05/01/2026": the pattern of the day's name with what follows it, and the rest. */
function withoutWeekday(text: string): [pattern: string, rest: string] {
  const match = /^(\p{L}{2,12})(\.?,?)\s+(?=[\d\p{L}])/u.exec(text);
  if (match === null || !Number.isNaN(monthOfName(match[1]))) return ["", text];
  return [`EEE${match[2].replace(".", "")} `, text.slice(match[0].length)];
}

type Dates = { readonly patterns: readonly string[]; readonly length: number };

function datesAtStart(text: string, seen: readonly string[]): Dates | null {
  const compact = /^(\d{14}|\d{12}|\d{8})(?!\d)/.exec(text);
  if (compact !== null) {
    const clock = { 8: "", 12: "HHmm", 14: "HHmmss" }[compact[1].length] ?? "";
    return { patterns: [`yyyyMMdd${clock}`], length: compact[0].length };
  }
  return numericDates(text, seen) ?? namedDates(text);
}

function numericDates(text: string, seen: readonly string[]): Dates | null {
  const match = /^(\d{1,4})(\.\s?|[-/ ])(\d{1,2})(\.\s?|[-/ ])(\d{1,4})(\.(?=\s|,|$))?/.exec(text);
  if (match === null) return null;
  const [whole, first, mark1, , mark2, third, point = ""] = match;
  const narrow = seen.some(
    (t) => /(?:^|[^\d:])\d[-./ ]+\d/.test(t.slice(0, whole.length + 4)) || /\d[-./ ]\d[-./ ]\d/.test(t),
  );
  const [d, m] = narrow ? ["d", "M"] : ["dd", "MM"];
  const of = (a: string, b: string, c: string) => `${a}${mark1}${b}${mark2}${c}${point}`;
  // Behind a year in front comes the month, as in ISO 8601: nobody writes it the other way round.
  if (first.length === 4) return { patterns: [of("yyyy", m, d)], length: whole.length };
  if (third.length === 4) return { patterns: [of(d, m, "yyyy"), of(m, d, "yyyy")], length: whole.length };
  if (third.length === 3 || first.length === 3) return null;
  return { patterns: [of(d, m, "yy"), of(m, d, "yy"), of("yy", m, d)], length: whole.length };
}

function namedDates(text: string): Dates | null {
  const middle =
    /^(\d{1,2}|\d{4})(\.?\s?de\s|\.?[-./ ]|\.\s)(\p{L}{3,12})(\.?,?\s?de[l]?\s|\.?,?[-./ ])(\d{4}|\d{1,2})(?!\d)/iu.exec(
      text,
    );
  if (middle !== null && !Number.isNaN(monthOfName(middle[3]))) {
    const [whole, first, mark1, , mark2, last] = middle;
    // A point behind the name belongs to it and may be missing behind other names.
    const between = mark2.startsWith(".") && mark2 !== "." ? mark2.slice(1) : mark2;
    const [a, c] = first.length === 4 ? ["yyyy", "d"] : ["d", last.length === 4 ? "yyyy" : "yy"];
    return { patterns: [`${a}${quoted(mark1)}MMM${quoted(between)}${c}`], length: whole.length };
  }
  const first = /^(\p{L}{3,12})(\.?[-./ ]\s?)(\d{1,2})(st|nd|rd|th)?(,?[-./ ]\s?|,)(\d{4})(?!\d)/iu.exec(
    text,
  );
  if (first === null || Number.isNaN(monthOfName(first[1])) || first[4] !== undefined) return null;
  const between = first[2].startsWith(".") ? first[2].slice(1) : first[2];
  return { patterns: [`MMM${between}d${first[5]}yyyy`], length: first[0].length };
}

/** Pattern of what follows the date: what divides them, time of day, am or pm, offset or zone. */
function clockPattern(rest: string, seen: readonly string[]): string | null {
  // A column of whole hours beside the date.
  if (/^ \d{1,2}$/.test(rest)) return " H";
  const match =
    /^([T_:]|,?\s+(?:-\s+|at\s+|um\s+|à\s+|a las\s+)?|,)(?:(\d{1,2})([:.h]|\s)(\d{2}|\d)(?:([:.]|\s)(\d{2}|\d)(?:([.,])(\d{1,9}))?)?|(\d{2})(\d{2})(\d{2})?)(\s?[ap]\.?\s?m\.?)?(\s?(?:Z|[+\-\u2212]\d{2}:?(?:\d{2})?)|\s\p{L}{2,4}T?)?\s*$/iu.exec(
      rest,
    );
  if (match === null) return rest.trim() === "" ? "" : null;
  const [, gap, hour, mark, , mark2, second, fractionMark, fraction, hh, , ss, half, place] = match;
  const letter = half === undefined ? "H" : "h";
  let clock: string;
  if (hh !== undefined) {
    clock = `${letter}${letter}mm${ss === undefined ? "" : "ss"}`;
  } else {
    const narrow = hour.length === 1 || seen.some((t) => /(?:^|[^\d:.])\d[:h]\d\d/.test(t));
    clock = `${narrow ? letter : letter + letter}${quoted(mark)}mm`;
    if (second !== undefined) clock += `${mark2}ss`;
    if (fraction !== undefined) clock += `${fractionMark}${"S".repeat(Math.min(9, fraction.length))}`;
  }
  if (half !== undefined) clock += " a";
  if (place !== undefined) {
    const space = /^\s/.test(place) ? " " : "";
    clock +=
      /^\s?(?:Z|[+\-\u2212])/i.test(place) && !/^\s?Z\p{L}/iu.test(place) ? `${space}XX` : `${space}zzz`;
  }
  return quoted(gap.replace(/\s+/g, " ")) + clock;
}

/** A literal of a pattern: letters stand in apostrophes. */
function quoted(text: string): string {
  return text.replace(/\p{L}+/gu, (letters) => `'${letters}'`);
}
