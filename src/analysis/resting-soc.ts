import type { Minutes } from "./minutes";
import type { Ratings } from "./ratings";

/** A stretch in which the state of charge stood still although the battery worked. Instants epoch ms. */
export type RestingSoc = { fromMs: number; toMs: number; socPct: number; netWh: number };

/** Part of the capacity that has to go in or out, on balance, before a state of charge that stands still is told. */
const MOVED_SHARE = 0.1;

/**
 * Stretches of rows `from` to `to` in which the state of charge is the same value throughout and the battery gave or
 * took a tenth of its capacity or more on balance. Nothing without state of charge, battery power (or V · A) and the
 * capacity. At 100 % charging doesn't count: the rest of it is losses.
 */
export function restingSoc(minutes: Minutes, { battery }: Ratings, from: number, to: number): RestingSoc[] {
  const soc = minutes.channels.batterySocPct;
  const { batteryW, batteryV, batteryA } = minutes.channels;
  const { capacityAh, nominalV } = battery;
  if (soc === undefined || capacityAh === undefined || nominalV === undefined) return [];
  if (batteryW === undefined && (batteryV === undefined || batteryA === undefined)) return [];
  const least = MOVED_SHARE * capacityAh * nominalV;
  const found: RestingSoc[] = [];
  let run: RestingSoc | null = null;
  const close = () => {
    if (run !== null && Math.abs(run.netWh) >= least && !(run.socPct >= 100 && run.netWh < 0))
      found.push(run);
    run = null;
  };
  for (let row = from; row < to; row++) {
    const powerW = batteryW === undefined ? batteryV!.mean[row] * batteryA!.mean[row] : batteryW.mean[row];
    const value = soc.min[row];
    const fromMs = minutes.minuteMs[row];
    if (value !== soc.max[row] || Number.isNaN(powerW) || (run !== null && run.toMs !== fromMs)) close();
    if (run !== null && value !== run.socPct) close();
    if (value !== soc.max[row] || Number.isNaN(powerW)) continue;
    run ??= { fromMs, toMs: fromMs, socPct: value, netWh: 0 };
    run.toMs = fromMs + 60_000;
    run.netWh += (powerW * minutes.heldS[row]) / 3600;
  }
  close();
  return found;
}
