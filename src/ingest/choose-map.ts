import type { ColumnMap, NumericColumn } from "../site/column-map";
import type { ColumnMapInput, ColumnRef } from "../site/column-map-schema";
import { columnAt, type FileShape, logShape, type ShapedHead, sameName, sameShape } from "./log-shape";
import { shapedHead } from "./shaped-head";
import { SNIFF_BYTES, type SniffedLog, type SniffOptions, sniffLog } from "./sniff-log";

/** A map by which a log was imported before. */
export type KeptMap = {
  readonly loggerName: string;
  readonly shape: FileShape;
  readonly map: ColumnMap;
  /** Choices of it that nobody gave: "time", channels. */
  readonly guessed: readonly string[];
  /** The log that it came with, and when that was imported. */
  readonly logName: string;
  readonly createdAtMs: number;
};

type Known = { readonly logName: string; readonly createdAtMs: number; readonly loggerName: string };

/** What of a log's form is other than that of the log whose map it is held against. */
export type FormChange = "delimiter" | "decimal mark" | "time form";

/** A mapped column that the log doesn't have any more: what the map takes from it, and its name or number. */
export type GoneColumn = { readonly choice: string; readonly column: string };

/** What the kept maps say of a log. */
export type Recognition =
  /** The same shape: the kept map is used as it is. */
  | ({ readonly kind: "same" } & Known)
  /** The same names in another order, or cut otherwise: the kept map is used by names. */
  | ({
      readonly kind: "same-names";
      readonly moved: readonly string[];
      readonly form: readonly FormChange[];
    } & Known)
  /** What is still there by its name is taken as the kept map has it, the rest is inferred. */
  | ({
      readonly kind: "changed";
      readonly went: readonly string[];
      readonly came: readonly string[];
      readonly moved: readonly string[];
      readonly form: readonly FormChange[];
      readonly gone: readonly GoneColumn[];
    } & Known)
  /** The logger has maps, and nothing that the latest one takes is in this log: all is inferred. */
  | ({ readonly kind: "other" } & Known);

/** How a log is read, and what of that comes from a kept map: null where there is none. */
export type ChosenMap = { readonly sniffed: SniffedLog; readonly recognition: Recognition | null };

export type ChooseOptions = {
  readonly name: string;
  /** The logger that the log is of. */
  readonly loggerName: string;
  readonly strict: boolean;
  /** True: a mapped column that is gone is not asked about. */
  readonly acceptShape: boolean;
} & Pick<SniffOptions, "receivedAtMs" | "further" | "sizeBytes">;

/**
 * Settles how a log is read where no columns.json was given: by the kept map of its shape, of its logger before
 * those of other loggers of the site; where the logger's map is of a changed shape, by the parts of it that still
 * stand, with a question for each mapped column that has gone; otherwise by inference alone.
 *
 * @param head the log's first bytes, SNIFF_BYTES of them or all
 * @param kept kept maps of the site, the latest used first
 */
export function chooseMap(head: Uint8Array, kept: readonly KeptMap[], options: ChooseOptions): ChosenMap {
  const infer = () => sniffLog(head, null, options);
  if (kept.length === 0) return { sniffed: infer(), recognition: null };
  const bytes = head.subarray(0, SNIFF_BYTES);
  const times = kept.map(({ map }) => map.time.column);
  const shaped = shapedHead(options.name, bytes, head.length < SNIFF_BYTES, times);
  if (shaped === null) return { sniffed: infer(), recognition: null };

  const own = kept.filter(({ loggerName }) => loggerName === options.loggerName);
  const ordered = [...own, ...kept.filter((one) => !own.includes(one))];
  for (const one of ordered) {
    if (!sameShape(one.shape, logShape(shaped, one.map.time.column))) continue;
    return { sniffed: asKept(head, one, one.map, options), recognition: { kind: "same", ...knownOf(one) } };
  }
  for (const one of ordered) {
    const byNames = sameNames(one, shaped);
    if (byNames === null) continue;
    const { map, moved, form } = byNames;
    const recognition: Recognition = { kind: "same-names", moved, form, ...knownOf(one) };
    return { sniffed: asKept(head, one, map, options), recognition };
  }
  if (own.length === 0) return { sniffed: infer(), recognition: null };
  const changed = nearest(own, shaped);
  if (changed === null) return { sniffed: infer(), recognition: { kind: "other", ...knownOf(own[0]) } };
  return withParts(head, changed, shaped, options);
}

