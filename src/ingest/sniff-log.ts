import { NUMERIC_CHANNELS, type NumericChannel, type Source } from "../analysis/series";
import {
  type ColumnMap,
  columnMap,
  DEFAULT_MISSING,
  DEFAULT_NO_FAULT,
  type NumericColumn,
} from "../site/column-map";
import { type ColumnMapInput, type ColumnRef, signOf, type Unit, unitsOf } from "../site/column-map-schema";
import { type LogColumns, logColumns } from "./log-columns";
import { type LogHead, readHead } from "./read-head";
import type { Refusal } from "./refusal";
import { type ChannelGuess, sniffChannels } from "./sniff/channels";
import { type ColumnFacts, columnFacts } from "./sniff/column-facts";
import { headerWords } from "./sniff/header-words";
import { closesBalance, type PowerColumns, sniffSigns } from "./sniff/signs";
import { sniffSourceWords } from "./sniff/source-words";
import { sniffTimeColumn } from "./sniff/time-column";
import { type SniffedTimeForm, sniffTimeForm } from "./sniff/time-form";
import { sniffUnit } from "./sniff/units";
import { createTimeReader } from "./time-reader";

/** One choice that reading a log takes, and what it stands on. */
export type SniffEvidence = {
  /** "delimiter", "time.column", "channels.batteryA.positive" … */
  readonly choice: string;
  readonly value: string;
  /** 0 to 1; 1 where it was given. */
  readonly confidence: number;
  readonly figures: { readonly [name: string]: number | string };
  readonly from: "guessed" | "given";
};

/** A choice that the log doesn't settle: a person must. */
type SniffQuestion = {
  readonly choice: string;
  readonly why: string;
  /** Values that columns.json could have there; empty where any column or word could be meant. */
  readonly options: readonly string[];
};

/** What the head of a log says about how to read it. */
export type SniffedLog = {
  /** Null as long as `ask` or `refusal` is not empty. */
  readonly map: ColumnMap | null;
  /** The map as far as it is settled, in the form of columns.json: what a person fills in. */
  readonly draft: ColumnMapInput;
  readonly evidence: readonly SniffEvidence[];
  readonly ask: readonly SniffQuestion[];
  /** Why it is no log at all. */
  readonly refusal: Refusal | null;
  /** "time" and the channels that were inferred, for `readLog`. */
  readonly guessed: ReadonlySet<string>;
  /** Header names, and the first rows as they stand. */
  readonly names: readonly string[];
  readonly preview: readonly (readonly string[])[];
};

export type SniffOptions = {
  readonly name: string;
  /** Infer nothing: what is not given is asked for. */
  readonly strict: boolean;
};

/** Most bytes of the head that are looked at. */
export const SNIFF_BYTES = 1024 * 1024;

/** Below this confidence a choice that the results hang on is asked for. */
const ASK_BELOW = 0.7;

const SAMPLED_ROWS = 4000;
const PREVIEW_ROWS = 8;

/**
 * Infers from the first bytes of a log how to read it: time column and form, channels, units, signs, words.
 * What `given` states is taken as it stands, the rest is inferred, or nothing with `strict`. Every choice
 * comes with evidence. Nothing that changes results is taken on weak evidence: it is asked for, and then
 * there is no map.
 */
