import { GROUPED_NAMES, type Language } from "./column-words";
import type { ColumnKey } from "./corpus-columns";
import { CORPUS_COLUMNS, type CorpusColumn } from "./corpus-columns";
import type { Wiring } from "./invented-house";
import { deckOf, seededRandom } from "./seeded-random";
import { TIME_FORMS, type TimeForm } from "./time-forms";

export type Dialect = {
  readonly id: string;
  readonly delimiter: "," | ";" | "\t" | "|";
  readonly decimal: "." | ",";
  readonly thousands: "" | "," | "." | "'" | "\u00a0" | "\u202f";
  readonly quotes: "where needed" | "all" | "text";
  readonly newline: "\n" | "\r\n" | "\r";
  readonly encoding: "utf-8" | "utf-8 bom" | "utf-16le" | "utf-16be" | "windows-1252";
  readonly spaceAfter?: boolean;
  readonly trailing?: boolean;
  readonly separatorLine?: boolean;
};

export type UnitPlace =
  | "parentheses"
  | "brackets"
  | "underscore"
  | "space"
  | "comma"
  | "slash"
  | "unit row"
  | "cells"
  | "none";

export type Frame = {
  readonly preamble: "" | "lines" | "table" | "comments";
  readonly footer: boolean;
  readonly repeatedHeader: boolean;
  readonly blankLines: boolean;
};

/** One log of the corpus before its figures: what it holds and how it is written. */
export type LogShape = {
  readonly id: number;
  readonly seed: number;
  readonly what: string;
  readonly wiring: Wiring;
  readonly keys: readonly ColumnKey[];
  readonly naming: "words" | "generic" | "no header";
  readonly language: Language;
  readonly headerLines: 0 | 1 | 2;
  readonly unitPlace: UnitPlace;
  readonly powerUnit: "W" | "kW";
  readonly milli: boolean;
  readonly fahrenheit: boolean;
  readonly batterySign: "discharge" | "charge";
  readonly gridSign: "import" | "export";
  readonly signInHeader: boolean;
  readonly sourceWords: "words" | "codes" | "three";
  readonly dialect: Dialect;
  readonly frame: Frame;
  readonly timeForm: TimeForm;
  readonly stamps: "start" | "end";
  readonly intervalS: number;
  readonly hours: number;
  readonly zone: string;
  readonly descending: boolean;
  readonly shuffled: boolean;
  readonly missing: string;
  /** Of a one-way pair the idle side is left empty. */
  readonly idleEmpty: boolean;
  /** Nothing in the log says what its columns are: a person has to be asked. */
  readonly untold: boolean;
};

type Skeleton = {
  readonly what: string;
  readonly wiring: Wiring;
  readonly keys: readonly ColumnKey[];
  readonly naming?: LogShape["naming"];
  readonly sourceWords?: LogShape["sourceWords"];
  readonly coarse?: boolean;
  readonly untold?: boolean;
};

