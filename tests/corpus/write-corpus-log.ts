import { type NumericChannel, SOURCE_CODE, type Source } from "../../src/analysis/series";
import type { ColumnMapInput } from "../../src/site/column-map-schema";
import {
  COLUMN_NAMES,
  GROUPED_NAMES,
  LEG_NAMES,
  SIGN_WORDS,
  SOURCE_WORDS,
  SUN_WORD,
  TIME_NAMES,
} from "./column-words";
import { CORPUS_COLUMNS, type ColumnKey, type CorpusColumn } from "./corpus-columns";
import { type HouseRows, inventedHouse } from "./invented-house";
import type { LogShape } from "./log-shapes";
import { type SeededRandom, seededRandom } from "./seeded-random";
import type { WallClock } from "./time-forms";

export type TrueChannel = {
  readonly values: Float64Array;
  readonly isEnergy: boolean;
  /** Rows of which the log says only half: one side of a one-way pair, or neither where idle ones are left empty. */
  readonly halfSaid: ReadonlySet<number>;
  /** Other columns say the same: it may be left out. */
  readonly isOptional: boolean;
};

/** What a log of the corpus truly says. */
export type CorpusTruth = {
  /** Physical line and instant of every row. */
  readonly lines: readonly number[];
  readonly timesMs: Float64Array;
  /** Farthest that an instant can be told from the text. */
  readonly timeToleranceMs: number;
  /** By channel: values in base units and signs, a row each, as the log's digits say them. */
  readonly channels: ReadonlyMap<NumericChannel, TrueChannel>;
  /** Codes of Series.sources; null where the log has none. */
  readonly sources: Uint8Array | null;
  readonly faults: readonly boolean[] | null;
  /** Which columns (from 0) hold a channel, for messages. */
  readonly columnsOf: ReadonlyMap<string, readonly number[]>;
  /** The whole map; columns by their number from 0, as `nameOf` puts them. */
  map(nameOf: (column: number) => string | number): ColumnMapInput;
  /** Choices that nothing in the log settles: to be asked. */
  readonly mustAsk: readonly RegExp[];
  /** Choices of which a careful reader may be unsure. */
  readonly mayAsk: readonly RegExp[];
};

export type CorpusLog = {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly text: string;
  readonly siteZone: string;
  readonly truth: CorpusTruth;
};

/** Bytes of the head that a careful reader looks at. */
const HEAD_BYTES = 1_000_000;

/** Writes the log of a shape: lives through the days, puts them into cells, and keeps what is true beside it. */
export function writeCorpusLog(shape: LogShape): CorpusLog {
  const random = seededRandom(shape.seed);
  const rows = Math.max(8, Math.round((shape.hours * 3600) / shape.intervalS));
  const { fromMs, offsetS } = beginOf(shape, random, rows);
  const house = inventedHouse(random, {
    wiring: shape.wiring,
    intervalS: shape.intervalS,
    rows,
    fromMs,
    offsetS,
    hasSun: shape.keys.some((k) => /pv/i.test(k)),
    hasBattery: shape.keys.some((k) => /bat|soc|chg|dis/i.test(k)),
    hasGenerator: shape.keys.includes("genW"),
  });
  const names = namesOf(shape, random);
  const order = orderOf(shape, random);
  const columns = order.map((key) => renderColumn(shape, key, house, random));
  const stampS = shape.stamps === "end" ? shape.intervalS : 0;
  const timeCells = Array.from({ length: rows }, (_, i) => {
    const ms = fromMs + (i * shape.intervalS + stampS) * 1000;
    const cells = shape.timeForm.cells(wallOf(ms, offsetS), ms, offsetText(offsetS), shape.language);
    // A spreadsheet writes a day's fraction with the mark that it writes all numbers with.
    return shape.timeForm.id === "spreadsheet days"
      ? cells.map((c) => c.replace(".", shape.dialect.decimal))
      : cells;
  });
  const timeWidth = timeCells[0].length;
  // Time stands first, but for a log whose columns are in no order.
  const timeAt = shape.shuffled ? random.whole(0, order.length) : 0;
  const withTime = (cells: readonly string[], time: readonly string[]) => [
    ...cells.slice(0, timeAt),
    ...time,
    ...cells.slice(timeAt),
  ];
  const columnAt = (i: number) => (i < timeAt ? i : i + timeWidth);
  const timeColumns = Array.from({ length: timeWidth }, (_, i) => timeAt + i);
  const time = timeNames(shape, random, timeWidth);

  const written = layOut(shape, random, {
    header: withTime(
      order.map((k) => names.get(k) ?? ""),
      time,
    ),
    groups: withTime(
      order.map((k) => groupOf(shape, k)),
      time.map(() => ""),
    ),
    units: withTime(
      order.map((k) => unitOf(shape, k)),
      time.map(() => ""),
    ),
    text: withTime(
      order.map((k) => (CORPUS_COLUMNS[k].kind === "text" ? "text" : "")),
      time.map(() => "text"),
    ),
    rows: timeCells.map((t, i) =>
      withTime(
        columns.map((c) => c.cells[i]),
        t,
      ),
    ),
  });
  const timesMs = Float64Array.from({ length: rows }, (_, i) => fromMs + i * shape.intervalS * 1000);
  const bytes = encode(written.text, shape.dialect.encoding);
  const truth = truthOf(shape, { order, columns, columnAt, timeColumns, timesMs, bytes, house, rows });
  return {
    name: `corpus-${shape.id}.csv`,
    bytes,
    text: written.text,
    siteZone: shape.zone,
    truth: { ...truth, lines: written.lines },
  };
}

