import { type Channel, NUMERIC_CHANNELS, type NumericChannel } from "../../analysis/series";
import { type Unit, unitsOf } from "../../site/column-map-schema";
import type { ColumnFacts } from "./column-facts";
import { headerWords } from "./header-words";

/** What a column seems to be. */
export type ChannelGuess = {
  readonly index: number;
  readonly channel: Channel;
  /** Null where the name says none: then the figures have to. */
  readonly unit: Unit | null;
  /** Which half of a one-way pair it is. */
  readonly part: "plus" | "minus" | null;
  /** 1 for a canonical name, less the less the name says. */
  readonly confidence: number;
};

/** What the names and figures of a log's columns make them. */
export type SniffedChannels = {
  readonly guesses: readonly ChannelGuess[];
  /** Columns whose name has a unit in brackets that no channel has. */
  readonly unknownUnits: readonly { index: number; unit: string }[];
};

const LOAD = set(
  "load loads consumption consumo carga verbrauch last consommation house home demand usage output leg line phase",
);
const BATTERY = set("battery batt bat bateria batterie akku accu pack storage dc vbat ibat pbat");
const GRID = set("grid utility util mains street red netz reseau meter service");
const SOLAR = set("solar pv array panel panels sun fotovoltaica fv sonne solaire photovoltaic ppv");
const STRING = set("str string mppt tracker");
const SOC = set("soc ladezustand");
const SOURCE = set("source src feed fed mode state quelle fuente supply relay transfer");
const FAULT = set("fault error err alarm code fehler falla defaut");
const TEMPERATURE = set("temp temperature temperatura temperatur heatsink");
const ELSEWHERE = set("outdoor outside ambient room water tank cell panel module");
const FREQUENCY = set("freq frequency frequenz frecuencia frequence hz");
const CURRENT = set("current i corriente strom courant amps");
const VOLTAGE = set("voltage volts u v spannung tension voltaje");
const POWER = set("power p potencia leistung puissance");
const PEAK = set("peak max maximum pico spitze");
const IN = set("import imported imports bezug netzbezug importacion");
const OUT = set("export exported exports einspeisung netzeinspeisung exportacion injection");
const CHARGE = set("charge charging ladung laden");
const DISCHARGE = set("discharge discharging descarga entladung entladen");
const ENERGY = set("energy energie energia kwh wh total_energy yield counter");
const CANONICAL = new Map(
  [...NUMERIC_CHANNELS, "source" as const, "faultCode" as const].map((c) => [squeeze(c), c]),
);

/**
 * Guesses each column's channel from general words of its name (English, with the commonest of Spanish,
 * German and French) and, where the name leaves the quantity open, from the size of its figures. There are
 * no lists of any maker's headers. Columns in `taken` are left alone.
 */
export function sniffChannels(
  names: readonly string[],
  facts: readonly ColumnFacts[],
  taken: ReadonlySet<number>,
): SniffedChannels {
  const guesses: ChannelGuess[] = [];
  const unknownUnits: { index: number; unit: string }[] = [];
  const pairs = legPairs(names);
  for (let index = 0; index < names.length; index++) {
    if (taken.has(index)) continue;
    const { otherUnit } = headerWords(names[index]);
    if (otherUnit !== null && !/^(k|m)?(wh|vah|varh|ah|var)$/i.test(otherUnit)) {
      unknownUnits.push({ index, unit: otherUnit });
    }
    const guess = guessColumn(names[index], index, facts[index], pairs);
    if (guess !== null) guesses.push(guess);
  }
  return { guesses, unknownUnits };
}