const SKELETONS: readonly Skeleton[] = [
  { what: "legs and source", wiring: "backup", keys: ["l1W", "l2W", "source"] },
  {
    what: "an inverter with battery current",
    wiring: "backup",
    keys: ["l1W", "l2W", "pvW", "batA", "batV", "soc", "gridW", "source", "tInv"],
  },
  { what: "legs, total, grid, source", wiring: "backup", keys: ["l1W", "l2W", "loadW", "gridW", "source"] },
  { what: "legs beside the grid", wiring: "parallel", keys: ["l1W", "l2W", "pvW", "batW", "gridW", "soc"] },
  { what: "totals beside the grid", wiring: "parallel", keys: ["loadW", "pvW", "batW", "gridW", "soc"] },
  { what: "no battery", wiring: "parallel", keys: ["loadW", "pvW", "gridW"] },
  {
    what: "one-way pairs of power",
    wiring: "parallel",
    keys: ["loadW", "pvW", "chgW", "disW", "impW", "expW", "soc"],
  },
  { what: "volts and amperes only", wiring: "backup", keys: ["l1V", "l1A", "l2V", "l2A", "source"] },
  {
    what: "volts, amperes and a battery",
    wiring: "island",
    keys: ["l1V", "l1A", "l2V", "l2A", "freq", "batV", "batA", "soc"],
  },
  { what: "an island", wiring: "island", keys: ["loadW", "pvW", "batA", "batV", "soc", "tInv"] },
  { what: "total and source", wiring: "backup", keys: ["loadW", "source"] },
  { what: "total only", wiring: "parallel", keys: ["loadW"] },
  { what: "legs only", wiring: "backup", keys: ["l1W", "l2W"] },
  { what: "grid by leg", wiring: "parallel", keys: ["l1W", "l2W", "g1W", "g2W", "pvW", "batW"] },
  { what: "counters only", wiring: "parallel", keys: ["cLoad", "cPv", "cImp", "cExp"], coarse: true },
  {
    what: "energy of each interval",
    wiring: "parallel",
    keys: ["iLoad", "iPv", "iImp", "iExp", "iChg", "iDis"],
    coarse: true,
  },
  {
    what: "legs with counters beside them",
    wiring: "parallel",
    keys: ["l1W", "l2W", "pvW", "gridW", "xLoad", "xPv"],
    coarse: true,
  },
  {
    what: "apparent power and faults",
    wiring: "backup",
    keys: ["l1W", "l2W", "l1Va", "l2Va", "l1V", "l2V", "source", "fault"],
  },
  { what: "a generator", wiring: "backup", keys: ["l1W", "l2W", "gridW", "source", "genW"] },
  { what: "no solar", wiring: "backup", keys: ["loadW", "batW", "soc", "gridW", "source"] },
  {
    what: "two strings",
    wiring: "parallel",
    keys: ["l1W", "l2W", "pv1W", "pv2W", "batW", "gridW", "soc", "tInv"],
  },
  {
    what: "other sensors beside the legs",
    wiring: "backup",
    keys: ["number", "l1W", "l2W", "source", "tRoom", "humidity", "note"],
  },
  { what: "import and export", wiring: "parallel", keys: ["loadW", "pvW", "impW", "expW", "tOut"] },
  {
    what: "source as a code",
    wiring: "backup",
    keys: ["l1W", "l2W", "gridW", "source"],
    sourceWords: "codes",
  },
  {
    what: "names that say nothing",
    wiring: "parallel",
    keys: ["l1W", "l2W", "loadW", "pvW", "batW", "gridW", "soc", "batV", "batA"],
    naming: "generic",
  },
  {
    what: "no header",
    wiring: "parallel",
    keys: ["l1W", "l2W", "loadW", "pvW", "batW", "gridW", "soc", "batV", "batA"],
    naming: "no header",
  },
  {
    what: "two columns without names",
    wiring: "backup",
    keys: ["l1W", "l2W"],
    naming: "generic",
    untold: true,
  },
  {
    what: "battery as volts and amperes",
    wiring: "parallel",
    keys: ["loadW", "pvW", "batA", "batV", "gridW"],
  },
  { what: "amperes of the legs", wiring: "backup", keys: ["l1A", "l2A", "batV", "soc", "source"] },
  {
    what: "one-way pair of current",
    wiring: "parallel",
    keys: ["loadW", "pvW", "soc", "chgA", "disA", "batV", "gridW"],
  },
  {
    what: "counters that start again by day",
    wiring: "parallel",
    keys: ["dLoad", "dPv", "dImp", "dExp"],
    coarse: true,
  },
  {
    what: "three states of the source",
    wiring: "backup",
    keys: ["l1W", "l2W", "pvW", "gridW", "source", "fault"],
    sourceWords: "three",
  },
  {
    what: "many columns",
    wiring: "parallel",
    keys: [
      "pvW",
      "pvV",
      "pvA",
      "batV",
      "batA",
      "soc",
      "loadW",
      "l1W",
      "l2W",
      "gridW",
      "gridV",
      "freq",
      "tInv",
      "tRoom",
      "signal",
    ],
  },
  { what: "counters of the legs", wiring: "backup", keys: ["c1", "c2", "source"], coarse: true },
  { what: "energy of the legs", wiring: "backup", keys: ["i1", "i2", "source"], coarse: true },
  {
    what: "an inverter with battery power",
    wiring: "backup",
    keys: ["source", "l1W", "l2W", "l1V", "l2V", "pvW", "batW", "soc", "fault", "tInv", "tOut"],
  },
];

const plain = { thousands: "", quotes: "where needed" } as const;

