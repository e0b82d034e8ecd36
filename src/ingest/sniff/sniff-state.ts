import type { NumericChannel } from "../../analysis/series";
import { DEFAULT_MISSING } from "../../site/column-map";
import type { ColumnMapInput, ColumnRef } from "../../site/column-map-schema";
import type { LogHead } from "../read-head";
import { type ColumnFacts, columnFacts } from "./column-facts";
import type { KnownDays } from "./day-order";
import { nameGist } from "./name-gist";
import type { RowPowers } from "./sign-evidence";
import { unitRow } from "./unit-row";

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
export type SniffQuestion = {
  readonly choice: string;
  readonly why: string;
  /** Values that columns.json could have there; empty where any column or word could be meant. */
  readonly options: readonly string[];
};

/** What all stages of sniffing share. Each reads what stages before it have settled and settles its own. */
export type SniffState = {
  /** The log's name, for messages. */
  readonly name: string;
  readonly head: LogHead;
  readonly names: readonly string[];
  /** What is said of each column: its group, its name, the unit under it or in its cells, in brackets. */
  readonly titles: readonly string[];
  /**
   * Rows of the head, at most SAMPLED_ROWS, in order; each at least as wide as the header. From the channels stage on
   * the further rows are among them.
   */
  rows: readonly (readonly string[])[];
  /** Rows from further into the log, in order, where pieces of it were given along. */
  readonly further: readonly (readonly string[])[];
  /** What is known of the log's days apart from its times. */
  readonly known: KnownDays;
  /** How many times as long as its head the log is; 1 where that isn't known. */
  readonly lengthRatio: number;
  /** Per column. */
  facts: readonly ColumnFacts[];
  readonly given: ColumnMapInput;
  /** The map as far as it is settled. */
  readonly draft: ColumnMapInput & {
    time: NonNullable<ColumnMapInput["time"]>;
    channels: NonNullable<ColumnMapInput["channels"]>;
  };
  readonly evidence: SniffEvidence[];
  readonly ask: SniffQuestion[];
  /** "time" and the channels that were inferred. */
  readonly guessed: Set<string>;
  /** Columns that are spoken for. */
  readonly taken: Set<number>;
  /** Of the channels stage: powers of the rows in W as far as they are known; null before. */
  powers: RowPowers | null;
  /** Of the channels stage: columns that look like powers of something and were taken for nothing. */
  leftPowers: readonly number[];
  /** Records a choice; the confidence is rounded to hundredths. */
  tell(
    choice: string,
    value: string,
    confidence: number,
    figures: SniffEvidence["figures"],
    from?: SniffEvidence["from"],
  ): void;
  question(choice: string, why: string, options: readonly string[]): void;
  /** A column's reference for columns.json: its name, or its number where the name doesn't tell it apart. */
  refOf(index: number): ColumnRef;
  /** Index of the column that a reference names, letter case aside; -1 for none. */
  readonly indexOf: (ref: ColumnRef) => number;
  factsOf(ref: ColumnRef): ColumnFacts | undefined;
  /** Sets a numeric channel of the draft. */
  setChannel(channel: NumericChannel, column: object): void;
};

/** Below this confidence a choice that the results hang on is asked for. */
export const ASK_BELOW = 0.7;

const SAMPLED_ROWS = 4000;

/** State with nothing settled but the head and what was given. */
export function createSniffState(
  name: string,
  head: LogHead,
  given: ColumnMapInput,
  { further, known, lengthRatio }: Pick<SniffState, "further" | "known" | "lengthRatio">,
): SniffState {
  const { names } = head.header;
  const isHeader = (cells: readonly string[]) => names.every((n, i) => cells[i].trim() === n);
  const rows = sampled(head.rows.filter((r) => r.length >= names.length && !isHeader(r)));
  const missing = given.missing ?? DEFAULT_MISSING;
  const facts = names.map((_, i) => columnFacts(rows, i, head.dialect.decimalMark, missing));
  const state: SniffState = {
    name,
    head,
    names,
    titles: head.header.titles.map((title, i) => withUnit(title, facts[i])),
    rows,
    further,
    known,
    lengthRatio,
    facts,
    given,
    draft: { version: 1, time: { ...given.time }, channels: { ...given.channels } },
    evidence: [],
    ask: [],
    guessed: new Set(),
    taken: new Set(),
    powers: null,
    leftPowers: [],
    tell(choice, value, confidence, figures, from = "guessed") {
      const sure = Number.isNaN(confidence) ? 0 : Math.max(0, Math.min(1, confidence));
      state.evidence.push({ choice, value, confidence: Math.round(sure * 100) / 100, figures, from });
    },
    question(choice, why, options) {
      state.ask.push({ choice, why, options });
    },
    refOf(index) {
      if (head.headerLine === 0) return index + 1;
      const own = names[index];
      return names.indexOf(own) === names.lastIndexOf(own) && own !== "" ? own : index + 1;
    },
    indexOf(ref) {
      if (typeof ref === "number") return ref <= names.length ? ref - 1 : -1;
      const wanted = ref.trim().toLowerCase();
      return names.findIndex((n) => n.toLowerCase() === wanted);
    },
    factsOf: (ref) => state.facts[state.indexOf(ref)],
    setChannel(channel, column) {
      (state.draft.channels as Record<string, unknown>)[channel] = column;
    },
  };
  if (given.missing !== undefined) state.draft.missing = given.missing;
  return state;
}

/** A unit that stands in the cells outweighs one in the header: numbers are read by it. */
function withUnit(title: string, { unit }: ColumnFacts): string {
  if (unit === null) return title;
  const bracket = /\s*[[({]\s*([^\])}]*)[\])}]\s*$/.exec(nameGist(title));
  const bare = bracket !== null && unitRow([bracket[1]]) !== null ? title.slice(0, bracket.index) : title;
  return `${bare} (${unit})`;
}

function sampled(rows: readonly (readonly string[])[]): (readonly string[])[] {
  if (rows.length <= SAMPLED_ROWS) return [...rows];
  return Array.from({ length: SAMPLED_ROWS }, (_, i) => rows[Math.floor((i * rows.length) / SAMPLED_ROWS)]);
}
