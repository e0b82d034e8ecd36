import type { Unit } from "../../site/column-map-schema";
import { nameGist } from "./name-gist";

/** A column's name taken apart: words in lower case, a unit where it names one, one that isn't known. */
export type HeaderWords = {
  readonly words: readonly string[];
  readonly unit: Unit | null;
  /** What stands in brackets as a unit, or at the end as one, and is none that a channel can have. */
  readonly otherUnit: string | null;
};

const UNIT_SPELLINGS: { readonly [spelling: string]: Unit } = {
  ...spelt("W", "w watt watts vatio vatios wattios"),
  ...spelt("kW", "kw kilowatt kilowatts kilovatios"),
  ...spelt("Wh", "wh watthour watthours wattstunden"),
  ...spelt("kWh", "kwh kilowatthour kilowatthours kilowattstunden"),
  ...spelt("MWh", "mwh"),
  ...spelt("VA", "va voltampere voltamperes"),
  ...spelt("kVA", "kva"),
  ...spelt("A", "a amp amps ampere amperes amperios amperio adc aac arms"),
  ...spelt("mA", "ma milliampere milliamps"),
  ...spelt("V", "v volt volts voltios voltio vdc vac vrms"),
  ...spelt("mV", "mv millivolt millivolts"),
  ...spelt("%", "% pct percent prozent porcentaje pourcent"),
  ...spelt("C", "c °c ºc degc celsius"),
  ...spelt("F", "f °f ºf degf fahrenheit"),
  ...spelt("Hz", "hz hertz"),
};

/** Units of other quantities, which stand at a name's end as ours do. */
const OTHER_UNITS = new Set([
  "ah",
  "mah",
  "kah",
  "vah",
  "kvah",
  "varh",
  "kvarh",
  "var",
  "kvar",
  "mvar",
  "gwh",
  "kwp",
]);
/** Spellings that are words as well, or letters of a leg: a unit only at the end of a name. */
const ONLY_LAST = new Set([
  "a",
  "v",
  "c",
  "f",
  "ma",
  "mv",
  "w",
  "va",
  "amp",
  "amps",
  "volt",
  "volts",
  "watt",
  "watts",
]);

/**
 * Takes a header name apart at spaces, marks, and changes of letter case and digit: "Leg 1 (W)" is leg, 1
 * and the unit W; "load_l1_w", "loadL1W", "Load L1, W" and "W load L1" the same. Accents go: "Batería" is
 * bateria.
 */
export function headerWords(name: string): HeaderWords {
  let rest = nameGist(name.trim());
  let unit: Unit | null = null;
  let otherUnit: string | null = null;
  for (const match of rest.matchAll(/[[({<]\s*([^\])}>]+?)\s*[\])}>]/g)) {
    const inside = match[1].trim();
    const spelling = inside.toLowerCase().replace(/\s+/g, "");
    if (unit === null && Object.hasOwn(UNIT_SPELLINGS, spelling)) {
      // MW is no unit of a house, mW none of a meter: only MWh is told by its capital.
      unit = UNIT_SPELLINGS[spelling];
      rest = rest.replace(match[0], " ");
    } else if (
      match.index + match[0].length === name.trim().length &&
      (/^(k|m)?[a-zµ°]+(\/[a-z]+)?$/i.test(inside) || /^[a-zµ°]+\/[a-z²0-9]+$/i.test(inside)) &&
      !/^(utc|gmt|local|l[12]|leg|phase|line|avg|mean|max|min|rms|ac|dc|total|in|out|house|home|site|pv|grid|battery|import|export|charge|discharge)$/i.test(
        inside,
      ) &&
      looksLikeUnit(inside)
    ) {
      otherUnit = inside;
    }
  }
  const words = fold(
    rest
      .replace(/\bSo[Cc]\b/g, "soc")
      // Units of mixed case are one word each.
      .replace(/(MWh|kWh|kW|kVA|mA|mV|VA|Hz|Wh|Ah)(?![A-Za-z])/g, (u) => ` ${u.toLowerCase()} `)
      .replace(/([a-z\u00e0-\u00ff])([A-Z])/g, "$1 $2")
      .replace(/([A-Z]+)([A-Z][a-z])/g, "$1 $2")
      .replace(/([Ll][12])([A-Z])/g, "$1 $2")
      .replace(/(\d)([A-Z][a-z]{2})/g, "$1 $2")
      .replace(/([A-Za-z]{2,})(\d)/g, (all, letters: string, digit: string) =>
        /^[piuvsPIUVS][lL]$/.test(letters) ? all : `${letters} ${digit}`,
      )
      .replace(/%/g, " % "),
  )
    .split(/[^a-z0-9%°]+/)
    .filter((w) => w !== "");
  if (unit === null && otherUnit === null && words.length > 1) {
    const at = unitAt(words, rest);
    if (at !== null) {
      if (at.unit === null) otherUnit = words[at.index];
      else unit = at.unit;
      if (at.unit !== null) words.splice(at.index, 1);
    }
  } else if (
    unit === null &&
    otherUnit === null &&
    words.length === 1 &&
    Object.hasOwn(UNIT_SPELLINGS, words[0])
  ) {
    // A name that is nothing but a unit says the quantity; Va and Ma may be letters of a leg.
    if (words[0].length > 1 && !/^[vm][av]$/.test(words[0])) unit = UNIT_SPELLINGS[words[0]];
  }
  return { words, unit, otherUnit };
}

function unitAt(words: readonly string[], rest: string): { index: number; unit: Unit | null } | null {
  const last = words.length - 1;
  // One letter at the end may be a leg ("leg a"), not an ampere; a capital at a word's end is no temperature.
  const isLeg =
    /^[ab]$/.test(words[last]) &&
    /^(leg|line|phase|load|l|fase|linie|linea|ligne)$/.test(words[last - 1] ?? "");
  if (!isLeg) {
    if (OTHER_UNITS.has(words[last])) return { index: last, unit: null };
    if (Object.hasOwn(UNIT_SPELLINGS, words[last]) && !/[A-Za-z][CF]$/.test(rest.trim())) {
      return { index: last, unit: UNIT_SPELLINGS[words[last]] };
    }
  }
  for (let i = 0; i < words.length; i++) {
    if (OTHER_UNITS.has(words[i])) return { index: i, unit: null };
    if (Object.hasOwn(UNIT_SPELLINGS, words[i]) && !ONLY_LAST.has(words[i]))
      return { index: i, unit: UNIT_SPELLINGS[words[i]] };
  }
  if (words[0] === "w" || words[0] === "va") return { index: 0, unit: UNIT_SPELLINGS[words[0]] };
  return null;
}

/** Short, or with a slash, or of the letters that units are made of: a word in brackets is no unit. */
function looksLikeUnit(text: string): boolean {
  return text.includes("/") || text.length <= 4 || OTHER_UNITS.has(text.toLowerCase());
}

function fold(text: string): string {
  return text.toLowerCase().replaceAll("ß", "ss").normalize("NFD").replace(/\p{M}/gu, "");
}

function spelt(unit: Unit, spellings: string): { [spelling: string]: Unit } {
  return Object.fromEntries(spellings.split(" ").map((s) => [s, unit]));
}
