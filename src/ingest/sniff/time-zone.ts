import { isIanaZone } from "../../site/is-iana-zone";
import type { SniffState } from "./sniff-state";
import { type StatedZone, zoneOfLine, zoneOfName } from "./stated-zone";
import type { SniffedTimeColumn } from "./time-column";
import type { SniffedTimeForm } from "./time-form";

/**
 * Settles the zone of wall times: by the times themselves, a column of one zone, the time column's name, a line
 * above the table; else it is the site's, which is checked against the sun later on. Where two of them contradict
 * each other, or an abbreviation leaves daylight saving time open, it asks.
 */
export function inferZone(
  state: SniffState,
  columns: readonly number[],
  form: SniffedTimeForm,
  found: SniffedTimeColumn,
): void {
  const { draft, given, names, rows, head } = state;
  if (given.time?.zone !== undefined || columns.length === 0) return;
  const every = Math.ceil(rows.length / LOOKED_AT);
  const texts = rows
    .filter((_, i) => i % every === 0)
    .map((cells) => (cells[columns[columns.length - 1]] ?? "").trim());
  const offsets = texts.filter((t) => STATED.test(t)).length / Math.max(1, texts.length);
  if (form.format?.startsWith("epoch") || /X|zzz/.test(form.format ?? "") || offsets > 0.99) {
    draft.time.zone = "site";
    state.tell("time.zone", "stated in the times", 1, { share: Math.round(offsets * 1000) / 1000 });
    return;
  }
  const stated: (StatedZone & { where: string })[] = [];
  if (found.zone >= 0) {
    const zone = (rows[0]?.[found.zone] ?? "").trim();
    const ofCells = isIanaZone(zone) ? { zone, sure: true, text: zone } : zoneOfName(zone.toUpperCase());
    if (ofCells !== null) stated.push({ ...ofCells, where: `column ${names[found.zone]}` });
  }
  const ofName = zoneOfName(columns.map((c) => state.titles[c]).join(" "));
  if (ofName !== null) stated.push({ ...ofName, where: "header" });
  for (const [i, line] of head.preamble.entries()) {
    const ofLine = zoneOfLine(line);
    if (ofLine !== null) stated.push({ ...ofLine, where: `line ${i + 1}` });
  }
  const [first] = stated;
  const other = stated.find(({ zone }) => zone !== first.zone);
  if (other !== undefined) {
    state.question(
      "time.zone",
      `The log says ${first.text} (${first.where}) and ${other.text} (${other.where}): they are not the same.`,
      [first.zone, other.zone],
    );
    return;
  }
  if (first !== undefined && !first.sure) {
    state.question(
      "time.zone",
      `"${first.text}" (${first.where}) may stand for one offset all year or for the site's clock with daylight saving time.`,
      ["site", first.zone],
    );
    return;
  }
  draft.time.zone = first?.zone ?? "site";
  state.tell("time.zone", draft.time.zone, first === undefined ? 0.7 : 0.95, {
    statedIn: first?.where ?? "nothing",
    ...(first === undefined ? {} : { text: first.text }),
  });
}

const LOOKED_AT = 400;

/** Times that say their offset or zone. */
const STATED = /(?:\d\s?Z|[+\-\u2212]\d\d(?::?\d\d)?|\b(?:UTC|GMT))(?:\[.*\])?$|\[[A-Z][\w+\-/]*\]$/i;
