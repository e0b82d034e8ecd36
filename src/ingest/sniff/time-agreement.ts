import { createTimeReader } from "../time-reader";
import type { SniffState } from "./sniff-state";
import type { SniffedTimeColumn } from "./time-column";

/**
 * Holds the chosen time column against the other columns of times: a local time beside one in UTC is the same but
 * for whole quarters of an hour that change by an hour at most; the end of an interval lies a step after its start.
 * Tells the difference; asks where there is none that holds.
 */
export function checkTimesAgree(state: SniffState, found: SniffedTimeColumn): void {
  const { draft, names, rows, given } = state;
  const [column] = found.columns;
  if (draft.time.format === undefined || found.columns.length !== 1 || given.time?.column !== undefined)
    return;
  const chosen = createTimeReader({
    format: draft.time.format,
    zone: "UTC",
    dayDecimals: found.form.decimals,
  });
  for (const other of found.others) {
    if (other.form.format === null) continue;
    const reader = createTimeReader({
      format: other.form.format,
      zone: "UTC",
      dayDecimals: other.form.decimals,
    });
    const counts = new Map<number, number>();
    let both = 0;
    for (const cells of rows) {
      const difference = reader.read(withoutOffset(cells[other.column])) - chosen.read(cells[column]);
      if (Number.isNaN(difference)) continue;
      both++;
      // Two clocks that are read one after the other differ by a little.
      const minutes = Math.round(difference / 60_000);
      counts.set(minutes, (counts.get(minutes) ?? 0) + 1);
    }
    if (both < 0.5 * rows.length || both < 2) continue;
    const [most] = [...counts].sort((a, b) => b[1] - a[1])[0];
    let agree = 0;
    for (const [minutes, n] of counts) {
      const hours = Math.abs(minutes - most);
      if (hours <= 1 || Math.abs(hours - 60) <= 1) agree += n;
    }
    const share = Math.round((agree / both) * 1000) / 1000;
    const name = names[other.column];
    state.tell(`time.column: beside "${name}"`, `${most} min apart`, share, { rows: both, share });
    if (share < 0.95) {
      state.question(
        "time.column",
        `"${names[column]}" and "${name}" both hold times and don't agree: they are ${most} minutes apart in ${Math.round(share * 100)} % of the rows.`,
        [names[column], name],
      );
      return;
    }
  }
}

/** A local time that says its offset is the wall time beside the instant. */
function withoutOffset(text: string): string {
  return text.replace(/\s?(?:Z|[+\-\u2212]\d\d:?\d\d)(?:\[.*\])?\s*$/i, "");
}