function knownOf({ logName, createdAtMs, loggerName }: KeptMap): Known {
  return { logName, createdAtMs, loggerName };
}

/** Of a log whose times are without a day: the kept day was that of another log, and is settled anew. */
function asKeptButDay(
  head: Uint8Array,
  guessed: readonly string[],
  map: ColumnMap,
  options: ChooseOptions,
): SniffedLog {
  const { zone, stamps } = map.time;
  const sniffed = sniffLog(head, { ...map, time: { zone, stamps } } as ColumnMapInput, options);
  const { channels } = map;
  return {
    ...sniffed,
    map: sniffed.map === null ? null : { ...sniffed.map, channels },
    guessed: new Set([...guessed, ...[...sniffed.guessed].filter((choice) => choice === "time")]),
  };
}

function formChanges(before: FileShape, now: FileShape): FormChange[] {
  const changes: FormChange[] = [];
  if (before.delimiter !== now.delimiter) changes.push("delimiter");
  if (before.decimalMark !== now.decimalMark) changes.push("decimal mark");
  if (before.timeForm !== now.timeForm) changes.push("time form");
  return changes;
}

/** Reads the log by a whole map: what is in it is given, and nothing beside it is inferred. */
function asKept(head: Uint8Array, { guessed }: KeptMap, map: ColumnMap, options: ChooseOptions): SniffedLog {
  if (map.time.date !== undefined) return asKeptButDay(head, guessed, map, options);
  const sniffed = sniffLog(head, map as ColumnMapInput, { ...options, strict: true });
  if (sniffed.refusal !== null) return sniffed;
  return { ...sniffed, map, draft: map as ColumnMapInput, ask: [], guessed: new Set(guessed) };
}

/** The kept map for a log with the same names in another order; null where the names are others, or not unique. */
function sameNames(
  { shape, map }: KeptMap,
  shaped: ShapedHead,
): { map: ColumnMap; moved: string[]; form: FormChange[] } | null {
  if (shape.names === null || !shaped.hasHeader) return null;
  const names = shaped.names.map(sameName);
  if ([...shape.names].sort().join("\n") !== [...names].sort().join("\n")) return null;
  const parts = partsOf(map, shape, shaped);
  if (parts.gone.length > 0) return null;
  const whole = parts.map as ColumnMap;
  const form = formChanges(shape, logShape(shaped, whole.time.column));
  // Times that are written otherwise may not be read by the map's format.
  if (form.includes("time form")) return null;
  return { map: whole, moved: movedNames(shape.names, shaped.names), form };
}

/** The map of the logger that shares most of its columns with the log, the latest one of several; null for none. */
function nearest(own: readonly KeptMap[], shaped: ShapedHead): KeptMap | null {
  let best: KeptMap | null = null;
  let most = 0;
  for (const one of own) {
    // Without names nothing can be recognised column by column: the latest map is held against it as a whole.
    const bothBare = one.shape.names === null && !shaped.hasHeader;
    const share = bothBare ? 0.5 : Object.keys(partsOf(one.map, one.shape, shaped).map.channels ?? {}).length;
    if (share > most) {
      best = one;
      most = share;
    }
  }
  return best;
}

