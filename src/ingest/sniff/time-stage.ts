import type { ColumnMap } from "../../site/column-map";
import { columnMap } from "../../site/column-map";
import { type LogColumns, logColumns } from "../log-columns";
import { ASK_BELOW, type SniffState } from "./sniff-state";
import { sniffTimeColumn } from "./time-column";
import { type SniffedTimeForm, sniffTimeForm } from "./time-form";

/** Stage: time column, form, zone and stamps. */
export function inferTime(state: SniffState): void {
  const { draft, given, names, rows, facts } = state;
  const found = sniffTimeColumn(names, rows, facts);
  let columns = found.columns;
  let form: SniffedTimeForm = found.form;
  for (const index of found.all) if (!state.taken.has(index)) state.taken.add(index);
  if (given.time?.column === undefined) {
    if (columns.length === 0) {
      state.question("time.column", "No column holds times in a form that is known.", names);
      return;
    }
    state.guessed.add("time");
    const refs = columns.map((c) => state.refOf(c));
    draft.time.column = refs.length === 1 ? refs[0] : refs;
    state.tell("time.column", columns.map((c) => names[c]).join(" + "), found.confidence, {
      share: round(form.share),
    });
    if (found.confidence < ASK_BELOW) {
      state.question(
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
      state.question("time.format", why, form.candidates);
    } else {
      draft.time.format = form.format;
      state.tell("time.format", form.format, form.confidence, {
        example: form.example,
        share: round(form.share),
      });
    }
  }
  inferZone(state, columns, form);
  if (given.time?.stamps === undefined) {
    // Nothing in a log shows it; most logs stamp the moment of the sample.
    draft.time.stamps = "start";
    state.tell("time.stamps", "start", 0.5, {});
  }
}

function givenTimeColumns(state: SniffState): readonly number[] {
  const whole = columnMap(state.given) as ColumnMap;
  const found = logColumns(state.name, whole, state.names, state.head.headerLine) as { columns: LogColumns };
  return found.columns.time;
}

function inferZone(state: SniffState, columns: readonly number[], form: SniffedTimeForm): void {
  const { draft, given, names, rows } = state;
  if (given.time?.zone !== undefined) return;
  const texts = rows.map((cells) => (cells[columns[columns.length - 1]] ?? "").trim());
  const offsets =
    texts.filter((t) => /(Z|[+-]\d\d:?\d\d)(\[.*\])?$/i.test(t)).length / Math.max(1, texts.length);
  if (form.format?.startsWith("epoch") || offsets > 0.99) {
    draft.time.zone = "site";
    state.tell("time.zone", "stated in the times", 1, { share: round(offsets) });
    return;
  }
  const header = columns.map((c) => names[c]).join(" ");
  const utc = /\b(utc|gmt|zulu)\b/i.test(header.replace(/_/g, " "));
  const offset = /(?:utc|gmt)\s*([+-]\d{1,2})(?::?(\d\d))?/i.exec(header);
  if (offset !== null) {
    const hours = offset[1].slice(1).padStart(2, "0");
    draft.time.zone = `${offset[1][0]}${hours}:${offset[2] ?? "00"}`;
    state.tell("time.zone", draft.time.zone, 0.9, { header });
  } else {
    draft.time.zone = utc ? "UTC" : "site";
    state.tell("time.zone", draft.time.zone, utc ? 0.95 : 0.7, { header });
  }
}

function round(value: number): number {
  return Math.round(value * 1000) / 1000;
}