type Rendered = {
  readonly cells: readonly string[];
  /** What the digits say, in base units and canonical sign; NaN where nothing stands. */
  readonly values: Float64Array;
};

function beginOf(shape: LogShape, random: SeededRandom, rows: number): { fromMs: number; offsetS: number } {
  for (;;) {
    const day = random.whole(0, 620);
    // A short log begins in the afternoon: it sees sun, then none.
    const hour = shape.hours < 12 ? random.whole(15, 16) : random.whole(0, 23);
    const startOfDayMs = Date.UTC(2025, 0, 20) + day * 86_400_000;
    const offsetS = offsetAt(shape.zone, startOfDayMs);
    const fromMs = startOfDayMs - offsetS * 1000 + hour * 3_600_000;
    const endMs = fromMs + rows * shape.intervalS * 1000;
    // No change of the clock inside: another test has those.
    const same = [fromMs, (fromMs + endMs) / 2, endMs].every((ms) => offsetAt(shape.zone, ms) === offsetS);
    if (same) return { fromMs, offsetS };
  }
}

function offsetAt(zone: string, timeMs: number): number {
  const parts = new Intl.DateTimeFormat("en-US", {
    timeZone: zone,
    hourCycle: "h23",
    year: "numeric",
    month: "numeric",
    day: "numeric",
    hour: "numeric",
    minute: "numeric",
    second: "numeric",
  }).formatToParts(timeMs);
  const of = (type: string) => Number(parts.find((p) => p.type === type)?.value);
  const local = Date.UTC(of("year"), of("month") - 1, of("day"), of("hour"), of("minute"), of("second"));
  return Math.round((local - timeMs) / 1000);
}

function wallOf(timeMs: number, offsetS: number): WallClock {
  const local = new Date(timeMs + offsetS * 1000);
  return {
    y: local.getUTCFullYear(),
    mo: local.getUTCMonth() + 1,
    d: local.getUTCDate(),
    h: local.getUTCHours(),
    mi: local.getUTCMinutes(),
    s: local.getUTCSeconds(),
    ms: local.getUTCMilliseconds(),
  };
}

function offsetText(offsetS: number): string {
  const minutes = Math.abs(offsetS) / 60;
  const two = (n: number) => String(Math.floor(n)).padStart(2, "0");
  return `${offsetS < 0 ? "-" : "+"}${two(minutes / 60)}:${two(minutes % 60)}`;
}

function orderOf(shape: LogShape, random: SeededRandom): ColumnKey[] {
  return shape.shuffled ? random.shuffled(shape.keys) : [...shape.keys];
}

function column(key: ColumnKey): CorpusColumn {
  return CORPUS_COLUMNS[key];
}