function withParts(head: Uint8Array, kept: KeptMap, shaped: ShapedHead, options: ChooseOptions): ChosenMap {
  const { shape, map, logName } = kept;
  const { map: parts, gone } = partsOf(map, shape, shaped);
  const form = formChanges(shape, logShape(shaped, parts.time?.column ?? []));
  if (form.includes("time form") && parts.time !== undefined) delete parts.time.format;
  const sniffed = sniffLog(head, parts, options);
  const before = shape.names ?? [];
  const now = shaped.hasHeader ? shaped.names : [];
  const names = new Set(now.map(sameName));
  const recognition: Recognition = {
    kind: "changed",
    ...knownOf(kept),
    went: before.filter((name) => name !== "" && !names.has(name)),
    came: now.filter((name) => name !== "" && !before.includes(sameName(name))),
    moved: movedNames(before, now),
    form,
    gone,
  };
  if (sniffed.refusal !== null) return { sniffed, recognition };
  const stillGuessed = kept.guessed.filter(
    (choice) => (choice === "time" ? parts.time?.column : parts.channels?.[choice as "source"]) !== undefined,
  );
  const settled: SniffedLog = { ...sniffed, guessed: new Set([...sniffed.guessed, ...stillGuessed]) };
  if (options.acceptShape || gone.length === 0) return { sniffed: settled, recognition };
  const asked = new Set(sniffed.ask.map(({ choice }) => choice));
  const ask = gone
    .filter(({ choice }) => !asked.has(choice))
    .map(({ choice, column }) => ({
      choice,
      why: `The map of "${logName}" takes ${choice.replace(/^channels\.|\.column$/g, "")} from ${column}, which this log doesn't have any more.`,
      options: [],
    }));
  return { sniffed: { ...settled, map: null, ask: [...sniffed.ask, ...ask] }, recognition };
}

/** The parts of a map whose columns the log still has by name, and what has gone. */
function partsOf(
  map: ColumnMap,
  shape: FileShape,
  shaped: ShapedHead,
): { map: ColumnMapInput; gone: GoneColumn[] } {
  const gone: GoneColumn[] = [];
  const find = (choice: string, ref: ColumnRef): ColumnRef | null => {
    const found = refNow(ref, shape, shaped);
    if (found === null) gone.push({ choice, column: shownRef(ref, shape) });
    return found;
  };
  const refs = Array.isArray(map.time.column)
    ? (map.time.column as ColumnRef[])
    : [map.time.column as ColumnRef];
  const time = refs.map((ref) => find("time.column", ref)).filter((ref) => ref !== null);
  // A day is the log's own.
  const { column: _, date: __, ...form } = map.time;
  const channels: Record<string, unknown> = {};
  for (const [channel, entry] of Object.entries(map.channels) as [string, NumericColumn][]) {
    const pair = typeof entry.column === "object" ? entry.column : null;
    const plus = find(`channels.${channel}`, pair?.plus ?? (entry.column as ColumnRef));
    const minus = pair === null ? null : find(`channels.${channel}`, pair.minus);
    if (plus === null || (pair !== null && minus === null)) continue;
    channels[channel] = { ...entry, column: minus === null ? plus : { plus, minus } };
  }
  return {
    map: {
      version: 1,
      ...(time.length === refs.length
        ? { time: { ...form, column: time.length === 1 ? time[0] : time } }
        : { time: { zone: form.zone, stamps: form.stamps } }),
      channels: channels as ColumnMapInput["channels"],
      missing: [...map.missing],
    },
    gone: gone.filter(
      (one, at) =>
        gone.findIndex(({ choice, column }) => choice === one.choice && column === one.column) === at,
    ),
  };
}

/** Where a column of a map stands in this log, found by its name; null where no column or several have it. */
function refNow(ref: ColumnRef, shape: FileShape, { names, hasHeader }: ShapedHead): ColumnRef | null {
  if (!hasHeader || shape.names === null) return null;
  const wanted = typeof ref === "string" ? sameName(ref) : (shape.names[ref - 1] ?? "");
  const all = names.map(sameName);
  // A column without a name, or with one that others have too, is still itself where nothing has moved.
  if (typeof ref === "number" && all.slice(0, ref).join("\n") === shape.names.slice(0, ref).join("\n"))
    return ref;
  if (wanted === "" || all.indexOf(wanted) !== all.lastIndexOf(wanted)) return null;
  const at = columnAt(names, wanted);
  if (at < 0) return null;
  return typeof ref === "number" ? at + 1 : names[at];
}

function shownRef(ref: ColumnRef, { names }: FileShape): string {
  const name = typeof ref === "string" ? ref : (names?.[ref - 1] ?? "");
  return name === "" ? `column ${ref}` : `"${name}"`;
}

/** Names that both have, in another order than before, as the log writes them. */
function movedNames(before: readonly string[], now: readonly string[]): string[] {
  const common = now.filter((name) => name !== "" && before.includes(sameName(name)));
  const wanted = before.filter((name) => common.some((one) => sameName(one) === name));
  return common.filter((name, at) => sameName(name) !== wanted[at]);
}
