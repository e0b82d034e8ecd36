import { type Channel, NUMERIC_CHANNELS, type NumericChannel } from "../../analysis/series";
import { type Unit, unitsOf } from "../../site/column-map-schema";
import { type HeaderWords, headerWords } from "./header-words";
import { nameGist } from "./name-gist";
import { type NameConcept, nameConcepts } from "./name-lexicon";

/** What a column's name says; everything may be left open. */
export type NameReading = {
  readonly words: readonly string[];
  readonly concepts: ReadonlySet<NameConcept>;
  readonly unit: Unit | null;
  readonly otherUnit: string | null;
  /** The kind of quantity that the unit, a word or a letter says. */
  readonly quantity: "W" | "VA" | "A" | "V" | "Hz" | "C" | "%" | null;
  readonly leg: "L1" | "L2" | null;
  /** A third phase: a supply that is not ours. */
  readonly thirdLeg: boolean;
  /** Number of a string of the array, or of anything else that is counted in the name. */
  readonly number: number | null;
  /** The way that a signed column counts up by its name: "+ = charge". */
  readonly stated: "discharge" | "charge" | "import" | "export" | null;
  /** A channel's own name. */
  readonly canonical: Channel | null;
  /** Whether it says anything: a name such as "Sensor 3" doesn't. */
  readonly telling: boolean;
  /** Whether all of its words are known. */
  readonly known: boolean;
};

const CANONICAL = new Map<string, Channel>(
  [...NUMERIC_CHANNELS, "source" as const, "faultCode" as const].map((c) => [squeeze(c), c]),
);

const LEG_WORDS =
  "leg line phase hot l linie leiter aussenleiter linea linha ligne fase lijn ph load last carga charge carico";
const LEG_WORD = new Set(LEG_WORDS.split(" "));
const FIRST_SECOND = [
  ["1", "2"],
  ["a", "b"],
  ["i", "ii"],
  ["one", "two"],
  ["first", "second"],
  ["left", "right"],
  ["links", "rechts"],
  ["gauche", "droite"],
  ["izquierda", "derecha"],
  ["uno", "dos"],
  ["eins", "zwei"],
  ["un", "deux"],
  ["x", "y"],
] as const;

/**
 * Reads the names of a log's columns together: general words in several languages (`nameConcepts`), in any
 * order, with letters for quantities (Ppv, Ubat, I1), and legs where two names differ in 1 and 2 or a and b only.
 */
export function readColumnNames(names: readonly string[]): NameReading[] {
  const titles = names.map(nameGist);
  const taken = withoutCommon(titles.map((title) => headerWords(title)));
  const legs = legsOf(taken.map((t, i) => ({ words: t.words, unit: t.unit, title: titles[i] })));
  return titles.map((title, i) => readName(title, taken[i], legs[i], taken));
}

/** Takes away words without a meaning, and numbers, that nearly all names begin with: a logger's or a site's name. */
function withoutCommon(all: readonly HeaderWords[]): HeaderWords[] {
  if (all.length < 4) return [...all];
  let common = 0;
  for (;;) {
    const counts = new Map<string, number>();
    for (const { words } of all) {
      const word = words[common];
      if (word !== undefined && words.length > common + 1) counts.set(word, (counts.get(word) ?? 0) + 1);
    }
    const [word, n] = [...counts].sort((a, b) => b[1] - a[1])[0] ?? ["", 0];
    const says = nameConcepts(word).some((c) => c !== "nothing" && c !== "leg" && c !== "source");
    if (n < 0.6 * all.length || says) break;
    common++;
  }
  if (common === 0) return [...all];
  const first = all
    .find(({ words }) => words.length > common)
    ?.words.slice(0, common)
    .join(" ");
  return all.map((t) =>
    t.words.slice(0, common).join(" ") === first ? { ...t, words: t.words.slice(common) } : t,
  );
}

