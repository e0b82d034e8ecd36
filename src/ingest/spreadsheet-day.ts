/**
 * Wall time, ms as if UTC, of a spreadsheet's day number: days since 1899-12-30, as spreadsheets have counted from
 * March 1900 on, or since 1904-01-01. Written with few decimals it is inexact: it is then the roundest time, to the
 * minute, to half, quarter or sixth minutes, to the second, that it can stand for. NaN where it is no number.
 *
 * @param decimals most decimals that the log's day numbers have: trailing zeros aren't written
 */
export function spreadsheetDayMs(text: string, decimals: number, from1904: boolean): number {
  const plain = text.trim().replace(",", ".");
  if (!/^\d{1,6}(?:\.\d*)?$/.test(plain)) return Number.NaN;
  const seconds = Number(plain) * 86_400;
  const halfStep = 0.5 * 86_400 * 10 ** -decimals + ROUNDING_S;
  const zero = from1904 ? ZERO_1904_MS : ZERO_1900_MS;
  for (const step of [60, 30, 15, 10, 5, 1]) {
    const round = Math.round(seconds / step) * step;
    if (Math.abs(round - seconds) <= halfStep) return zero + round * 1000;
  }
  // More exact than a second, and no whole one: a fraction of a second, to the millisecond.
  return decimals >= 8 ? zero + Math.round(seconds * 1000) : zero + Math.round(seconds) * 1000;
}

/** Numbers of this size are exact to less than a microsecond; a tie may have been rounded either way. */
const ROUNDING_S = 1e-5;

const ZERO_1900_MS = Date.UTC(1899, 11, 30);
const ZERO_1904_MS = Date.UTC(1904, 0, 1);
