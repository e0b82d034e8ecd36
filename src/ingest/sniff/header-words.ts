import type { Unit } from "../../site/column-map-schema";

/** A column's name taken apart: words in lower case, a unit where it names one, one that isn't known. */
export type HeaderWords = {
  readonly words: readonly string[];
  readonly unit: Unit | null;
  /** What stands in brackets as a unit and is none that a channel can have; energy units are among them. */
  readonly otherUnit: string | null;
};

const UNIT_SPELLINGS: { readonly [spelling: string]: Unit } = {
  w: "W",
  watt: "W",
  watts: "W",
  kw: "kW",
  kilowatt: "kW",
  kilowatts: "kW",
  va: "VA",
  kva: "kVA",
  a: "A",
  amp: "A",
  amps: "A",
  ampere: "A",
  amperes: "A",
  ma: "mA",
  v: "V",
  volt: "V",
  volts: "V",
  mv: "mV",
  "%": "%",
  pct: "%",
  percent: "%",
  c: "C",
  "°c": "C",
  degc: "C",
  celsius: "C",
  f: "F",
  "°f": "F",
  degf: "F",
  fahrenheit: "F",
  hz: "Hz",
};

/**
 * Takes a header name apart at spaces, marks, and changes of letter case and digit: "Leg 1 (W)" is leg, 1
 * and the unit W; "load_l1_w" is load, l1 and W; "loadL1W" the same.
 */
export function headerWords(name: string): HeaderWords {
  let rest = name.trim();
  let unit: Unit | null = null;
  let otherUnit: string | null = null;
  const bracketed = /[[({]\s*([^\])}]+?)\s*[\])}]\s*$/.exec(rest);
  if (bracketed !== null) {
    rest = rest.slice(0, bracketed.index);
    const spelling = bracketed[1].toLowerCase();
    unit = UNIT_SPELLINGS[spelling] ?? null;
    if (unit === null) {
      if (
        /^(k|m)?[a-zµ°]+(\/[a-z]+)?$/i.test(bracketed[1]) &&
        !/^(utc|gmt|local|l[12]|leg)$/i.test(bracketed[1])
      ) {
        otherUnit = bracketed[1];
      }
      rest += ` ${bracketed[1]}`;
    }
  }
  const words = rest
    .replace(/\bSo[Cc]\b/g, "soc")
    // Units of mixed case are one word each.
    .replace(/(kWh|kW|kVA|mA|mV|VA|Hz|Wh|Ah)(?![A-Za-z])/g, (unit) => ` ${unit.toLowerCase()}`)
    .replace(/([a-z])([A-Z])/g, "$1 $2")
    .replace(/([A-Z]+)([A-Z][a-z])/g, "$1 $2")
    .replace(/([Ll][12])([A-Z])/g, "$1 $2")
    .replace(/([a-z]{2,})(\d)/g, "$1 $2")
    .replace(/%/g, " % ")
    .toLowerCase()
    .normalize("NFD")
    .replace(/\p{M}/gu, "")
    .split(/[^a-z0-9%°]+/)
    .filter((w) => w !== "");
  const last = words[words.length - 1];
  // One letter at the end may be a leg ("leg a"), not an ampere.
  const isLeg =
    (last === "a" || last === "b") && /^(leg|line|phase|load)$/.test(words[words.length - 2] ?? "");
  if (unit === null && otherUnit === null && words.length > 1 && !isLeg) {
    if (/^k?wh|ah$/.test(last)) otherUnit = last;
    // A capital at a word's end is a temperature's unit only where a mark sets it apart.
    else if (Object.hasOwn(UNIT_SPELLINGS, last) && !/[A-Za-z][CF]$/.test(rest.trim())) {
      unit = UNIT_SPELLINGS[last];
      words.pop();
    }
  }
  return { words, unit, otherUnit };
}