export function sniffLog(head: Uint8Array, given: ColumnMapInput | null, options: SniffOptions): SniffedLog {
  const input: ColumnMapInput = given ?? { version: 1 };
  const bytes = head.subarray(0, SNIFF_BYTES);
  const read = readHead(options.name, bytes, head.length < SNIFF_BYTES, knownTimeNames(input));
  if (!read.ok) return refusedLog(read.refusal);
  const logHead = read.head;
  const { names } = logHead.header;
  const isHeader = (cells: readonly string[]) => names.every((name, i) => cells[i].trim() === name);
  const rows = sampled(logHead.rows.filter((r) => r.length >= names.length && !isHeader(r)));
  const state: State = {
    name: options.name,
    head: logHead,
    names: logHead.header.names,
    rows,
    facts: logHead.header.names.map((_, i) =>
      columnFacts(rows, i, logHead.dialect.decimalMark, input.missing ?? DEFAULT_MISSING),
    ),
    given: input,
    draft: { version: 1, time: { ...input.time }, channels: { ...input.channels } },
    evidence: [],
    ask: [],
    guessed: new Set(),
    taken: new Set(),
  };
  if (input.missing !== undefined) state.draft.missing = input.missing;
  tellDialect(state);
  const refusal = takeGiven(state);
  if (refusal !== null) return refusedLog(refusal);
  if (options.strict) {
    askForMissing(state);
  } else {
    inferTime(state);
    inferChannels(state);
    checkLocalTime(state);
  }
  if (state.ask.length > 0) askForStamps(state);
  const map = state.ask.length > 0 ? null : columnMap(state.draft);
  return {
    map,
    draft: state.draft,
    evidence: state.evidence,
    ask: state.ask,
    refusal: null,
    guessed: state.guessed,
    names: state.names,
    preview: logHead.rows.slice(0, PREVIEW_ROWS),
  };
}

type State = {
  readonly name: string;
  readonly head: LogHead;
  readonly names: readonly string[];
  readonly rows: readonly (readonly string[])[];
  readonly facts: readonly ColumnFacts[];
  readonly given: ColumnMapInput;
  readonly draft: ColumnMapInput & {
    time: NonNullable<ColumnMapInput["time"]>;
    channels: NonNullable<ColumnMapInput["channels"]>;
  };
  readonly evidence: SniffEvidence[];
  readonly ask: SniffQuestion[];
  readonly guessed: Set<string>;
  /** Columns that are spoken for. */
  readonly taken: Set<number>;
};

function refusedLog(refusal: Refusal): SniffedLog {
  return {
    map: null,
    draft: { version: 1 },
    evidence: [],
    ask: [],
    refusal,
    guessed: new Set(),
    names: [],
    preview: [],
  };
}

function knownTimeNames(given: ColumnMapInput): string[] {
  const column = given.time?.column ?? [];
  return (Array.isArray(column) ? column : [column]).filter((c) => typeof c === "string");
}

function sampled(rows: readonly (readonly string[])[]): (readonly string[])[] {
  if (rows.length <= SAMPLED_ROWS) return [...rows];
  return Array.from({ length: SAMPLED_ROWS }, (_, i) => rows[Math.floor((i * rows.length) / SAMPLED_ROWS)]);
}

function tellDialect(state: State): void {
  const { encoding, encodingMarked, dialect, header, headerLine } = state.head;
  tell(state, "encoding", encoding, encodingMarked ? 1 : 0.95, {});
  const shown = { ",": "comma", ";": "semicolon", "\t": "tab", "|": "bar" }[dialect.delimiter];
  tell(state, "delimiter", shown, dialect.delimiterConfidence, dialect.figures);
  tell(state, "decimal mark", dialect.decimalMark === "," ? "comma" : "point", dialect.decimalConfidence, {});
  tell(state, "header", headerLine === 0 ? "none" : `line ${headerLine}`, header.confidence, {
    columns: header.names.length,
  });
}

function tell(
  state: State,
  choice: string,
  value: string,
  confidence: number,
  figures: SniffEvidence["figures"],
  from: SniffEvidence["from"] = "guessed",
): void {
  state.evidence.push({ choice, value, confidence: Math.round(confidence * 100) / 100, figures, from });
}

/** Marks the columns of the given map as spoken for; refuses names that the log doesn't have. */
function takeGiven(state: State): Refusal | null {
  const { given, names, head, name } = state;
  const whole = columnMap({ ...given, time: { column: 1, ...given.time } });
  if (whole === null) return null;
  const found = logColumns(name, whole, names, head.headerLine);
  if (!found.ok) return found.refusal;
  const { time, channels, source, fault } = found.columns;
  if (given.time?.column !== undefined) {
    for (const index of time) state.taken.add(index);
    tell(state, "time.column", names.filter((_, i) => time.includes(i)).join(" + "), 1, {}, "given");
  }
  for (const c of channels) {
    state.taken.add(c.index);
    if (c.minusIndex >= 0) state.taken.add(c.minusIndex);
    tell(state, `channels.${c.channel}`, names[c.index], 1, {}, "given");
  }
  for (const [choice, index] of [
    ["channels.source", source],
    ["channels.faultCode", fault],
  ] as const) {
    if (index < 0) continue;
    state.taken.add(index);
    tell(state, choice, names[index], 1, {}, "given");
  }
  return null;
}