const DIALECTS: readonly Dialect[] = [
  { id: "comma", delimiter: ",", decimal: ".", ...plain, newline: "\n", encoding: "utf-8" },
  { id: "comma BOM CRLF", delimiter: ",", decimal: ".", ...plain, newline: "\r\n", encoding: "utf-8 bom" },
  {
    id: "comma all quoted",
    delimiter: ",",
    decimal: ".",
    thousands: "",
    quotes: "all",
    newline: "\r\n",
    encoding: "utf-8",
  },
  {
    id: "comma with thousands",
    delimiter: ",",
    decimal: ".",
    thousands: ",",
    quotes: "where needed",
    newline: "\n",
    encoding: "utf-8",
  },
  {
    id: "comma, decimal comma quoted",
    delimiter: ",",
    decimal: ",",
    ...plain,
    newline: "\r\n",
    encoding: "utf-8",
  },
  { id: "semicolon BOM", delimiter: ";", decimal: ",", ...plain, newline: "\r\n", encoding: "utf-8 bom" },
  {
    id: "semicolon windows-1252",
    delimiter: ";",
    decimal: ",",
    ...plain,
    newline: "\r\n",
    encoding: "windows-1252",
  },
  {
    id: "semicolon, dots for thousands",
    delimiter: ";",
    decimal: ",",
    thousands: ".",
    quotes: "where needed",
    newline: "\r\n",
    encoding: "utf-8",
  },
  {
    id: "semicolon, spaces for thousands",
    delimiter: ";",
    decimal: ",",
    thousands: "\u202f",
    quotes: "where needed",
    newline: "\n",
    encoding: "utf-8",
  },
  {
    id: "semicolon windows-1252, hard spaces for thousands",
    delimiter: ";",
    decimal: ",",
    thousands: "\u00a0",
    quotes: "text",
    newline: "\r\n",
    encoding: "windows-1252",
  },
  { id: "semicolon, point", delimiter: ";", decimal: ".", ...plain, newline: "\n", encoding: "utf-8" },
  { id: "tab", delimiter: "\t", decimal: ".", ...plain, newline: "\n", encoding: "utf-8" },
  { id: "tab UTF-16", delimiter: "\t", decimal: ".", ...plain, newline: "\r\n", encoding: "utf-16le" },
  { id: "tab, decimal comma", delimiter: "\t", decimal: ",", ...plain, newline: "\n", encoding: "utf-8" },
  {
    id: "tab UTF-16 big-endian, decimal comma",
    delimiter: "\t",
    decimal: ",",
    ...plain,
    newline: "\r\n",
    encoding: "utf-16be",
  },
  { id: "bar", delimiter: "|", decimal: ".", ...plain, newline: "\n", encoding: "utf-8" },
  { id: "bar, decimal comma", delimiter: "|", decimal: ",", ...plain, newline: "\r\n", encoding: "utf-8" },
  { id: "comma CR", delimiter: ",", decimal: ".", ...plain, newline: "\r", encoding: "utf-8" },
  {
    id: "comma and a space",
    delimiter: ",",
    decimal: ".",
    ...plain,
    newline: "\n",
    encoding: "utf-8",
    spaceAfter: true,
  },
  {
    id: "semicolon, apostrophes for thousands",
    delimiter: ";",
    decimal: ".",
    thousands: "'",
    quotes: "where needed",
    newline: "\n",
    encoding: "utf-8",
  },
  {
    id: "comma at each line's end",
    delimiter: ",",
    decimal: ".",
    ...plain,
    newline: "\r\n",
    encoding: "utf-8",
    trailing: true,
  },
  {
    id: "semicolon with a sep line",
    delimiter: ";",
    decimal: ",",
    ...plain,
    newline: "\r\n",
    encoding: "utf-8 bom",
    separatorLine: true,
  },
  {
    id: "comma, text quoted",
    delimiter: ",",
    decimal: ".",
    thousands: "",
    quotes: "text",
    newline: "\n",
    encoding: "utf-8",
  },
  {
    id: "comma windows-1252",
    delimiter: ",",
    decimal: ".",
    ...plain,
    newline: "\r\n",
    encoding: "windows-1252",
  },
];

const bare: Frame = { preamble: "", footer: false, repeatedHeader: false, blankLines: false };

const FRAMES: readonly Frame[] = [
  bare,
  bare,
  bare,
  bare,
  { ...bare, preamble: "lines" },
  { ...bare, preamble: "table" },
  { ...bare, preamble: "comments" },
  { ...bare, footer: true },
  { ...bare, preamble: "table", footer: true },
  { ...bare, repeatedHeader: true },
  { ...bare, blankLines: true, preamble: "lines" },
];

const HOURS: Readonly<Record<number, readonly [number, number]>> = {
  1: [2, 3.5],
  5: [3, 10],
  10: [4, 30],
  60: [10, 96],
  300: [24, 240],
  900: [48, 240],
};

const ZONES = [
  "America/Denver",
  "America/New_York",
  "America/Los_Angeles",
  "Europe/Berlin",
  "Europe/Madrid",
  "America/Mexico_City",
  "Europe/Paris",
  "Europe/Lisbon",
  "America/Chicago",
] as const;

/**
 * The shapes of a corpus: as many logs as asked for, every skeleton in turn, every other property dealt from a deck, so
 * that each value comes about equally often and meets others by chance. Another seed gives another corpus.
 */
