import type { Minutes } from "./minutes";

/** The sun of one day. */
export type SunDay = {
  /** Middle of the sun's energy, epoch ms. */
  middleMs: number;
  energyWh: number;
};

/**
 * Middle of the energy that came from the sun over rows `from` to `to`, which are a whole day: Σ P·h·t / Σ P·h.
 * Null without a solar channel, without sun, or where more than a tenth of the day is missing, since a hole moves
 * the middle.
 */
export function sunMiddle(minutes: Minutes, from: number, to: number, dayS: number): SunDay | null {
  const columns = (["solarW", "solar1W", "solar2W", "solar3W", "solar4W"] as const)
    .map((channel) => minutes.channels[channel]?.mean)
    .filter((column) => column !== undefined);
  if (columns.length === 0) return null;
  const strings = minutes.channels.solarW === undefined ? columns : columns.slice(0, 1);
  let heldS = 0;
  let energyWs = 0;
  let momentMs = 0;
  const originMs = minutes.minuteMs[from];
  for (let row = from; row < to; row++) {
    let powerW = 0;
    for (const string of strings) powerW += string[row];
    if (Number.isNaN(powerW)) continue;
    const held = minutes.heldS[row];
    heldS += held;
    if (powerW <= 0) continue;
    energyWs += powerW * held;
    momentMs += powerW * held * (minutes.minuteMs[row] + HALF_MINUTE_MS - originMs);
  }
  if (energyWs <= 0 || heldS < 0.9 * dayS) return null;
  return { middleMs: originMs + momentMs / energyWs, energyWh: energyWs / 3600 };
}

const HALF_MINUTE_MS = 30_000;