/** The unit that the column is written in. */
function unitOf(shape: LogShape, key: ColumnKey): string {
  switch (column(key).kind) {
    case "power":
      return shape.powerUnit;
    case "va":
      return shape.powerUnit === "kW" ? "kVA" : "VA";
    case "volt":
      return shape.milli && key === "batV" ? "mV" : "V";
    case "amp":
      return shape.milli && /^(batA|chgA|disA)$/.test(key) ? "mA" : "A";
    case "share":
      return "%";
    case "temperature":
      return shape.fahrenheit ? "°F" : "°C";
    case "hertz":
      return "Hz";
    case "energy":
      return column(key).energy === "interval" ? "Wh" : "kWh";
    case "plain":
    case "text":
      return "";
  }
}

function namesOf(shape: LogShape, random: SeededRandom): Map<ColumnKey, string> {
  const names = new Map<ColumnKey, string>();
  if (shape.naming !== "words") {
    const style = random.pick(["Ch", "Value ", "Sensor ", "Column", "Data"]);
    shape.keys.forEach((key, i) => {
      names.set(key, `${style}${i + 1}`);
    });
    return names;
  }
  const legs = random.pick(LEG_NAMES[shape.language]);
  const legTemplates = new Map<string, string>();
  const used = new Set<string>();
  for (const key of shape.keys) {
    const { topic, leg, signed } = column(key);
    const own = COLUMN_NAMES[shape.language][topic] ?? COLUMN_NAMES.en[topic] ?? [topic];
    let template = legTemplates.get(topic) ?? random.pick(own);
    let name = template.replace("{leg}", legs[leg ?? 0]);
    // Two topics of one log don't share a name.
    for (let tries = 0; used.has(name) && tries < 30; tries++) {
      template = random.pick(tries < 15 ? own : (COLUMN_NAMES.en[topic] ?? own));
      name = template.replace("{leg}", legs[leg ?? 0]);
    }
    used.add(name);
    legTemplates.set(topic, template);
    if (shape.headerLines === 2) {
      const grouped = GROUPED_NAMES[shape.language as keyof typeof GROUPED_NAMES][topic];
      if (grouped !== undefined) name = grouped[1].replace("{leg}", legs[leg ?? 0]);
    }
    if (shape.signInHeader && signed !== undefined && shape.language in SIGN_WORDS) {
      const words = SIGN_WORDS[shape.language as keyof typeof SIGN_WORDS];
      name += ` (${words[signed === "battery" ? shape.batterySign : shape.gridSign]})`;
    }
    names.set(key, withUnit(shape, name, unitOf(shape, key)));
  }
  return names;
}

function withUnit(shape: LogShape, name: string, unit: string): string {
  if (unit === "") return name;
  switch (shape.unitPlace) {
    case "parentheses":
      return `${name} (${unit})`;
    case "brackets":
      return `${name} [${unit}]`;
    case "space":
      return `${name} ${unit}`;
    case "comma":
      return `${name}, ${unit}`;
    case "slash":
      return `${name} / ${unit}`;
    case "underscore": {
      const plain = unit.replace("°", "").replace("%", "pct");
      return `${name.replace(/[\s/.'-]+/g, "_")}_${plain}`;
    }
    case "cells":
    case "none":
    case "unit row":
      return name;
  }
}

function groupOf(shape: LogShape, key: ColumnKey): string {
  if (shape.headerLines !== 2) return "";
  return GROUPED_NAMES[shape.language as keyof typeof GROUPED_NAMES][column(key).topic]?.[0] ?? "";
}

function timeNames(shape: LogShape, random: SeededRandom, width: number): string[] {
  const words = TIME_NAMES[shape.language];
  if (width === 2) return [...words.two];
  if (shape.stamps === "end") {
    const ends = { de: "Intervallende", es: "Fin del intervalo", fr: "Fin de l'intervalle" };
    return [ends[shape.language as keyof typeof ends] ?? "Interval end"];
  }
  const name = random.pick(words.one);
  if (shape.timeForm.zone === "utc") return [random.pick([`${name} (UTC)`, `${name} UTC`, `${name} [UTC]`])];
  if (shape.timeForm.zone === "named-offset") return [`${name} (UTC@)`];
  return [name];
}

