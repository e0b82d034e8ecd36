import { isIanaZone } from "../../site/is-iana-zone";
import { zoneAbbreviationMs } from "../zone-abbreviation";
import { nameGist } from "./name-gist";

/** A zone that a text states, in the form of columns.json. */
export type StatedZone = {
  /** "UTC", an IANA zone, an offset, or "site" where it says local time. */
  readonly zone: string;
  /** An abbreviation such as MST may stand for the clock with or without daylight saving time. */
  readonly sure: boolean;
  /** The words that say it. */
  readonly text: string;
};

/** The zone that the name of a time column states: "Time (UTC-7)", "Stamp [America/Denver]"; null for none. */
export function zoneOfName(name: string): StatedZone | null {
  return zoneIn(nameGist(name).replace(/_/g, " "), false);
}

/** The zone that a line above the table states: "Timezone: America/Denver", "All times in UTC"; null for none. */
export function zoneOfLine(whole: string): StatedZone | null {
  const line = whole.slice(0, MAX_LINE);
  const labelled = LABEL.exec(line);
  if (labelled !== null) return zoneIn(labelled[1].trim(), true);
  return /\b(?:times?|time ?stamps?|zeiten|zeitstempel|horas?|heures?)\b.{0,30}\b(?:utc|gmt)\b/i.test(line)
    ? zoneIn(line, false)
    : null;
}

/** So much of a line is looked at: one of a hundred thousand letters would take seconds. */
const MAX_LINE = 2000;

const LABEL =
  /\b(?:time ?zone|tz|utc ?offset|gmt ?offset|zeitzone|zona horaria|huso(?: horario)?|fuseau(?: horaire)?)\b\)?\s*[:=;,]?\s*(.{1,60})/i;

function zoneIn(text: string, labelled: boolean): StatedZone | null {
  const iana = /[A-Z][A-Za-z_]+(?:\/[A-Z][A-Za-z_+\-\d]+)+/.exec(text)?.[0];
  if (iana !== undefined && isIanaZone(iana)) return { zone: iana, sure: true, text: iana };
  // Column names with "_" for spaces had them taken away.
  const spaced = /[A-Z][A-Za-z]+\/[A-Z][A-Za-z]+ [A-Z][A-Za-z]+/.exec(text)?.[0].replace(" ", "_");
  if (spaced !== undefined && isIanaZone(spaced)) return { zone: spaced, sure: true, text: spaced };
  const offset =
    /\b(?:utc|gmt)\s*([+\-\u2212])\s?(\d{1,2})(?::?(\d\d))?/i.exec(text) ??
    (labelled
      ? /^([+\-\u2212])\s?(\d{1,2})(?::?(\d\d))?\b/.exec(text)
      : /[[(]\s*([+\-\u2212])(\d\d):?(\d\d)\s*[\])]/.exec(text));
  if (offset !== null && Number(offset[2]) <= 18) {
    const zone = `${offset[1] === "+" ? "+" : "-"}${offset[2].padStart(2, "0")}:${offset[3] ?? "00"}`;
    return { zone: zone === "-00:00" ? "+00:00" : zone, sure: true, text: offset[0] };
  }
  const utc = /(?:^|[^a-z])(utc|gmt|zulu)(?:$|[^a-z])/i.exec(text);
  if (utc !== null) return { zone: "UTC", sure: true, text: utc[1] };
  if (/(?:^|[^a-z])(?:local|lokal|locale|ortszeit|hora local)(?:$|[^a-z])/i.test(text))
    return { zone: "site", sure: true, text: "local" };
  const short = /(?:^|[\s([])([A-Z]{3,4})(?:$|[\s)\]])/.exec(text)?.[1];
  const ms = short === undefined ? Number.NaN : zoneAbbreviationMs(short);
  if (short === undefined || Number.isNaN(ms)) return null;
  const hours = Math.abs(ms / 3_600_000);
  return { zone: `${ms < 0 ? "-" : "+"}${String(hours).padStart(2, "0")}:00`, sure: false, text: short };
}
