import { type ColumnMap, columnMap } from "../../site/column-map";
import { type LogColumns, logColumns } from "../log-columns";
import { rowNumbers } from "./row-numbers";
import { ASK_BELOW, type SniffState } from "./sniff-state";
import { statedDays } from "./stated-days";
import { checkTimesAgree } from "./time-agreement";
import { type SniffedTimeColumn, sniffTimeColumn } from "./time-column";
import { type SniffedTimeForm, sniffTimeForm } from "./time-form";
import { inferStamps } from "./time-stamps";
import { inferZone } from "./time-zone";

/** Stage: time column, form, zone and stamps; columns that number the rows. */
export function inferTime(state: SniffState): void {
  const { given, names, facts, head, known, taken } = state;
  const rows = [...state.rows, ...state.further];
  const days = {
    ...known,
    days: [state.name, ...head.preamble].flatMap(statedDays),
    length:
      state.further.length === 0
        ? undefined
        : { ratio: state.lengthRatio, headPart: state.rows.length / rows.length },
  };
  const found = sniffTimeColumn(names, rows, facts, days);
  const isGiven = given.time?.column !== undefined;
  const columns = isGiven ? givenTimeColumns(state) : found.columns;
  for (const index of found.all) taken.add(index);
  for (const index of rowNumbers(head.rows, head.lines, state.titles)) {
    // Seconds of the epoch in a log of every second count the rows too.
    if (columns.includes(index)) continue;
    taken.add(index);
    state.tell(`column ${names[index]}`, "numbers the rows", 0.95, {});
  }
  if (columns.length === 0) {
    state.question("time.column", "No column holds times in a form that is known.", names);
    return;
  }
  const date = given.time?.date;
  const form =
    isGiven || date !== undefined
      ? formOfGiven(rows, columns, days, date === undefined ? "" : `${date} `)
      : found.form;
  if (!isGiven) settleColumn(state, found);
  settleFormat(state, form, columns);
  if (!isGiven && found.lacks === "date" && date === undefined) {
    state.question(
      "time.date",
      `"${names[columns[0]]}" holds times of day, and no column holds dates: state the day of the first row.`,
      days.days,
    );
  }
  inferZone(state, columns, form, found);
  inferStamps(
    state,
    columns,
    rows.map((cells) => cells[columns[1] ?? -1] ?? ""),
  );
  checkTimesAgree(state, found);
}

function settleColumn(state: SniffState, found: SniffedTimeColumn): void {
  const { columns, form, confidence, lacks } = found;
  const { draft, names } = state;
  state.guessed.add("time");
  const refs = columns.map((c) => state.refOf(c));
  draft.time.column = refs.length === 1 ? refs[0] : refs;
  state.tell("time.column", columns.map((c) => names[c]).join(" + "), confidence, {
    share: round(form.share),
  });
  if (lacks === "clock" || (confidence < ASK_BELOW && lacks === null)) {
    state.question(
      "time.column",
      `"${names[columns[0]]}" holds dates, and no column holds times of day.`,
      names,
    );
  }
}

function settleFormat(state: SniffState, form: SniffedTimeForm, columns: readonly number[]): void {
  const { draft, given, rows } = state;
  if (given.time?.format !== undefined) return;
  if (form.format === null) {
    state.question("time.format", WHY[form.order](form.example), form.candidates);
    return;
  }
  draft.time.format = form.format;
  const still = standingStill(rows, columns);
  state.tell("time.format", form.format, form.confidence, {
    example: form.example,
    share: round(form.share),
    ...form.figures,
    ...(still > 0 ? { sameAsRowBefore: round(still) } : {}),
  });
  if (still > MOST_STANDING) {
    state.question(
      "time.column",
      `In ${Math.round(still * 100)} % of the rows the time is that of the row before: of rows with one time only the first would stand.`,
      state.names,
    );
  }
}

const WHY: { readonly [O in SniffedTimeForm["order"]]: (example: string) => string } = {
  settled: (example) => `Times such as "${example}" have no form that is known.`,
  open: (example) => `Times such as "${example}" don't show whether the day or the month comes first.`,
  half: (example) =>
    `Hours such as those of "${example}" run from 1 to 12 twice a day, and nothing says whether it is before or after noon.`,
  cut: (example) => `Times such as "${example}" are rounded so far that several rows have the same one.`,
};

/** Part of the rows that may have the time of the row before, where copies of rows stand in a log. */
const MOST_STANDING = 0.3;

function standingStill(rows: readonly (readonly string[])[], columns: readonly number[]): number {
  let still = 0;
  for (let i = 1; i < rows.length; i++) {
    if (columns.every((c) => rows[i][c] === rows[i - 1][c])) still++;
  }
  return rows.length < 2 ? 0 : still / (rows.length - 1);
}

function formOfGiven(
  rows: readonly (readonly string[])[],
  columns: readonly number[],
  days: Parameters<typeof sniffTimeForm>[1],
  before: string,
): SniffedTimeForm {
  return sniffTimeForm(
    rows.map((cells) => before + columns.map((c) => (cells[c] ?? "").trim()).join(" ")),
    days,
  );
}

function givenTimeColumns(state: SniffState): readonly number[] {
  const whole = columnMap(state.given) as ColumnMap;
  const found = logColumns(state.name, whole, state.names, state.head.headerLine) as { columns: LogColumns };
  return found.columns.time;
}

function round(value: number): number {
  return Math.round(value * 1000) / 1000;
}