function guessColumn(name: string, index: number, facts: ColumnFacts, pairs: LegPairs): ChannelGuess | null {
  const canonical = CANONICAL.get(squeeze(name.replace(/[[(].*$/, "")));
  const { words, unit, otherUnit } = headerWords(name);
  const guess = (channel: Channel, confidence: number, part: ChannelGuess["part"] = null): ChannelGuess => ({
    index,
    channel,
    unit: channel === "source" || channel === "faultCode" ? null : fitting(channel, unit),
    part,
    confidence,
  });
  if (canonical !== undefined) {
    if (canonical === "source" || canonical === "faultCode") return guess(canonical, 1);
    return { ...guess(canonical, 1), unit: fitting(canonical, unit) ?? unitsOf(canonical)[0] };
  }
  if (otherUnit !== null || words.some((w) => ENERGY.has(w))) return null;
  const has = (vocabulary: ReadonlySet<string>) => words.some((w) => vocabulary.has(w));

  if (has(SOC) || /state of charge|estado de carga/.test(words.join(" ")))
    return guess("batterySocPct", 0.95);
  if (unit === "%" && (has(BATTERY) || has(CHARGE) || words.includes("level")))
    return guess("batterySocPct", 0.9);
  if (unit === "%") return null;
  if (unit === "C" || unit === "F" || has(TEMPERATURE)) {
    const elsewhere = has(BATTERY) || words.some((w) => ELSEWHERE.has(w));
    return has(TEMPERATURE) && !elsewhere ? guess("inverterTempC", 0.8) : null;
  }
  if (unit === "Hz" || has(FREQUENCY)) return guess("frequencyHz", 0.9);
  const fewWords = facts.words !== null && facts.words.length <= 12;
  if (has(FAULT) && unit === null) return facts.decimals === 0 ? guess("faultCode", 0.85) : null;
  if (has(SOURCE) && unit === null && fewWords && facts.decimals === 0) return guess("source", 0.85);

  const quantity = quantityOf(words, unit, facts, pairs.byIndex.get(index));
  const leg = pairs.byIndex.get(index)?.leg ?? legOf(words);
  if (has(SOLAR) || has(STRING)) {
    if (quantity !== "W" && quantity !== null) return null;
    const n = words
      .map((w) => /^(?:str|string|pv|mppt|s)?([1-4])$/.exec(w)?.[1])
      .find((d) => d !== undefined);
    return guess(n === undefined ? "solarW" : (`solar${n}W` as NumericChannel), 0.9);
  }
  // "Charge" is a load in French, and a charge controller's output elsewhere: alone it is weak.
  const directed = leg === null && (has(CHARGE) || has(DISCHARGE));
  if (has(GRID) || ((has(IN) || has(OUT)) && !has(BATTERY))) {
    if (quantity === "V") return leg === null ? guess("gridV", 0.85) : null;
    if (leg !== null && quantity === "W") return guess(`grid${leg}W`, 0.85, partOf(has(IN), has(OUT)));
    if (leg !== null && quantity === "A") return guess(`grid${leg}A`, 0.85, partOf(has(IN), has(OUT)));
    if (quantity === "W" || quantity === null) return guess("gridW", 0.9, partOf(has(IN), has(OUT)));
    return null;
  }
  if (has(BATTERY) || directed || pairs.battery.has(index)) {
    // "+ = charge" states the sign of a signed column, not one way of two.
    const stated = /\+|positive/i.test(name);
    const part = stated ? null : partOf(has(DISCHARGE), has(CHARGE) && !has(DISCHARGE));
    const confidence = has(BATTERY) || pairs.battery.has(index) ? 0.9 : 0.6;
    if (quantity === "V") return guess("batteryV", confidence);
    if (quantity === "A") return guess("batteryA", confidence, part);
    if (quantity === "W") return guess("batteryW", confidence, part);
    return null;
  }
  const plain = has(LOAD) || /^l[12]$/.test(words.find((w) => /^l[12]$/.test(w)) ?? "");
  if (leg !== null) {
    const confidence = plain ? 0.9 : 0.5;
    if (quantity === "VA") return guess(`load${leg}Va`, confidence);
    if (quantity === "A") return guess(`load${leg}A`, confidence + (pairs.byIndex.has(index) ? 0.25 : 0));
    if (quantity === "V") return guess(`load${leg}V`, confidence + (pairs.byIndex.has(index) ? 0.25 : 0));
    if (has(PEAK)) return guess(`load${leg}PeakW`, confidence);
    return guess(`load${leg}W`, confidence);
  }
  if (has(LOAD) && (quantity === "W" || quantity === null)) return guess("loadW", 0.85);
  return null;
}

function partOf(plus: boolean, minus: boolean): "plus" | "minus" | null {
  return plus === minus ? null : plus ? "plus" : "minus";
}

function fitting(channel: NumericChannel, unit: Unit | null): Unit | null {
  return unit !== null && unitsOf(channel).includes(unit) ? unit : null;
}

type Quantity = "W" | "VA" | "A" | "V" | null;

function quantityOf(
  words: readonly string[],
  unit: Unit | null,
  facts: ColumnFacts,
  pair: { quantity: Quantity } | undefined,
): Quantity {
  if (unit === "W" || unit === "kW") return "W";
  if (unit === "VA" || unit === "kVA") return "VA";
  if (unit === "A" || unit === "mA") return "A";
  if (unit === "V" || unit === "mV") return "V";
  if (unit !== null) return null;
  if (pair !== undefined) return pair.quantity;
  const letters = words.map((w) => /^([piuv])(?:l?[12ab]|dc|b|bat|batt|pv|l)$/.exec(w)?.[1]);
  if (words.some((w) => CURRENT.has(w)) || letters.includes("i")) return "A";
  if (words.some((w) => VOLTAGE.has(w)) || letters.includes("u") || letters.includes("v")) return "V";
  if (words.some((w) => POWER.has(w)) || letters.includes("p")) return "W";
  // A supply's voltage hardly moves and is never 0 for long; a power does both.
  if (facts.median > 90 && facts.median < 280 && facts.max - facts.min < 0.3 * facts.median) return "V";
  if (facts.max > 250 || facts.min < -250) return "W";
  if (facts.decimals >= 2 && facts.max < 30 && facts.max > 0) return "W";
  return null;
}

function legOf(words: readonly string[]): "L1" | "L2" | null {
  for (let i = 0; i < words.length; i++) {
    const one = /^[piuv]?l([12])$/.exec(words[i]) ?? /^(?:leg|line|phase|p)([12])$/.exec(words[i]);
    if (one !== null) return one[1] === "1" ? "L1" : "L2";
    const beside = LEG_WORD.has(words[i]) ? [words[i + 1], words[i - 1]] : [];
    for (const word of beside) {
      if (word === "1" || word === "a" || word === "one") return "L1";
      if (word === "2" || word === "b" || word === "two") return "L2";
    }
  }
  return null;
}

const LEG_WORD = set("leg line phase load l");

type LegPairs = {
  readonly byIndex: ReadonlyMap<number, { leg: "L1" | "L2"; quantity: Quantity }>;
  /** Columns named by a quantity's letter and b or bat, that belong to no pair of legs. */
  readonly battery: ReadonlySet<number>;
};

/** Names that are a quantity's letter and a leg, such as Ia with Ib, V1 with V2: legs only where both are there. */
function legPairs(names: readonly string[]): LegPairs {
  const byIndex = new Map<number, { leg: "L1" | "L2"; quantity: Quantity }>();
  const battery = new Set<number>();
  const lower = names.map((n) =>
    n
      .trim()
      .toLowerCase()
      .replace(/[\s_.-]+/g, "")
      .replace(/[[(].*$/, ""),
  );
  for (let i = 0; i < lower.length; i++) {
    const match = /^([piuv])([1a])$/.exec(lower[i]);
    if (match === null) continue;
    const other = lower.indexOf(match[1] + (match[2] === "1" ? "2" : "b"));
    if (other === -1) continue;
    const quantity = match[1] === "p" ? "W" : match[1] === "i" ? "A" : "V";
    byIndex.set(i, { leg: "L1", quantity });
    byIndex.set(other, { leg: "L2", quantity });
  }
  for (let i = 0; i < lower.length; i++) {
    if (/^[piuv](b|bat|batt|dc)$/.test(lower[i]) && !byIndex.has(i)) battery.add(i);
  }
  return { byIndex, battery };
}

function set(words: string): ReadonlySet<string> {
  return new Set(words.split(" "));
}

function squeeze(name: string): string {
  return name.toLowerCase().replace(/[^a-z0-9]/g, "");
}
