import { createTimeReader } from "../time-reader";
import type { SniffState } from "./sniff-state";

/**
 * Stage: holds times against the sun. Wall times are taken to be the site's. Where the sun's energy, over a day or more, is centred far from
 * noon, they are not: a log in UTC, usually.
 */
export function checkLocalTime(state: SniffState): void {
  const { draft, given, rows } = state;
  if (given.time?.zone !== undefined || draft.time.zone !== "site" || draft.time.format === undefined) return;
  // Times that say their offset are read to instants, not to the clock's hours.
  if (/X|zzz/.test(draft.time.format)) return;
  if (draft.time.format.startsWith("epoch") || draft.time.column === undefined) return;
  const refs = Array.isArray(draft.time.column) ? draft.time.column : [draft.time.column];
  const indices = refs.map((r) => (typeof r === "number" ? r - 1 : state.names.indexOf(r.trim())));
  const texts = rows.map((cells) => indices.map((i) => cells[i] ?? "").join(" "));
  if (/(Z|[+-]\d\d:?\d\d)(\[.*\])?$/i.test(texts[0]?.trim() ?? "")) return;
  const sun = state.powers?.solar ?? null;
  if (sun === null) return;
  const reader = createTimeReader({ format: draft.time.format, zone: "UTC" });
  const walls = texts.map((t) => reader.read(t));
  const night = walls.filter((w, i) => sun[i] > NIGHT_SUN_W && isDeepNight(w)).length;
  if (night >= 3) {
    state.question(
      "time.zone",
      `By the log's times the sun shines at night (${night} rows between 22 and 3 h): they are not the site's wall time.`,
      ["UTC", "site"],
    );
    return;
  }
  const first = walls.findIndex((w) => !Number.isNaN(w));
  // A footer at the end has no time.
  const last = walls.findLastIndex((w) => !Number.isNaN(w));
  if (first === -1 || Math.abs(walls[last] - walls[first]) < 20 * HOUR_MS) return;
  let x = 0;
  let y = 0;
  for (let i = 0; i < walls.length; i++) {
    if (!(sun[i] > 0) || Number.isNaN(walls[i])) continue;
    // The mean of an angle, since the sun of a log in UTC may lie round midnight.
    const angle = ((walls[i] % DAY_MS) / DAY_MS) * 2 * Math.PI;
    x += sun[i] * Math.cos(angle);
    y += sun[i] * Math.sin(angle);
  }
  if (x === 0 && y === 0) return;
  const hour = ((Math.atan2(y, x) / (2 * Math.PI)) * 24 + 24) % 24;
  state.tell("time.zone: the sun's middle", `${hour.toFixed(1)} h`, 0.8, { hour: round(hour) });
  if (hour < 9.5 || hour > 15.5) {
    state.question(
      "time.zone",
      `The sun's energy is centred at ${hour.toFixed(1)} h by the log's times, which is not noon: they are not the site's wall time.`,
      ["UTC", "site"],
    );
  }
}

const NIGHT_SUN_W = 100;

function isDeepNight(wallMs: number): boolean {
  const hour = (wallMs % DAY_MS) / HOUR_MS;
  return hour >= 22 || hour < 3;
}

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

function round(value: number): number {
  return Math.round(value * 1000) / 1000;
}
