import type { Channel } from "../../src/analysis/series";
import type { ColumnMapInput, ColumnRef } from "../../src/site/column-map-schema";

/** Which way a column counts: nothing said, a signed column's positive direction, or one half of a pair. */
export type Way =
  | ""
  | "discharge"
  | "charge"
  | "import"
  | "export"
  | "generation"
  | "consumption"
  | "plus"
  | "minus";

/**
 * What the form says of one column of the log; "?" where a person has yet to say it. The unit of an energy is "kWh" for
 * a counter and "kWh interval" for the energy of each interval.
 */
export type MappedColumn = { as: "" | "?" | "time" | Channel; unit: string; way: Way };

/** Words of a state or fault column as lines of text, "word = meaning". */
export type MapTexts = {
  format: string;
  zone: string;
  stamps: string;
  sourceWords: string;
  noFault: string;
  faultWords: string;
  missing: string;
  /** Day of the first row, of a log that has times of day only. */
  date: string;
  decimalMark: string;
};

type Entry = {
  column?: ColumnRef | { plus: ColumnRef; minus: ColumnRef };
  unit?: string;
  positive?: string;
  energy?: string;
};

/** How columns of a log are named in columns.json: by name where that is one of its own, else by number. */
export function columnRefs(names: readonly string[], hasHeader: boolean): ColumnRef[] {
  return names.map((name, index) =>
    hasHeader && name !== "" && names.indexOf(name) === names.lastIndexOf(name) ? name : index + 1,
  );
}

/** The map as the form shows it: one entry a column of the log, in its order. */
export function mappedColumns(map: ColumnMapInput, refs: readonly ColumnRef[]): MappedColumn[] {
  const columns = refs.map((): MappedColumn => ({ as: "", unit: "", way: "" }));
  const place = (ref: ColumnRef | undefined, mapped: MappedColumn) => {
    const index = refs.findIndex((one, at) => one === ref || at + 1 === ref);
    if (index >= 0) columns[index] = mapped;
  };
  for (const ref of listOf(map.time?.column)) place(ref, { as: "time", unit: "", way: "" });
  for (const [name, given] of Object.entries(map.channels ?? {})) {
    const { column, unit: base = "", positive = "", energy } = given as Entry;
    const unit = energy === "interval" ? `${base} interval` : base;
    const as = name as Channel;
    if (typeof column === "object") {
      place(column.plus, { as, unit, way: "plus" });
      place(column.minus, { as, unit, way: "minus" });
    } else place(column, { as, unit, way: positive as Way });
  }
  return columns;
}

/** Everything of the map that is no column, as the form's texts. */
export function mapTexts(map: ColumnMapInput): MapTexts {
  const lines = (words: Readonly<Record<string, string>> | undefined) =>
    Object.entries(words ?? {})
      .map(([word, meaning]) => `${word} = ${meaning}`)
      .join("\n");
  return {
    format: map.time?.format ?? "",
    zone: map.time?.zone ?? "",
    stamps: map.time?.stamps ?? "",
    sourceWords: lines(map.channels?.source?.words),
    noFault: (map.channels?.faultCode?.noFault ?? []).join(", "),
    faultWords: lines(map.channels?.faultCode?.words),
    missing: (map.missing ?? []).join(", "),
    date: map.time?.date ?? "",
    decimalMark: map.text?.decimalMark ?? "",
  };
}

/**
 * The form's first state with nothing chosen where the log doesn't settle it: a preset there would be taken for
 * an answer.
 */
export function withOpenChoices(
  columns: readonly MappedColumn[],
  texts: MapTexts,
  asked: readonly string[],
): { columns: MappedColumn[]; texts: MapTexts } {
  const isAsked = new Set(asked);
  return {
    columns: columns.map(({ as, unit, way }) => ({
      as: as !== "" && as !== "time" && isAsked.has(`channels.${as}`) ? "?" : as,
      unit: isAsked.has(`channels.${as}.unit`) ? "" : unit,
      way: isAsked.has(`channels.${as}.positive`) && way !== "plus" && way !== "minus" ? "" : way,
    })),
    texts: {
      ...texts,
      format: isAsked.has("time.format") ? "" : texts.format,
      zone: isAsked.has("time.zone") ? "" : texts.zone,
      stamps: isAsked.has("time.stamps") ? "" : texts.stamps,
      date: isAsked.has("time.date") ? "" : texts.date,
      decimalMark: isAsked.has("text.decimalMark") ? "" : texts.decimalMark,
    },
  };
}

/**
 * Questions that a given map leaves open: the times' and its own channels', where it says nothing at the place
 * that was asked about, or of words no more than could be inferred. A channel that the map doesn't have asks
 * nothing.
 */
export function questionsLeft<Q extends { choice: string }>(
  ask: readonly Q[],
  given: ColumnMapInput,
  draft: ColumnMapInput,
): Q[] {
  return ask.filter(({ choice }) => {
    const [part, name, key] = choice.split(".");
    if (part === "time") return given.time?.[name as keyof typeof given.time] === undefined;
    if (part === "text") return given.text?.[name as keyof typeof given.text] === undefined;
    const channel = entryOf(given, name);
    if (channel === undefined || key === undefined) return false;
    if (key === "positive" && typeof channel.column === "object") return false;
    const said = channel[key as keyof typeof channel];
    return said === undefined || (key === "words" && sameJson(said, entryOf(draft, name)?.words));
  });
}