function renderColumn(shape: LogShape, key: ColumnKey, house: HouseRows, random: SeededRandom): Rendered {
  const { kind, figure, part, energy, signed } = column(key);
  const rows = house.sources.length;
  const values = new Float64Array(rows).fill(Number.NaN);
  if (kind === "text") return { cells: textCells(shape, key, house, random), values };
  if (kind === "plain") {
    const cell = (i: number) => {
      if (key === "number") return String(i + 1);
      return key === "price" ? number(shape, 0.14, 2) : String(-58 - random.whole(0, 6));
    };
    return { cells: Array.from({ length: rows }, (_, i) => cell(i)), values };
  }
  const unit = unitOf(shape, key);
  const factor =
    { kW: 1e-3, kVA: 1e-3, mA: 1e3, mV: 1e3, kWh: 1e-3, Wh: 1 }[unit] ?? (unit === "°F" ? 1.8 : 1);
  const offset = unit === "°F" ? 32 : 0;
  const flipped =
    (signed === "battery" && shape.batterySign === "charge") ||
    (signed === "grid" && shape.gridSign === "export");
  const decimals = decimalsOf(kind, unit, energy, random);
  const of = figure === undefined ? new Float64Array(rows) : house.figures[figure];
  const canonical = (i: number) =>
    part === "plus" ? Math.max(0, of[i]) : part === "minus" ? Math.max(0, -of[i]) : of[i];
  let sumWh = energy === "counter" ? random.whole(20_000, 9_000_000) : 0;
  const cells: string[] = [];
  for (let i = 0; i < rows; i++) {
    let shown = canonical(i);
    if (energy !== undefined) {
      const wh = (canonical(i) * shape.intervalS) / 3600;
      if (energy === "interval") shown = wh;
      else {
        // A row's counter stands as it was at the row's stamp.
        if (energy === "daily" && startsOfDay(shape).has(i)) sumWh = 0;
        shown = sumWh;
        sumWh += wh;
      }
    }
    if (random.chance(energy === undefined ? 0.004 : 0)) {
      cells.push(shape.missing);
      continue;
    }
    if (shape.idleEmpty && part !== undefined && energy === undefined && shown === 0) {
      cells.push("");
      values[i] = 0;
      continue;
    }
    const digits = (shown * factor * (flipped ? -1 : 1) + offset).toFixed(decimals);
    const read = Number(digits);
    cells.push(number(shape, read, decimals) + (shape.unitPlace === "cells" ? ` ${unit}` : ""));
    values[i] = energy !== undefined ? canonical(i) : ((read - offset) / factor) * (flipped ? -1 : 1);
  }
  return { cells, values };
}

const dayStarts = new WeakMap<LogShape, ReadonlySet<number>>();

function startsOfDay(shape: LogShape): ReadonlySet<number> {
  const known = dayStarts.get(shape);
  if (known !== undefined) return known;
  const random = seededRandom(shape.seed);
  const rows = Math.max(8, Math.round((shape.hours * 3600) / shape.intervalS));
  const { fromMs, offsetS } = beginOf(shape, random, rows);
  const starts = new Set<number>();
  const dayOf = (i: number) => Math.floor((fromMs / 1000 + offsetS + i * shape.intervalS) / 86_400);
  for (let i = 1; i < rows; i++) if (dayOf(i) !== dayOf(i - 1)) starts.add(i);
  dayStarts.set(shape, starts);
  return starts;
}

function decimalsOf(kind: string, unit: string, energy: string | undefined, random: SeededRandom): number {
  if (unit === "kW" || unit === "kVA") return random.pick([2, 3, 3]);
  if (unit === "mA" || unit === "mV") return 0;
  if (energy !== undefined) return unit === "Wh" ? 1 : 3;
  if (kind === "power" || kind === "va") return random.pick([0, 0, 1]);
  if (kind === "volt") return random.pick([1, 2]);
  if (kind === "amp") return random.pick([1, 2]);
  if (kind === "hertz") return 2;
  return random.pick([0, 1]);
}

/** A number in the dialect's digits. */
function number(shape: LogShape, value: number, decimals: number): string {
  const { decimal, thousands } = shape.dialect;
  let [whole, fraction] = value.toFixed(decimals).split(".");
  if (thousands !== "") whole = whole.replace(/\B(?=(\d{3})+$)/g, thousands);
  return fraction === undefined ? whole : `${whole}${decimal}${fraction}`;
}