export function logShapes(seed: number, count: number): LogShape[] {
  const random = seededRandom(seed);
  const skeletons = deckOf(random, SKELETONS);
  const languages = deckOf<Language>(random, [
    "en",
    "en",
    "en",
    "en",
    "es",
    "es",
    "es",
    "de",
    "de",
    "de",
    "fr",
    "fr",
    "fr",
    "it",
    "nl",
    "pt",
    "abbr",
    "abbr",
  ]);
  const dialects = deckOf(random, DIALECTS);
  const frames = deckOf(random, FRAMES);
  const units = deckOf<UnitPlace>(random, [
    "parentheses",
    "parentheses",
    "parentheses",
    "brackets",
    "brackets",
    "underscore",
    "space",
    "comma",
    "slash",
    "unit row",
    "unit row",
    "cells",
    "none",
    "none",
  ]);
  const powers = deckOf<"W" | "kW">(random, ["W", "W", "W", "kW", "kW"]);
  const batteries = deckOf<"discharge" | "charge">(random, ["discharge", "charge"]);
  const grids = deckOf<"import" | "export">(random, ["import", "export"]);
  const intervals = deckOf(random, [1, 5, 10, 60, 60, 300, 300, 900]);
  const zones = deckOf(random, ZONES);
  const rare = deckOf(random, [true, ...Array<boolean>(9).fill(false)]);
  const missings = deckOf(random, ["", "", "", "--", "NaN", "N/A", "null", "-"]);
  const times = deckOf(random, TIME_FORMS);
  const headers = deckOf<1 | 2>(random, [1, 1, 1, 1, 1, 1, 2]);
  const shapes: LogShape[] = [];
  for (let id = 1; id <= count; id++) {
    const skeleton = skeletons();
    const naming = skeleton.naming ?? "words";
    const language = languages();
    const energy = skeleton.keys.some((k) => (CORPUS_COLUMNS[k] as CorpusColumn).kind === "energy");
    let intervalS = intervals();
    if (skeleton.coarse && intervalS < 300) intervalS = random.pick([300, 900]);
    let timeForm = times();
    const fits = (form: TimeForm) =>
      form.finestS <= intervalS &&
      // What only a name says can't be said where there are none.
      !(naming === "no header" && (form.zone === "utc" || form.zone === "named-offset")) &&
      (form.languages === undefined || form.languages.includes(language));
    for (let tries = 0; !fits(timeForm) && tries < 200; tries++) timeForm = times();
    if (!fits(timeForm)) timeForm = TIME_FORMS[0];
    let headerLines: 0 | 1 | 2 = naming === "no header" ? 0 : naming === "generic" ? 1 : headers();
    const grouped = GROUPED_NAMES[language as keyof typeof GROUPED_NAMES];
    if (headerLines === 2) {
      const all = skeleton.keys.every((k) => grouped?.[CORPUS_COLUMNS[k].topic] !== undefined);
      if (!all) headerLines = 1;
    }
    let unitPlace: UnitPlace = naming === "words" ? units() : "none";
    const milli = rare();
    const fahrenheit = rare();
    const told: readonly UnitPlace[] = ["parentheses", "brackets", "space", "unit row"];
    // Without a unit nobody can tell energies, thousandths or degrees Fahrenheit for sure.
    if ((energy || milli || fahrenheit) && naming === "words" && !told.includes(unitPlace)) {
      unitPlace = random.pick(told);
    }
    const [low, high] = HOURS[intervalS];
    const frame = frames();
    shapes.push({
      id,
      seed: random.whole(1, 2 ** 31),
      what: skeleton.what,
      wiring: skeleton.wiring,
      keys: skeleton.keys,
      naming,
      language,
      headerLines,
      unitPlace,
      powerUnit: powers(),
      milli: milli && naming === "words",
      fahrenheit: fahrenheit && naming === "words",
      batterySign: batteries(),
      gridSign: grids(),
      signInHeader: rare() && naming === "words" && headerLines === 1 && unitPlace !== "underscore",
      sourceWords: skeleton.sourceWords ?? "words",
      dialect: dialects(),
      // Without a header there is nothing to repeat, and nothing that tells a preamble's end.
      frame: naming === "no header" ? { ...frame, repeatedHeader: false, preamble: "" } : frame,
      timeForm,
      stamps: timeForm.zone === "local" && naming === "words" && rare() && rare() ? "end" : "start",
      intervalS,
      hours: random.between(low, high),
      zone: zones(),
      descending: rare(),
      shuffled: naming === "words" && random.chance(0.3),
      missing: missings(),
      idleEmpty: rare(),
      untold: skeleton.untold ?? false,
    });
  }
  return shapes;
}