function askForMissing(state: State): void {
  const { draft, given } = state;
  if (given.time?.column === undefined) {
    question(
      state,
      "time.column",
      "No time column is given, and nothing is inferred with --strict.",
      state.names,
    );
  }
  const loads = Object.keys(draft.channels).filter((c) => c.startsWith("load"));
  if (loads.length === 0) {
    question(
      state,
      "channels.loadL1W",
      "No load channel is given, and nothing is inferred with --strict.",
      state.names,
    );
  }
  for (const channel of NUMERIC_CHANNELS) {
    const column = draft.channels[channel];
    if (column === undefined || column.unit !== undefined) continue;
    const stated = unitInHeader(column.column, channel);
    // The header contradicts what the channel's name would make of it.
    if (stated !== null && stated !== unitsOf(channel)[0]) {
      question(
        state,
        `channels.${channel}.unit`,
        `The header says ${stated}; no unit is given.`,
        unitsOf(channel),
      );
    }
  }
}

function unitInHeader(column: NumericColumn["column"], channel: NumericChannel): Unit | null {
  const ref = typeof column === "object" ? column.plus : column;
  const { unit } = headerWords(String(ref));
  return unit !== null && unitsOf(channel).includes(unit) ? unit : null;
}

function question(state: State, choice: string, why: string, options: readonly string[]): void {
  state.ask.push({ choice, why, options });
}

/** A column's reference for columns.json: its name, or its number where the log has no header. */
function refOf(state: State, index: number): ColumnRef {
  if (state.head.headerLine === 0) return index + 1;
  const name = state.names[index];
  return state.names.indexOf(name) === state.names.lastIndexOf(name) && name !== "" ? name : index + 1;
}

function inferTime(state: State): void {
  const { draft, given, names, rows, facts } = state;
  const found = sniffTimeColumn(names, rows, facts);
  let columns = found.columns;
  let form: SniffedTimeForm = found.form;
  for (const index of found.all) if (!state.taken.has(index)) state.taken.add(index);
  if (given.time?.column === undefined) {
    if (columns.length === 0) {
      question(state, "time.column", "No column holds times in a form that is known.", names);
      return;
    }
    state.guessed.add("time");
    const refs = columns.map((c) => refOf(state, c));
    draft.time.column = refs.length === 1 ? refs[0] : refs;
    tell(state, "time.column", columns.map((c) => names[c]).join(" + "), found.confidence, {
      share: round(form.share),
    });
    if (found.confidence < ASK_BELOW) {
      question(
        state,
        "time.column",
        `"${names[columns[0]]}" holds dates, and no column holds times of day.`,
        names,
      );
    }
  } else {
    const resolved = givenTimeColumns(state);
    columns = resolved;
    form = sniffTimeForm(rows.map((cells) => columns.map((c) => cells[c] ?? "").join(" ")));
  }
  if (given.time?.format === undefined) {
    if (form.format === null) {
      const why =
        form.order === "open"
          ? `Times such as "${form.example}" don't show whether the day or the month comes first.`
          : `Times such as "${form.example}" have no form that is known.`;
      question(state, "time.format", why, form.candidates);
    } else {
      draft.time.format = form.format;
      tell(state, "time.format", form.format, form.confidence, {
        example: form.example,
        share: round(form.share),
      });
    }
  }
  inferZone(state, columns, form);
  if (given.time?.stamps === undefined) {
    // Nothing in a log shows it; most logs stamp the moment of the sample.
    draft.time.stamps = "start";
    tell(state, "time.stamps", "start", 0.5, {});
  }
}

function givenTimeColumns(state: State): readonly number[] {
  const whole = columnMap(state.given) as ColumnMap;
  const found = logColumns(state.name, whole, state.names, state.head.headerLine) as { columns: LogColumns };
  return found.columns.time;
}