function readName(
  title: string,
  taken: ReturnType<typeof headerWords>,
  pairLeg: "L1" | "L2" | null,
  all: readonly ReturnType<typeof headerWords>[],
): NameReading {
  const { unit, otherUnit } = taken;
  const words = taken.words;
  const canonical = canonicalOf(title);
  const concepts = new Set<NameConcept>();
  let letter: string | null = null;
  let known = 0;
  for (const word of words) {
    const own = /^(\d+|l[123])$/.test(word) ? [] : nameConcepts(word);
    if (own.length > 0 || /^(\d+|l[123]|[abpiuvs])$/.test(word)) known++;
    for (const c of own) concepts.add(c);
    if (own.length > 0) continue;
    const prefixed = /^([piuvesft])(.+)$/.exec(word);
    const rest = prefixed === null ? [] : /^l?[123ab]$/.test(prefixed[2]) ? null : nameConcepts(prefixed[2]);
    if (
      /^[piuv]$/.test(word) ||
      (word === "t" && words.length > 1) ||
      (word === "s" && words.some((w) => /^l[12]$/.test(w)))
    )
      letter ??= word;
    else if (prefixed !== null && (rest === null || rest.length > 0 || /^(b|g|l)$/.test(prefixed[2]))) {
      letter ??= prefixed[1];
      known++;
      for (const c of rest ?? []) concepts.add(c);
    }
  }
  if (
    /state of charge|estado de carga|etat de charge|stato di carica|estado da carga|nivel de carga|niveau de charge|livello di carica/.test(
      words.join(" "),
    )
  ) {
    concepts.delete("chargeOrLoad");
    concepts.delete("source");
    concepts.add("soc");
  }
  if (/feed in|net metering/.test(words.join(" "))) {
    concepts.delete("source");
    concepts.delete("input");
    concepts.add("export");
  }
  if (/state of health/.test(words.join(" "))) concepts.add("health");
  if (/(main|service|distribution|breaker) panel/.test(words.join(" "))) {
    concepts.delete("solar");
    concepts.delete("grid");
    concepts.add("main");
  }
  const quantity = quantityOf(unit, concepts, letter);
  // Volts and cycles of the main line, and its state, are the grid's.
  if (concepts.has("main") && (concepts.has("source") || !["W", "VA", "A", null].includes(quantity)))
    concepts.add("grid");
  directed(concepts);
  const bare = words.filter((w) => /^[piuv]?b$/.test(w)).length > 0 && pairLeg === null;
  if (bare && letter !== null) concepts.add("battery");
  return {
    words,
    concepts,
    unit,
    otherUnit,
    quantity: quantityOf(unit, concepts, letter),
    leg: pairLeg ?? lonelyLeg(words, all),
    thirdLeg: words.some((w, i) => w === "l3" || (w === "3" && LEG_WORD.has(words[i - 1] ?? ""))),
    number: numberOf(words),
    stated: statedDirection(title),
    canonical,
    telling:
      canonical !== null ||
      unit !== null ||
      letter !== null ||
      pairLeg !== null ||
      [...concepts].some((c) => c !== "nothing"),
    known: words.length > 0 && known >= words.length,
  };
}

