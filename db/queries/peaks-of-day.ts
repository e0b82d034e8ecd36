import type { Settings } from "../../src/analysis/settings";
import type { Site } from "../../src/site/parse-site";
import type { Database } from "../open-database";
import { type SiteStretch, type StretchChannel, stretchOfSite } from "./stretch-of-site";

/** A value and the first sample that has it. */
export type Extreme = { value: number; atMs: number };

/** How far the loads and the battery went in a stretch; null where the log has no such channel there. */
export type StretchPeaks = {
  l1W: Extreme | null;
  l2W: Extreme | null;
  loadW: Extreme | null;
  /** Least state of charge. */
  socPct: Extreme | null;
  /** State of charge at the first and the last sample that has one. */
  firstSocPct: number | null;
  lastSocPct: number | null;
};

/**
 * Greatest loads and least state of charge of a stretch, each with the sample that it was reached at: of minutes the
 * samples of the one minute are looked through.
 */
export async function peaksOfDay(
  database: Database,
  siteId: number,
  site: Pick<Site, "ratings" | "timezone">,
  settings: Settings,
  stretch: SiteStretch,
): Promise<StretchPeaks> {
  const extreme = async (channel: StretchChannel, sign: 1 | -1): Promise<Extreme | null> => {
    const found = extremeIn(stretch, channel, sign);
    if (found === null || stretch.kind === "samples") return found;
    const minute = { fromMs: found.atMs, toMs: Math.min(found.atMs + 60_000, stretch.toMs) };
    const samples = await stretchOfSite(database, siteId, site, settings, minute);
    const exact = samples === null ? null : extremeIn(samples, channel, sign);
    return exact === null || exact.value !== found.value ? found : exact;
  };
  const soc = stretch.channels.batterySocPct?.mean.filter((value) => !Number.isNaN(value)) ?? [];
  return {
    l1W: await extreme("loadL1W", 1),
    l2W: await extreme("loadL2W", 1),
    loadW: await extreme("loadW", 1),
    socPct: await extreme("batterySocPct", -1),
    firstSocPct: soc.length === 0 ? null : soc[0],
    lastSocPct: soc.length === 0 ? null : soc[soc.length - 1],
  };
}

function extremeIn(
  { timesMs, fromMs, channels }: SiteStretch,
  channel: StretchChannel,
  sign: 1 | -1,
): Extreme | null {
  const column = channels[channel];
  if (column === undefined) return null;
  const values = sign > 0 ? column.max : column.min;
  let best = -1;
  for (let at = 0; at < values.length; at += 1) {
    if (Number.isNaN(values[at])) continue;
    if (best < 0 || sign * values[at] > sign * values[best]) best = at;
  }
  return best < 0 ? null : { value: values[best], atMs: Math.max(fromMs, timesMs[best]) };
}
