import type { ErrorCode } from "./error-catalogue";

/** One instance of an error of the catalogue: where it is, and what stood there. */
export type RejectedRow = {
  readonly file: string;
  /** Physical line, from 1. */
  readonly line: number;
  /** Column of the log, from 1; null where the whole row is meant. */
  readonly column: number | null;
  readonly columnName: string | null;
  readonly code: ErrorCode;
  /** The first 200 characters of the cell, or of the row where there is no column. */
  readonly text: string;
  /** Whether the rule that it broke was inferred from the log or stated by a person. */
  readonly rule: "guessed" | "given";
};

/** Instances kept per file. Counts go on beyond it. */
export const MAX_REJECT_INSTANCES = 10_000;

/** Characters kept of the text of an instance. */
const MAX_REJECT_TEXT = 200;

/** Collects what is wrong with one log: exact counts by code, and the first instances. */
export type Rejects = {
  readonly codes: { [C in ErrorCode]?: number };
  readonly instances: RejectedRow[];
  add(
    code: ErrorCode,
    line: number,
    column: { index: number; name: string } | null,
    text: string,
    rule: "guessed" | "given",
  ): void;
  /** Forgets everything: the log is read again. */
  clear(): void;
  /** Instances on lines before `line` as a number, the others as they are, and the counts so far. Plain data. */
  state(line: number): RejectsState;
};

/** What a collector holds, but for instances that nothing can come before any more. */
export type RejectsState = {
  codes: { [C in ErrorCode]?: number };
  /** Instances that are kept elsewhere. */
  before: number;
  instances: RejectedRow[];
};

/** A collector for the file of that name, empty or as it was put away. */
export function createRejects(file: string, known?: RejectsState): Rejects {
  const codes: { [C in ErrorCode]?: number } = { ...known?.codes };
  const instances: RejectedRow[] = [...(known?.instances ?? [])];
  const before = known?.before ?? 0;
  return {
    codes,
    instances,
    add(code, line, column, text, rule) {
      codes[code] = (codes[code] ?? 0) + 1;
      if (before + instances.length >= MAX_REJECT_INSTANCES) return;
      instances.push({
        file,
        line,
        column: column === null ? null : column.index + 1,
        columnName: column === null ? null : column.name,
        code,
        // A slice alone would keep the whole chunk that it was cut from in memory.
        text: Buffer.from(text.slice(0, MAX_REJECT_TEXT)).toString(),
        rule,
      });
    },
    clear() {
      for (const code of Object.keys(codes) as ErrorCode[]) delete codes[code];
      instances.length = 0;
    },
    state(line) {
      const waiting = instances.filter((one) => one.line >= line);
      return { codes: { ...codes }, before: before + instances.length - waiting.length, instances: waiting };
    },
  };
}