/** A channel's own name, with its unit or another one of its units behind it. */
function canonicalOf(title: string): Channel | null {
  const bare = title.replace(/[[({].*$/, "");
  const own = CANONICAL.get(squeeze(bare));
  if (own !== undefined) return own;
  const split = /^(.*?)[\s_-]*(kwh|mwh|wh|kw|kva|ma|mv)$/i.exec(bare.trim());
  if (split === null) return null;
  for (const suffix of ["w", "va", "a", "v"]) {
    const channel = CANONICAL.get(squeeze(split[1]) + suffix);
    if (channel === undefined || channel === "source" || channel === "faultCode") continue;
    if (unitsOf(channel as NumericChannel).some((u) => u.toLowerCase() === split[2].toLowerCase()))
      return channel;
  }
  return null;
}

/** Directions by words that go with a place: from the grid is import, into the battery is charge. */
function directed(concepts: Set<NameConcept>): void {
  if (concepts.has("grid") && !concepts.has("battery") && !concepts.has("solar")) {
    if (concepts.has("outOf")) concepts.add("import");
    else if (concepts.has("into")) concepts.add("export");
  }
  if (concepts.has("battery") && !concepts.has("grid") && !concepts.has("solar")) {
    if (concepts.has("outOf")) concepts.add("discharge");
    else if (concepts.has("into")) concepts.add("charge");
  }
}

function quantityOf(
  unit: Unit | null,
  concepts: ReadonlySet<NameConcept>,
  letter: string | null,
): NameReading["quantity"] {
  switch (unit) {
    case "W":
    case "kW":
    case "Wh":
    case "kWh":
    case "MWh":
      return "W";
    case "VA":
    case "kVA":
      return "VA";
    case "A":
    case "mA":
      return "A";
    case "V":
    case "mV":
      return "V";
    case "C":
    case "F":
      return "C";
    case "share":
      return "%";
    case "%":
    case "Hz":
      return unit;
    case null:
  }
  if (concepts.has("soc")) return "%";
  if (concepts.has("frequency")) return "Hz";
  if (concepts.has("temperature")) return "C";
  if (concepts.has("apparent")) return "VA";
  if (concepts.has("voltage")) return "V";
  if (concepts.has("current")) return "A";
  if (concepts.has("power") || concepts.has("energy")) return "W";
  if (letter === "i") return "A";
  if (letter === "u" || letter === "v") return "V";
  if (letter === "p") return "W";
  if (letter === "t") return "C";
  if (letter === "s") return "VA";
  return null;
}

/** Leg of each name that has a partner which differs in the place of the leg only. */
function legsOf(
  names: readonly { words: readonly string[]; unit: Unit | null; title: string }[],
): ("L1" | "L2" | null)[] {
  const legs: ("L1" | "L2" | null)[] = names.map(() => null);
  for (let i = 0; i < names.length; i++) {
    for (let j = 0; j < names.length; j++) {
      if (i === j || names[i].words.length !== names[j].words.length || names[i].words.length === 0) continue;
      const differing = names[i].words
        .map((w, k) => (w === names[j].words[k] ? -1 : k))
        .filter((k) => k >= 0);
      if (differing.length !== 1 || !isPair(names[i].words[differing[0]], names[j].words[differing[0]]))
        continue;
      if (!sayLegs(names, names[i], differing[0])) continue;
      legs[i] ??= "L1";
      legs[j] ??= "L2";
    }
  }
  return legs;
}

/** "Sensor 1" and "Sensor 2" are no legs by that, nor are numbers that go on to three. */
function sayLegs(
  all: readonly { words: readonly string[] }[],
  first: { words: readonly string[]; unit: Unit | null },
  at: number,
): boolean {
  const word = first.words[at];
  const third = word.replace(/1$/, "3");
  if (third !== word) {
    const goesOn = all.some(
      (n) =>
        n.words.length === first.words.length &&
        n.words.every((w, k) => w === (k === at ? third : first.words[k])),
    );
    if (goesOn) return false;
  }
  // "A1" may count amperes of a leg, and inputs of any sort.
  if (/^a\d$/.test(word) && first.unit !== "A") return false;
  if (word.length > 1 && !/^(ii|one|two|un|uno)$/.test(word)) return true;
  if (first.unit !== null) return true;
  const others = first.words.filter((_, k) => k !== at);
  return others.some((w) => /^[piuv]$/.test(w) || nameConcepts(w).some((c) => c !== "nothing"));
}

function isPair(a: string, b: string): boolean {
  for (const [first, second] of FIRST_SECOND) {
    if (a === first && b === second) return true;
    if (first.length === 1 && a.length <= 8 && a.endsWith(first) && b === a.slice(0, -1) + second) {
      const stem = a.slice(0, -1);
      if (/^[piuvs]?l?$/.test(stem) || LEG_WORD.has(stem) || stem === "a") return true;
    }
  }
  return false;
}

/** The leg of a name that has no partner: where it says leg, line or phase, or L1 or L2. */
function lonelyLeg(
  words: readonly string[],
  all: readonly { words: readonly string[] }[],
): "L1" | "L2" | null {
  for (let i = 0; i < words.length; i++) {
    const own = /^[piuvs]?l([12])$/.exec(words[i]);
    if (own !== null) return own[1] === "1" ? "L1" : "L2";
    if (!LEG_WORD.has(words[i])) continue;
    for (const word of [words[i + 1], words[i - 1]]) {
      if (word === "1" || word === "one") return "L1";
      if (word === "2" || word === "two") return "L2";
      const b = all.some((o) => o.words.includes("b"));
      if (word === "a" && b) return "L1";
      if (word === "b") return "L2";
    }
  }
  return null;
}

function numberOf(words: readonly string[]): number | null {
  for (const word of words) {
    const match = /^(?:s|str|string|pv|mppt|dc|p|ppv)?([1-9])$/.exec(word);
    if (match !== null) return Number(match[1]);
  }
  return null;
}

const DIRECTIONS: readonly (readonly [NonNullable<NameReading["stated"]>, ReadonlySet<NameConcept>])[] = [
  ["discharge", new Set(["discharge"])],
  ["charge", new Set(["charge", "chargeOrLoad"])],
  ["import", new Set(["import"])],
  ["export", new Set(["export"])],
];
const OPPOSITE = { discharge: "charge", charge: "discharge", import: "export", export: "import" } as const;

/** "Battery A (+ = charge)", "grid W, export positive", "Netz (+Bezug/-Einspeisung)". */
function statedDirection(title: string): NameReading["stated"] {
  const text = title.replace(/[−–]/g, "-");
  const marks = [...text.matchAll(/\+\s*ve\b|\+|(?:^|[\s(=:,/])-(?=[\s=:(]*\p{L})|\p{L}+|[,;/|]/gu)].map(
    (m) => {
      const word = m[0].trim();
      if (word.startsWith("+")) return "positive" as const;
      if (word.endsWith("-")) return "negative" as const;
      if (/^[,;/|]$/.test(word)) return "break" as const;
      const { words } = headerWords(word);
      const concepts = words.flatMap((w) => nameConcepts(w));
      if (concepts.includes("positive")) return "positive" as const;
      if (concepts.includes("negative")) return "negative" as const;
      return DIRECTIONS.find(([, of]) => concepts.some((c) => of.has(c)))?.[0] ?? null;
    },
  );
  // The mark and its direction stand together, in either order, with nothing but "is" or "when" between.
  for (const sign of ["positive", "negative"] as const) {
    for (let i = 0; i < marks.length; i++) {
      if (marks[i] !== sign) continue;
      for (const step of [1, -1]) {
        for (let k = i + step, far = 0; k >= 0 && k < marks.length && far < 2; k += step, far++) {
          const here = marks[k];
          if (here === "break" && far > 0) break;
          if (here === "positive" || here === "negative") break;
          if (here !== null && here !== "break") return sign === "positive" ? here : OPPOSITE[here];
        }
      }
    }
  }
  return null;
}

function squeeze(name: string): string {
  return name.toLowerCase().replace(/[^a-z0-9]/g, "");
}
