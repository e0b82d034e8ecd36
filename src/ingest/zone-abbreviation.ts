/**
 * Offset in ms, east positive, of a zone's abbreviation: those of RFC 5322 (section 4.3) and of Europe's zones. NaN
 * for any other, since most abbreviations mean several zones.
 */
export function zoneAbbreviationMs(text: string): number {
  return (OFFSETS_H[text.toUpperCase()] ?? Number.NaN) * 3_600_000;
}

const OFFSETS_H: { readonly [abbreviation: string]: number } = {
  UT: 0,
  UTC: 0,
  GMT: 0,
  Z: 0,
  EST: -5,
  EDT: -4,
  CST: -6,
  CDT: -5,
  MST: -7,
  MDT: -6,
  PST: -8,
  PDT: -7,
  WET: 0,
  WEST: 1,
  CET: 1,
  CEST: 2,
  MEZ: 1,
  MESZ: 2,
  EET: 2,
  EEST: 3,
};