function inferZone(state: State, columns: readonly number[], form: SniffedTimeForm): void {
  const { draft, given, names, rows } = state;
  if (given.time?.zone !== undefined) return;
  const texts = rows.map((cells) => (cells[columns[columns.length - 1]] ?? "").trim());
  const offsets =
    texts.filter((t) => /(Z|[+-]\d\d:?\d\d)(\[.*\])?$/i.test(t)).length / Math.max(1, texts.length);
  if (form.format?.startsWith("epoch") || offsets > 0.99) {
    draft.time.zone = "site";
    tell(state, "time.zone", "stated in the times", 1, { share: round(offsets) });
    return;
  }
  const header = columns.map((c) => names[c]).join(" ");
  const utc = /\b(utc|gmt|zulu)\b/i.test(header.replace(/_/g, " "));
  const offset = /(?:utc|gmt)\s*([+-]\d{1,2})(?::?(\d\d))?/i.exec(header);
  if (offset !== null) {
    const hours = offset[1].slice(1).padStart(2, "0");
    draft.time.zone = `${offset[1][0]}${hours}:${offset[2] ?? "00"}`;
    tell(state, "time.zone", draft.time.zone, 0.9, { header });
  } else {
    draft.time.zone = utc ? "UTC" : "site";
    tell(state, "time.zone", draft.time.zone, utc ? 0.95 : 0.7, { header });
  }
}

function inferChannels(state: State): void {
  const { draft, names, facts, taken } = state;
  const { guesses, unknownUnits } = sniffChannels(names, facts, taken);
  for (const { index, unit } of unknownUnits) {
    const guess = guesses.find((g) => g.index === index);
    tell(state, `column ${names[index]}`, `unit ${unit} not known`, 0, {});
    if (guess !== undefined) {
      question(
        state,
        `channels.${guess.channel}.unit`,
        `The header gives "${names[index]}" the unit ${unit}, which is not known.`,
        [],
      );
    }
  }
  const chosen = choosePerChannel(state, guesses);
  settleGivenUnits(state);
  settleUnits(state, chosen);
  const powers = powersOf(state);
  const signs = powers === null ? null : sniffSigns(powers);
  settleSigns(state, chosen, signs);
  checkGivenSigns(state, signs);
  settleSource(state, powers, chosen);
  settleFault(state, chosen);
  const loads = NUMERIC_CHANNELS.filter(
    (c) => /^load(L[12])?(W|A|Va)$/.test(c) && draft.channels[c] !== undefined,
  );
  if (loads.length === 0) {
    question(
      state,
      "channels.loadL1W",
      "No column is clearly a load; name at least one load channel.",
      names,
    );
  }
  askWeakNames(state, chosen, powers);
  const unused = names.filter((_, i) => !taken.has(i) && !chosen.some((c) => c.indices.includes(i)));
  if (unused.length > 0)
    tell(state, "columns not used", unused.join(", ").slice(0, 300), 0.5, { columns: unused.length });
}

type Chosen = {
  readonly channel: ChannelGuess["channel"];
  readonly indices: readonly number[];
  readonly guess: ChannelGuess;
  /** A one-way pair, or a lone half of one: the header says the direction. */
  readonly direction: "pair" | "plus" | "minus" | null;
};

/** One column, or one-way pair, per channel; two columns that seem the same are asked about. */
function choosePerChannel(state: State, guesses: readonly ChannelGuess[]): Chosen[] {
  const chosen: Chosen[] = [];
  for (const channel of new Set(guesses.map((g) => g.channel))) {
    if (state.draft.channels[channel] !== undefined) continue;
    const all = guesses.filter((g) => g.channel === channel).sort((a, b) => b.confidence - a.confidence);
    const whole = all.filter((g) => g.part === null);
    const plus = all.filter((g) => g.part === "plus");
    const minus = all.filter((g) => g.part === "minus");
    if (whole.length === 1 || (whole.length > 1 && whole[0].confidence - whole[1].confidence >= 0.2)) {
      chosen.push({ channel, indices: [whole[0].index], guess: whole[0], direction: null });
    } else if (whole.length > 1 || plus.length > 1 || minus.length > 1) {
      const names = (whole.length > 1 ? whole : [...plus, ...minus]).map((g) => state.names[g.index]);
      question(
        state,
        `channels.${channel}`,
        `Several columns could be ${channel}: ${names.map((n) => `"${n}"`).join(", ")}.`,
        names,
      );
    } else if (plus.length === 1 && minus.length === 1) {
      chosen.push({ channel, indices: [plus[0].index, minus[0].index], guess: plus[0], direction: "pair" });
    } else if (plus.length === 1) {
      chosen.push({ channel, indices: [plus[0].index], guess: plus[0], direction: "plus" });
    } else {
      chosen.push({ channel, indices: [minus[0].index], guess: minus[0], direction: "minus" });
    }
  }
  // With the legs measured, the total is one figure more; without them it is all there is.
  return chosen;
}