function textCells(shape: LogShape, key: ColumnKey, house: HouseRows, random: SeededRandom): string[] {
  const rows = house.sources.length;
  if (key === "source") {
    const words = wordsOf(shape, random);
    return Array.from({ length: rows }, (_, i) => {
      const state = house.sources[i];
      return state === "inverter" && shape.sourceWords === "three" && house.sunCarries[i]
        ? SUN_WORD[shape.language]
        : words[state];
    });
  }
  if (key === "fault") {
    const none = random.pick(["", "0", "OK", "none"]);
    return house.faults.map((f) => (f === "" ? none : f));
  }
  const notes = [
    "",
    "",
    "",
    "",
    "",
    "",
    "",
    "door open",
    "checked meter, all fine",
    `fan on${breakOf(shape)}filter cleaned`,
  ];
  return Array.from({ length: rows }, () => (random.chance(0.03) ? random.pick(notes) : ""));
}

/** A line's end inside a cell. */
function breakOf(shape: LogShape): string {
  return shape.dialect.newline === "\r" ? "\r" : "\n";
}

function wordsOf(
  shape: LogShape,
  random: SeededRandom,
): { inverter: string; utility: string; generator: string } {
  if (shape.sourceWords === "codes") {
    return random.pick([
      { inverter: "0", utility: "1", generator: "2" },
      { inverter: "1", utility: "0", generator: "2" },
      { inverter: "A", utility: "B", generator: "C" },
    ]);
  }
  const sets = SOURCE_WORDS[shape.language];
  // Where sun is told from battery, the other word is the battery.
  return shape.sourceWords === "three"
    ? (sets.find((s) => /bat/i.test(s.inverter)) ?? sets[0])
    : random.pick(sets);
}

type Sheet = {
  readonly header: readonly string[];
  readonly groups: readonly string[];
  readonly units: readonly string[];
  readonly text: readonly string[];
  readonly rows: readonly (readonly string[])[];
};

