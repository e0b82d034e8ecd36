import { monthOfName } from "../month-of-name";

/** The days, as "2026-05-01", that a text states in a way that can be read in one way only. */
export function statedDays(text: string): string[] {
  const days: string[] = [];
  for (const [, y, m, d] of text.matchAll(
    /(?<!\d)(20\d\d)[-_. /]?(0[1-9]|1[0-2])[-_. /]?([0-2]\d|3[01])(?!\d)/g,
  )) {
    add(days, Number(y), Number(m), Number(d));
  }
  for (const [, d, name, y] of text.matchAll(
    /(?<!\d)(\d{1,2})\.?[-_ ](?:de )?(\p{L}{3,12})\.?,?[-_ ](?:del? )?(20\d\d)(?!\d)/gu,
  )) {
    add(days, Number(y), monthOfName(name), Number(d));
  }
  for (const [, name, d, y] of text.matchAll(/(\p{L}{3,12})\.?[-_ ](\d{1,2}),?[-_ ]\s?(20\d\d)(?!\d)/gu)) {
    add(days, Number(y), monthOfName(name), Number(d));
  }
  return [...new Set(days)];
}

function add(days: string[], year: number, month: number, day: number): void {
  const ms = Date.UTC(year, month - 1, day);
  // NaN where the month is no name, another day where the month has no such one.
  if (Number.isNaN(ms) || new Date(ms).getUTCDate() !== day) return;
  days.push(new Date(ms).toISOString().slice(0, 10));
}