function settleUnits(state: State, chosen: readonly Chosen[]): void {
  const { draft, names, facts } = state;
  const others: Unit[] = [];
  const numeric = chosen.filter((c) => c.channel !== "source" && c.channel !== "faultCode");
  for (const c of numeric) if (c.guess.unit !== null) others.push(c.guess.unit);
  // Columns whose own figures settle the unit come first: they speak for those that are zero in the head.
  const size = (c: Chosen) =>
    Math.max(Math.abs(facts[c.indices[0]].max), Math.abs(facts[c.indices[0]].min)) || 0;
  for (const c of [...numeric].sort((a, b) => size(b) - size(a))) {
    const channel = c.channel as NumericChannel;
    const refs = c.indices.map((i) => refOf(state, i));
    const column = c.direction === "pair" ? { plus: refs[0], minus: refs[1] } : refs[0];
    const sniffed = c.guess.unit === null ? sniffUnit(channel, facts[c.indices[0]], others) : null;
    const unit = c.guess.unit ?? sniffed?.unit ?? null;
    const confidence = c.guess.unit !== null ? 0.95 : (sniffed?.confidence ?? 0);
    draft.channels[channel] = unit === null ? { column } : { column, unit };
    state.guessed.add(channel);
    tell(state, `channels.${channel}`, c.indices.map((i) => names[i]).join(" − "), c.guess.confidence, {
      min: facts[c.indices[0]].min,
      max: facts[c.indices[0]].max,
    });
    if (unit === null || confidence < ASK_BELOW) {
      question(
        state,
        `channels.${channel}.unit`,
        `"${names[c.indices[0]]}" says no unit, and its figures don't show it.`,
        unitsOf(channel),
      );
    } else {
      if (unitsOf(channel).length > 1)
        tell(state, `channels.${channel}.unit`, unit, confidence, { header: names[c.indices[0]] });
      if (sniffed !== null) others.push(unit);
    }
  }
}

/** Units of given channels that the given map leaves out: from the header, else from the figures. */
function settleGivenUnits(state: State): void {
  const { draft, given } = state;
  for (const channel of NUMERIC_CHANNELS) {
    const column = given.channels?.[channel];
    if (column === undefined || column.unit !== undefined) continue;
    const ref = typeof column.column === "object" ? column.column.plus : column.column;
    const facts = factsOf(state, ref);
    const header = typeof ref === "number" ? (state.names[ref - 1] ?? "") : ref;
    const stated = unitInHeader(header, channel);
    const sniffed = facts === undefined ? null : sniffUnit(channel, facts, []);
    const unit = stated ?? (sniffed !== null && sniffed.confidence >= ASK_BELOW ? sniffed.unit : null);
    if (unit === null) {
      question(
        state,
        `channels.${channel}.unit`,
        `"${header}" says no unit, and its figures don't show it.`,
        unitsOf(channel),
      );
      continue;
    }
    (draft.channels as Record<string, unknown>)[channel] = { ...column, unit };
    tell(state, `channels.${channel}.unit`, unit, stated !== null ? 0.95 : (sniffed?.confidence ?? 0), {
      header,
    });
  }
}

