import { type ColumnMap, columnMap } from "../site/column-map";
import type { ColumnMapInput } from "../site/column-map-schema";
import { columnNamesOf } from "./column-names-of";
import { furtherRows } from "./further-rows";
import { readHead } from "./read-head";
import type { Refusal } from "./refusal";
import { inferChannels } from "./sniff/channels-stage";
import { checkLocalTime } from "./sniff/clock-stage";
import { askDoubtful } from "./sniff/doubts-stage";
import { inferFault } from "./sniff/fault-stage";
import { takeGiven } from "./sniff/given-stage";
import { createSniffState, type SniffEvidence, type SniffQuestion } from "./sniff/sniff-state";
import { inferSource } from "./sniff/source-stage";
import { askForStamps } from "./sniff/stamps-stage";
import { askForMissing } from "./sniff/strict-stage";
import { tellText } from "./sniff/text-stage";
import { inferTime } from "./sniff/time-stage";

export type { SniffEvidence } from "./sniff/sniff-state";

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
  /** When the log was received: no time of it is a day later. */
  readonly receivedAtMs?: number;
  /** Pieces of the log from behind its head, in order, where the source can give some: they show days go by. */
  readonly further?: readonly Uint8Array[];
  /** Bytes of the whole log, where they are known. */
  readonly sizeBytes?: number | null;
};

/** Most bytes of the head that are looked at. */
export const SNIFF_BYTES = 1024 * 1024;

const PREVIEW_ROWS = 8;

/** The stages that infer, in order: each may look at what the ones before it have settled. */
const INFERRING = [inferTime, inferChannels, inferSource, inferFault, askDoubtful, checkLocalTime] as const;

/**
 * Infers from the first bytes of a log how to read it: time column and form, channels, units, signs, words.
 * What `given` states is taken as it stands, the rest is inferred, or nothing with `strict`. Every choice
 * comes with evidence. Nothing that changes results is taken on weak evidence: it is asked for, and then
 * there is no map.
 */
export function sniffLog(head: Uint8Array, given: ColumnMapInput | null, options: SniffOptions): SniffedLog {
  const input: ColumnMapInput = given ?? { version: 1 };
  const bytes = head.subarray(0, SNIFF_BYTES);
  const read = readHead(options.name, bytes, head.length < SNIFF_BYTES, columnNamesOf(input), input.text);
  if (!read.ok) return refusedLog(read.refusal);
  const state = createSniffState(options.name, read.head, input, {
    further: furtherRows(read.head, options.further ?? []),
    known: { latestMs: options.receivedAtMs },
    lengthRatio: Math.max(1, (options.sizeBytes ?? bytes.length) / bytes.length),
  });
  tellText(state);
  const refusal = takeGiven(state);
  if (refusal !== null) return refusedLog(refusal);
  for (const stage of options.strict ? [askForMissing] : INFERRING) stage(state);
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
    preview: read.head.rows.slice(0, PREVIEW_ROWS),
  };
}

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
