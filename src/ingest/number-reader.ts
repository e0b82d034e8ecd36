import type { Unit } from "../site/column-map-schema";
import { convertUnit } from "./convert-unit";

/** Reads cells as numbers. NaN for both a missing value and a text that is no number; `bad` tells which. */
export type NumberReader = {
  /**
   * The number in the cell. Where a unit stands behind it, it is converted to `unit`, and bad where that is one of
   * another quantity; without `unit` it stays as it is.
   */
  read(text: string, unit?: Unit): number;
  /** Whether the text last read was neither a number nor a word for a missing value. */
  bad(): boolean;
  /** The unit behind the number last read; null for none. */
  unit(): Unit | null;
};

const MAX_EXACT_DIGITS = 15;
const POWERS = Array.from({ length: 16 }, (_, i) => 10 ** i);

/**
 * Number reader for one log. `decimalMark` is "." or ","; the other one, spaces and apostrophes are taken as
 * marks of thousands where they stand between groups of three digits. A unit may stand behind a number, with a
 * space or without, and may change from cell to cell. `missing` are the words for a missing
 * value, letter case aside; an empty cell is always one. Plain decimals, the usual case, are read without
 * the general number parser: up to 15 digits the quotient of two exact doubles is the correctly rounded
 * value [Clinger 1990], so both ways agree.
 */
export function createNumberReader(decimalMark: "." | ",", missing: readonly string[]): NumberReader {
  const mark = decimalMark.charCodeAt(0);
  const missingWords = new Set(missing.map((w) => w.trim().toLowerCase()));
  missingWords.add("");
  const grouped =
    decimalMark === "." ? /^\d{1,3}(?:[,'’\s]\d{3})+(?:\.\d*)?$/ : /^\d{1,3}(?:[.'’\s]\d{3})+(?:,\d*)?$/;
  let lastBad = false;
  let lastUnit: Unit | null = null;

  function readSlowly(text: string, unit: Unit | undefined): number {
    let plain = text.trim();
    // The patterns below take time by the square of the length.
    lastBad = plain.length > MAX_NUMBER_CHARACTERS;
    if (lastBad) return Number.NaN;
    if (missingWords.has(plain.toLowerCase())) return Number.NaN;
    let sign = 1;
    const first = plain.charCodeAt(0);
    // U+2212 is the minus of typographers, which some exports write.
    if (first === 45 || first === 0x2212 || first === 43) {
      if (first !== 43) sign = -1;
      plain = plain.slice(1).trimStart();
    }
    const suffix = UNIT_BEHIND.exec(plain);
    if (suffix !== null) {
      lastUnit = UNIT_SPELLINGS[suffix[1].toLowerCase()] ?? null;
      if (lastUnit !== null) plain = plain.slice(0, suffix.index);
    }
    if (grouped.test(plain)) plain = plain.replace(decimalMark === "." ? /[,'’\s]/g : /[.'’\s]/g, "");
    if (decimalMark === ",") plain = plain.replace(",", ".");
    if (/^(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?$/.test(plain)) {
      const value = Number(plain);
      const inUnit =
        lastUnit === null || unit === undefined ? sign * value : convertUnit(sign * value, lastUnit, unit);
      if (Number.isFinite(inUnit)) return inUnit;
    }
    lastBad = true;
    return Number.NaN;
  }

  return {
    bad: () => lastBad,
    unit: () => lastUnit,
    read(text, unit) {
      lastUnit = null;
      const length = text.length;
      if (length === 0) {
        lastBad = false;
        return Number.NaN;
      }
      let i = 0;
      const negative = text.charCodeAt(0) === 45;
      if (negative) i = 1;
      if (length - i > MAX_EXACT_DIGITS || i === length) return readSlowly(text, unit);
      let digits = 0;
      let decimals = -1;
      for (; i < length; i++) {
        const code = text.charCodeAt(i);
        const digit = code - 48;
        if (digit >= 0 && digit <= 9) {
          digits = digits * 10 + digit;
          if (decimals >= 0) decimals++;
        } else if (code === mark && decimals < 0 && i > (negative ? 1 : 0)) {
          decimals = 0;
        } else {
          return readSlowly(text, unit);
        }
      }
      lastBad = false;
      const value = decimals > 0 ? digits / POWERS[decimals] : digits;
      return negative ? -value : value;
    },
  };
}

/** Longest text that is looked at as a number: no logger writes one as long. */
const MAX_NUMBER_CHARACTERS = 400;

/** Letters, a percent sign or a degree behind a number, with "AC" or "DC" where that is said. */
const UNIT_BEHIND = /\s*((?<=[\d.,\s])[a-zA-Z%°]{1,5}?)\s?(?:ac|dc)?$/i;

const UNIT_SPELLINGS: { readonly [spelling: string]: Unit } = {
  w: "W",
  kw: "kW",
  wh: "Wh",
  kwh: "kWh",
  mwh: "MWh",
  va: "VA",
  kva: "kVA",
  a: "A",
  ma: "mA",
  v: "V",
  mv: "mV",
  "%": "%",
  c: "C",
  "°c": "C",
  f: "F",
  "°f": "F",
  hz: "Hz",
};