/** A given column without a direction counts up the canonical way, unless the rows clearly show the other. */
function checkGivenSigns(state: State, signs: ReturnType<typeof sniffSigns> | null): void {
  if (signs === null) return;
  for (const channel of NUMERIC_CHANNELS) {
    const column = state.given.channels?.[channel];
    const directions = signOf(channel);
    if (column === undefined || directions === null || column.positive !== undefined) continue;
    if ((directions[0] === "discharge" ? signs.battery : signs.grid) !== -1) continue;
    question(
      state,
      `channels.${channel}.positive`,
      `No direction is given, which means ${directions[0]}, and the balance of powers says ${directions[1]}.`,
      directions,
    );
  }
}

/** Powers in W as far as the draft has them; null without any load. */
function powersOf(state: State): PowerColumns | null {
  const value = (channel: NumericChannel): Float64Array | null => {
    const column = state.draft.channels[channel];
    if (column === undefined || column.unit === undefined) {
      if (column === undefined || state.guessed.has(channel)) return null;
    }
    return signedValues(state, channel, column as NumericColumn);
  };
  const legs = (["L1", "L2"] as const).map(
    (leg) =>
      value(`load${leg}W`) ?? product(value(`load${leg}A`), value(`load${leg}V`)) ?? value(`load${leg}Va`),
  );
  const load = sum(legs) ?? value("loadW");
  if (load === null) return null;
  const gridLegs = (["L1", "L2"] as const).map((leg) => value(`grid${leg}W`));
  return {
    load,
    solar:
      value("solarW") ??
      sumOfPresent([value("solar1W"), value("solar2W"), value("solar3W"), value("solar4W")]),
    battery: value("batteryW") ?? product(value("batteryA"), value("batteryV")),
    grid: value("gridW") ?? sum(gridLegs),
  };
}

function signedValues(state: State, channel: NumericChannel, column: NumericColumn): Float64Array | null {
  const pair = typeof column.column === "object" ? column.column : { plus: column.column, minus: null };
  const scale =
    column.unit === "kW" || column.unit === "kVA"
      ? 1000
      : column.unit === "mA" || column.unit === "mV"
        ? 0.001
        : 1;
  const sign = column.positive !== undefined && column.positive === signOf(channel)?.[1] ? -1 : 1;
  const plus = factsOf(state, pair.plus)?.values;
  if (plus === undefined) return null;
  const minus = pair.minus === null ? undefined : factsOf(state, pair.minus)?.values;
  return plus.map((v, i) => sign * scale * (v - (minus === undefined ? 0 : minus[i])));
}

function factsOf(state: State, ref: ColumnRef): ColumnFacts | undefined {
  if (typeof ref === "number") return state.facts[ref - 1];
  const wanted = ref.trim().toLowerCase();
  return state.facts[state.names.findIndex((n) => n.toLowerCase() === wanted)];
}

function product(a: Float64Array | null, b: Float64Array | null): Float64Array | null {
  return a === null || b === null ? null : a.map((v, i) => v * b[i]);
}

function sum(parts: readonly (Float64Array | null)[]): Float64Array | null {
  const [a, b] = parts;
  return a === null || b === null ? null : a.map((v, i) => v + b[i]);
}

function sumOfPresent(parts: readonly (Float64Array | null)[]): Float64Array | null {
  const present = parts.filter((p) => p !== null);
  if (present.length === 0) return null;
  return present[0].map((_, i) => present.reduce((total, p) => total + p[i], 0));
}

function settleSigns(
  state: State,
  chosen: readonly Chosen[],
  signs: ReturnType<typeof sniffSigns> | null,
): void {
  const { draft, names } = state;
  for (const c of chosen) {
    if (c.channel === "source" || c.channel === "faultCode") continue;
    const directions = signOf(c.channel);
    const column = draft.channels[c.channel] as NumericColumn | undefined;
    if (directions === null || column === undefined) continue;
    const choice = `channels.${c.channel}.positive`;
    const header = names[c.indices[0]];
    const explicit =
      c.direction === "minus"
        ? -1
        : c.direction !== null || c.guess.confidence === 1
          ? 1
          : signInHeader(header);
    const shown = signs === null ? null : directions[0] === "discharge" ? signs.battery : signs.grid;
    const sign = explicit ?? shown;
    // A pair is canonical by its names; the balance speaks of single signed columns only.
    if (
      sign === null ||
      (c.direction !== "pair" && explicit !== null && shown !== null && shown !== explicit)
    ) {
      const why =
        sign === null
          ? `The log's first rows don't show which way "${header}" counts up.`
          : `"${header}" says one direction and the balance of powers says the other.`;
      question(state, choice, why, directions);
      continue;
    }
    const positive = sign === 1 ? directions[0] : directions[1];
    (draft.channels as Record<string, unknown>)[c.channel] = { ...column, positive };
    tell(state, choice, positive, explicit !== null ? 0.95 : 0.9, signs?.figures ?? {});
  }
}