/** The log's text, and the physical line of each row. */
function layOut(shape: LogShape, random: SeededRandom, sheet: Sheet): { text: string; lines: number[] } {
  const { dialect, frame } = shape;
  const { delimiter, newline } = dialect;
  const parts: string[] = [];
  let line = 1;
  const quoted = (cell: string, isText: boolean) => {
    const needed = cell.includes(delimiter) || /["\r\n]/.test(cell);
    const wanted = dialect.quotes === "all" || (dialect.quotes === "text" && isText && cell !== "");
    return needed || wanted ? `"${cell.replaceAll('"', '""')}"` : cell;
  };
  const writeRecord = (cells: readonly string[], isText: (i: number) => boolean) => {
    const written = cells.map((c, i) => quoted(c, isText(i)));
    // A quote after a space is no quote any more.
    const spaced =
      dialect.spaceAfter === true ? written.map((c, i) => (i === 0 || c[0] === '"' ? c : ` ${c}`)) : written;
    const text = spaced.join(delimiter) + (dialect.trailing === true ? delimiter : "");
    parts.push(text, newline);
    line += 1 + (text.match(/[\r\n]/g)?.length ?? 0);
  };
  const writeLine = (text: string) => {
    parts.push(text, newline);
    line++;
  };
  const everyText = () => true;
  const offset = sheet.header.map((name) => name.replace("(UTC@)", `(UTC${offsetOfShape(shape)})`));
  const writeHeader = () => {
    if (shape.headerLines === 2) {
      let before = "";
      const repeats = shape.seed % 2 === 0;
      writeRecord(
        sheet.groups.map((g) => {
          const shown = g === before && !repeats ? "" : g;
          before = g;
          return shown;
        }),
        everyText,
      );
    }
    writeRecord(offset, everyText);
    if (shape.unitPlace === "unit row") writeRecord(sheet.units, everyText);
  };
  if (dialect.separatorLine === true) writeLine(`sep=${delimiter}`);
  if (frame.preamble === "lines") {
    writeLine("Alder Creek Pottery");
    writeLine("Logger 2, export of all channels");
    if (frame.blankLines) writeLine("");
  } else if (frame.preamble === "table") {
    writeRecord(["Site", "Alder Creek Pottery"], everyText);
    writeRecord(["Serial number", "0451-22"], everyText);
    writeRecord(["Firmware", "2.14"], everyText);
    writeRecord(["Exported", "2026-11-02 09:15"], everyText);
    writeLine("");
  } else if (frame.preamble === "comments") {
    writeLine("# logger 0451-22");
    writeLine("# all times as set on the device");
  }
  if (shape.headerLines > 0) writeHeader();
  const lines = new Array<number>(sheet.rows.length);
  const isText = (i: number) => sheet.text[i] === "text";
  const order = sheet.rows.map((_, i) => (shape.descending ? sheet.rows.length - 1 - i : i));
  order.forEach((row, written) => {
    if (frame.repeatedHeader && written > 0 && written % 200 === 0) writeHeader();
    if (frame.blankLines && written > 0 && written % 150 === 0) writeLine("");
    lines[row] = line;
    writeRecord(sheet.rows[row], isText);
  });
  if (frame.footer) {
    const numbers = sheet.header.map((_, i) => (i === 0 ? "Total" : ""));
    if (random.chance(0.5)) writeRecord(numbers, everyText);
    else writeLine(`Rows: ${sheet.rows.length}`);
    writeLine("End of export");
  }
  return { text: parts.join(""), lines };
}

function offsetOfShape(shape: LogShape): string {
  const random = seededRandom(shape.seed);
  const rows = Math.max(8, Math.round((shape.hours * 3600) / shape.intervalS));
  return offsetText(beginOf(shape, random, rows).offsetS);
}

function encode(text: string, encoding: LogShape["dialect"]["encoding"]): Uint8Array {
  switch (encoding) {
    case "utf-8":
      return Buffer.from(text, "utf8");
    case "utf-8 bom":
      return Buffer.from(`\ufeff${text}`, "utf8");
    case "utf-16le":
      return Buffer.from(`\ufeff${text}`, "utf16le");
    case "utf-16be":
      return Buffer.from(`\ufeff${text}`, "utf16le").swap16();
    case "windows-1252":
      // All its letters that the corpus uses stand at the same place in Latin-1.
      return Buffer.from(text, "latin1");
  }
}

function truthOf(
  shape: LogShape,
  made: {
    order: readonly ColumnKey[];
    columns: readonly Rendered[];
    columnAt: (i: number) => number;
    timeColumns: readonly number[];
    timesMs: Float64Array;
    bytes: Uint8Array;
    house: HouseRows;
    rows: number;
  },
): Omit<CorpusTruth, "lines"> {
  const { order, columns, columnAt, timesMs, rows, house } = made;
  const channels = new Map<NumericChannel, TrueChannel>();
  const columnsOf = new Map<string, number[]>();
  order.forEach((key, i) => {
    const { channel, part, kind, optional } = column(key);
    if (channel === null) return;
    columnsOf.set(channel, [...(columnsOf.get(channel) ?? []), columnAt(i)]);
    if (channel === "source" || channel === "faultCode") return;
    const before = channels.get(channel);
    const { values, halfSaid } = trueValues(columns[i], part, before?.values, shape.idleEmpty);
    channels.set(channel, { values, halfSaid, isEnergy: kind === "energy", isOptional: optional === true });
  });
  const hasSource = order.includes("source");
  return {
    timesMs,
    timeToleranceMs: shape.timeForm.id === "spreadsheet days" ? 1000 : 0,
    channels,
    sources: hasSource ? Uint8Array.from(house.sources, (s) => SOURCE_CODE[s as Source]) : null,
    faults: order.includes("fault") ? house.faults.map((f) => f !== "") : null,
    columnsOf,
    map: (nameOf) =>
      trueMap(shape, { order, columnAt, timeColumns: made.timeColumns, house, columns }, nameOf),
    ...openChoices(shape, { order, timesMs, rows, house, bytes: made.bytes.length }),
  };
}

function trueValues(
  rendered: Rendered,
  part: CorpusColumn["part"],
  before: Float64Array | undefined,
  idleEmpty: boolean,
): { values: Float64Array; halfSaid: Set<number> } {
  const halfSaid = new Set<number>();
  const signed = part === "minus" ? rendered.values.map((v) => -v) : rendered.values;
  if (before === undefined) return { values: Float64Array.from(signed), halfSaid };
  const values = before.map((v, row) => {
    const [a, b] = [v, signed[row]];
    if (Number.isNaN(a) !== Number.isNaN(b) || (idleEmpty && a === 0 && b === 0)) halfSaid.add(row);
    return a + b;
  });
  return { values, halfSaid };
}

function trueMap(
  shape: LogShape,
  made: {
    order: readonly ColumnKey[];
    columnAt: (i: number) => number;
    timeColumns: readonly number[];
    house: HouseRows;
    columns: readonly Rendered[];
  },
  nameOf: (column: number) => string | number,
): ColumnMapInput {
  const channels: Record<string, unknown> = {};
  const time = made.timeColumns.map(nameOf);
  made.order.forEach((key, i) => {
    const { channel, part, signed, energy } = column(key);
    if (channel === null) return;
    const ref = nameOf(made.columnAt(i));
    if (channel === "source") {
      const words: Record<string, string> = {};
      made.columns[i].cells.forEach((cell, row) => {
        words[cell] = made.house.sources[row];
      });
      channels.source = { column: ref, words };
    } else if (channel === "faultCode") channels.faultCode = { column: ref };
    else {
      const unit = unitOf(shape, key).replace("°", "");
      const before = (channels[channel] ?? {}) as { column?: object };
      channels[channel] = {
        column: part === undefined ? ref : { ...before.column, [part]: ref },
        unit,
        ...(signed !== undefined && {
          positive: signed === "battery" ? shape.batterySign : shape.gridSign,
        }),
        ...(energy !== undefined && { energy: energy === "interval" ? "interval" : "counter" }),
      };
    }
  });
  const { pattern, zone } = shape.timeForm;
  return {
    version: 1,
    time: {
      column: time.length === 1 ? time[0] : time,
      ...(pattern !== null && { format: pattern }),
      zone: zone === "utc" ? "UTC" : zone === "named-offset" ? offsetOfShape(shape) : "site",
      stamps: shape.stamps,
    },
    channels,
    text: { decimalMark: shape.dialect.decimal },
  } as ColumnMapInput;
}

/** What the log can't settle, as far as its first megabyte goes. */
function openChoices(
  shape: LogShape,
  made: {
    order: readonly ColumnKey[];
    timesMs: Float64Array;
    rows: number;
    house: HouseRows;
    bytes: number;
  },
): { mustAsk: RegExp[]; mayAsk: RegExp[] } {
  const { order, timesMs, rows, house } = made;
  const mustAsk: RegExp[] = [];
  const mayAsk: RegExp[] = [];
  const headRows = Math.min(rows, Math.floor((rows * HEAD_BYTES) / made.bytes));
  const from = shape.descending ? rows - headRows : 0;
  const walls = [from, from + headRows - 1].map((i) => timesMs[i]);
  const offsetMs = offsetAt(shape.zone, timesMs[0]) * 1000;
  const [first, last] = walls.map((ms) => new Date(ms + offsetMs));
  if (shape.timeForm.orderOpen === true) {
    const oneDay = first.getUTCDate() === last.getUTCDate();
    const [d, mo] = [first.getUTCDate(), first.getUTCMonth() + 1];
    if (oneDay && d <= 12 && d !== mo) mustAsk.push(/^time\.format$/);
    if (oneDay && d === mo) mayAsk.push(/^time\.format$/);
  }
  if (/^dotted|dotted$/.test(shape.timeForm.id)) mayAsk.push(/^time\.format$/);
  if (shape.stamps === "end") mayAsk.push(/^time\.stamps$/);
  if (shape.untold) mustAsk.push(/^channels\./);
  for (const key of order) {
    const { signed, figure, channel } = column(key);
    if (signed === undefined || figure === undefined) continue;
    const values = house.figures[figure].subarray(from, from + headRows);
    const most = values.reduce((max, v) => Math.max(max, Math.abs(v)), 0);
    const seen = values.reduce((n, v) => n + (Math.abs(v) > 0.05 * most && Math.abs(v) > 1 ? 1 : 0), 0);
    if (seen < 12) mayAsk.push(new RegExp(`^channels\\.${channel}`));
  }
  return { mustAsk, mayAsk };
}