function entryOf(map: ColumnMapInput, name: string): (Entry & { words?: object }) | undefined {
  return (map.channels as Record<string, Entry> | undefined)?.[name];
}

function sameJson(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

/**
 * The columns.json that a filled-in form says, to be checked by its parser; or what of the form contradicts
 * itself, as sentences.
 */
export function columnsJson(
  columns: readonly MappedColumn[],
  texts: MapTexts,
  refs: readonly ColumnRef[],
): { ok: true; json: unknown } | { ok: false; problems: string[] } {
  const problems: string[] = [];
  const time = refs.filter((_, at) => columns[at].as === "time");
  const channels: Record<string, unknown> = {};
  const used = new Map<Channel, number[]>();
  columns.forEach(({ as }, at) => {
    if (as === "?") problems.push(`Choose what the column ${refs[at]} is taken for, or "nothing".`);
    else if (as !== "" && as !== "time") used.set(as, [...(used.get(as) ?? []), at]);
  });
  for (const [channel, at] of used) {
    const entry = channelEntry(channel, at, columns, refs, problems);
    if (entry !== null) channels[channel] = { ...entry, ...wordsOf(channel, texts) };
  }
  if (problems.length > 0) return { ok: false, problems };
  const missing = commaList(texts.missing);
  return {
    ok: true,
    json: {
      version: 1,
      time: {
        ...(time.length === 0 ? {} : { column: time.length === 1 ? time[0] : time }),
        ...given("format", texts.format),
        ...given("zone", texts.zone),
        ...given("stamps", texts.stamps),
        ...given("date", texts.date),
      },
      ...(texts.decimalMark === "" ? {} : { text: { decimalMark: texts.decimalMark } }),
      channels,
      ...(missing.length === 0 ? {} : { missing: ["", ...missing] }),
    },
  };
}

/** Reads the form's fields of a log with so many columns; the names are those that the form gives them. */
export function readMapForm(form: FormData, count: number): { columns: MappedColumn[]; texts: MapTexts } {
  const text = (name: string) => String(form.get(name) ?? "").slice(0, MAX_TEXT);
  return {
    columns: Array.from({ length: count }, (_, at) => ({
      as: text(`as-${at}`) as MappedColumn["as"],
      unit: text(`unit-${at}`),
      way: text(`way-${at}`) as Way,
    })),
    texts: {
      format: text("format"),
      zone: text("zone"),
      stamps: text("stamps"),
      sourceWords: text("sourceWords"),
      noFault: text("noFault"),
      faultWords: text("faultWords"),
      missing: text("missing"),
      date: text("date"),
      decimalMark: text("decimalMark"),
    },
  };
}

/** Characters of one field: a thousand words with their meanings. */
const MAX_TEXT = 250_000;

function channelEntry(
  channel: Channel,
  at: readonly number[],
  columns: readonly MappedColumn[],
  refs: readonly ColumnRef[],
  problems: string[],
): Entry | null {
  const unit = unitOf(columns[at[0]].unit);
  const halves = at.filter((one) => columns[one].way === "plus" || columns[one].way === "minus");
  if (halves.length > 0) {
    const plus = at.find((one) => columns[one].way === "plus");
    const minus = at.find((one) => columns[one].way === "minus");
    if (at.length === 2 && plus !== undefined && minus !== undefined) {
      return { column: { plus: refs[plus], minus: refs[minus] }, ...unit };
    }
    problems.push(
      `${channel} has one-way columns: it needs exactly two, one for each direction, and has ${at.length}. Choose the other half, or say for one column which way it counts up.`,
    );
    return null;
  }
  if (at.length > 1) {
    problems.push(
      `${channel} is chosen for ${at.length} columns (${at.map((one) => refs[one]).join(", ")}). Leave it at one of them.`,
    );
    return null;
  }
  return { column: refs[at[0]], ...unit, ...given("positive", columns[at[0]].way) };
}

function unitOf(text: string): { unit?: string; energy?: string } {
  const [base, interval] = text.split(" ");
  return { ...given("unit", base), ...(interval === "interval" ? { energy: interval } : {}) };
}

function wordsOf(channel: Channel, texts: MapTexts): object {
  if (channel === "source") {
    const words = wordLines(texts.sourceWords);
    return Object.keys(words).length === 0 ? {} : { words };
  }
  if (channel === "faultCode") {
    const noFault = commaList(texts.noFault);
    const words = wordLines(texts.faultWords);
    return {
      ...(noFault.length === 0 ? {} : { noFault: ["", ...noFault] }),
      ...(Object.keys(words).length === 0 ? {} : { words }),
    };
  }
  return {};
}

/** The last equals sign divides: a word of the log may hold one, a meaning never does. */
function wordLines(text: string): Record<string, string> {
  const words: Record<string, string> = {};
  for (const line of text.split(/\r?\n/)) {
    const at = line.lastIndexOf("=");
    if (line.trim() !== "")
      words[line.slice(0, at < 0 ? undefined : at).trim()] = at < 0 ? "" : line.slice(at + 1).trim();
  }
  return words;
}

function commaList(text: string): string[] {
  return text
    .split(",")
    .map((word) => word.trim())
    .filter((word) => word !== "");
}

function given<K extends string>(key: K, text: string): { [key in K]?: string } {
  return text.trim() === "" ? {} : ({ [key]: text.trim() } as { [key in K]: string });
}

function listOf(column: ColumnRef | readonly ColumnRef[] | undefined): readonly ColumnRef[] {
  return column === undefined ? [] : typeof column === "object" ? column : [column];
}