/** "Battery A (+ = charge)", "grid W, export positive": the direction that a header states; null for none. */
function signInHeader(header: string): 1 | -1 | null {
  const match =
    /(?:\+|positive|pos\.?)\W{0,4}(discharg|charg|import|export)/i.exec(header) ??
    /(discharg|charg|import|export)\w*\W{0,4}(?:\+|positive|pos\b)/i.exec(header);
  if (match === null) return null;
  return /^(discharg|import)/i.test(match[1]) ? 1 : -1;
}

function settleSource(state: State, powers: PowerColumns | null, chosen: readonly Chosen[]): void {
  const { draft, given, names, rows } = state;
  const c = chosen.find((x) => x.channel === "source");
  const index = c?.indices[0] ?? -1;
  const column = given.channels?.source;
  if (c === undefined && (column === undefined || column.words !== undefined)) return;
  const at =
    c === undefined
      ? names.findIndex((n) => n.toLowerCase() === String(column?.column).trim().toLowerCase())
      : index;
  if (at < 0) return;
  const again = powers === null ? null : sniffSigns(powersOf(state) ?? powers);
  const sniffed = sniffSourceWords(
    rows.map((cells) => cells[at] ?? ""),
    powersOf(state) ?? powers,
    again?.battery ?? null,
    again?.grid ?? null,
  );
  const own: Record<string, Source> = { ...sniffed.words };
  draft.channels.source = { column: column?.column ?? refOf(state, at), words: own };
  state.guessed.add("source");
  if (c !== undefined) tell(state, "channels.source", names[at], c.guess.confidence, {});
  const value = Object.entries(own)
    .map(([word, source]) => `${word} = ${source}`)
    .join(", ");
  tell(state, "channels.source.words", value, sniffed.confidence, sniffed.figures);
  if (sniffed.open.length > 0) {
    question(
      state,
      "channels.source.words",
      `It isn't clear which source ${sniffed.open
        .slice(0, 12)
        .map((w) => `"${w}"`)
        .join(", ")} in "${names[at]}" stands for.`,
      ["inverter", "utility", "generator", "none", "unknown"],
    );
  }
}

function settleFault(state: State, chosen: readonly Chosen[]): void {
  const { draft, names, facts } = state;
  const c = chosen.find((x) => x.channel === "faultCode");
  if (c === undefined) return;
  const index = c.indices[0];
  draft.channels.faultCode = { column: refOf(state, index) };
  state.guessed.add("faultCode");
  const words = facts[index].words;
  tell(state, "channels.faultCode", names[index], c.guess.confidence, {
    words: words?.length ?? "more than 24",
  });
  const usual = words?.[0];
  const known = new Set<string>(DEFAULT_NO_FAULT.map((w) => w.toLowerCase()));
  if (usual !== undefined && usual[1] > 0.5 * facts[index].present && !known.has(usual[0].toLowerCase())) {
    question(
      state,
      "channels.faultCode.noFault",
      `Most rows have "${usual[0]}" in "${names[index]}": is that no fault?`,
      [usual[0]],
    );
  }
}

/** Channels by a name that doesn't say them: asked about, with what the balance of powers says for it. */
function askWeakNames(state: State, chosen: readonly Chosen[], powers: PowerColumns | null): void {
  for (const c of chosen) {
    if (c.guess.confidence >= ASK_BELOW) continue;
    const share = powers === null ? Number.NaN : closedShare(powersOf(state) ?? powers);
    const header = state.names[c.indices[0]];
    const balance = Number.isNaN(share)
      ? ""
      : ` With it the powers of ${Math.round(share * 100)} % of the rows balance.`;
    question(
      state,
      `channels.${c.channel}`,
      `"${header}" doesn't say what it is; it could be ${c.channel}.${balance}`,
      [header],
    );
  }
}

function closedShare(powers: PowerColumns): number {
  let rows = 0;
  let closed = 0;
  for (let i = 0; i < powers.load.length; i++) {
    const sun = powers.solar === null ? 0 : Math.max(0, powers.solar[i]);
    const pack = powers.battery === null ? 0 : powers.battery[i];
    const mains = powers.grid === null ? 0 : powers.grid[i];
    if (Number.isNaN(powers.load[i] + sun + pack + mains)) continue;
    rows++;
    if (closesBalance(powers.load[i], sun, pack, mains)) closed++;
  }
  return rows === 0 ? Number.NaN : closed / rows;
}

/**
 * Wall times are taken to be the site's. Where the sun's energy, over a day or more, is centred far from
 * noon, they are not: a log in UTC, usually.
 */
function checkLocalTime(state: State): void {
  const { draft, given, rows } = state;
  if (given.time?.zone !== undefined || draft.time.zone !== "site" || draft.time.format === undefined) return;
  if (draft.time.format.startsWith("epoch") || draft.time.column === undefined) return;
  const refs = Array.isArray(draft.time.column) ? draft.time.column : [draft.time.column];
  const indices = refs.map((r) => (typeof r === "number" ? r - 1 : state.names.indexOf(r.trim())));
  const texts = rows.map((cells) => indices.map((i) => cells[i] ?? "").join(" "));
  if (/(Z|[+-]\d\d:?\d\d)(\[.*\])?$/i.test(texts[0]?.trim() ?? "")) return;
  const sun = powersOf(state)?.solar ?? null;
  if (sun === null) return;
  const reader = createTimeReader({ format: draft.time.format, zone: "UTC" });
  const walls = texts.map((t) => reader.read(t));
  const night = walls.filter((w, i) => sun[i] > NIGHT_SUN_W && isDeepNight(w)).length;
  if (night >= 3) {
    question(
      state,
      "time.zone",
      `By the log's times the sun shines at night (${night} rows between 22 and 3 h): they are not the site's wall time.`,
      ["UTC", "site"],
    );
    return;
  }
  const first = walls.findIndex((w) => !Number.isNaN(w));
  if (first === -1 || Math.abs(walls[walls.length - 1] - walls[first]) < 20 * HOUR_MS) return;
  let x = 0;
  let y = 0;
  for (let i = 0; i < walls.length; i++) {
    if (!(sun[i] > 0) || Number.isNaN(walls[i])) continue;
    // The mean of an angle, since the sun of a log in UTC may lie round midnight.
    const angle = ((walls[i] % DAY_MS) / DAY_MS) * 2 * Math.PI;
    x += sun[i] * Math.cos(angle);
    y += sun[i] * Math.sin(angle);
  }
  if (x === 0 && y === 0) return;
  const hour = ((Math.atan2(y, x) / (2 * Math.PI)) * 24 + 24) % 24;
  tell(state, "time.zone: the sun's middle", `${hour.toFixed(1)} h`, 0.8, { hour: round(hour) });
  if (hour < 9.5 || hour > 15.5) {
    question(
      state,
      "time.zone",
      `The sun's energy is centred at ${hour.toFixed(1)} h by the log's times, which is not noon: they are not the site's wall time.`,
      ["UTC", "site"],
    );
  }
}

const NIGHT_SUN_W = 100;

function isDeepNight(wallMs: number): boolean {
  const hour = (wallMs % DAY_MS) / HOUR_MS;
  return hour >= 22 || hour < 3;
}

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** What can't be seen in any log goes along where a person is asked anyway. */
function askForStamps(state: State): void {
  if (state.given.time?.stamps !== undefined || state.draft.time.stamps === undefined) return;
  question(
    state,
    "time.stamps",
    "No log shows whether a time stands at the start or at the end of its interval.",
    ["start", "end"],
  );
}

function round(value: number): number {
  return Math.round(value * 1000) / 1000;
}
