import { nearLimitsOver } from "../../db/queries/near-limits-over";
import { peaksOfDay } from "../../db/queries/peaks-of-day";
import type { SiteRow } from "../../db/queries/site-by-slug";
import { type SiteStretch, stretchOfSite } from "../../db/queries/stretch-of-site";
import { createLocalClock } from "../../src/analysis/local-time";
import { ratingsAt, ratingsPeriods } from "../../src/analysis/ratings-in-force";
import type { NearLimitInterval, Transfer } from "../../src/analysis/results";
import type { SampleLoads, SamplesAcross } from "../../src/report/across-transfer-sentence";
import type { LoadPeak, TransferStay } from "../../src/report/stay-remedy";
import { read } from "./read";

/** How far before a transfer its last sample on the inverter is looked for: as long as an unknown state may last. */
const BEFORE_MS = 600_000;

const AFTER_MS = 60_000;

const OF_LOAD: ReadonlySet<string> = new Set(["overload", "motor-start", "load-step"]);

/** The samples on either side of a transfer, and the greatest loads of the stay that followed. */
export type AroundTransfer = {
  across: SamplesAcross;
  /** Null where no load brought the transfer about, or its limit was one in VA or of a part of the load. */
  stay: TransferStay | null;
};

export async function transferStay(
  { siteId, site }: Pick<SiteRow, "siteId" | "site">,
  transfer: Transfer,
): Promise<AroundTransfer> {
  const { atMs } = transfer;
  const stretchFrom = (fromMs: number, toMs: number) =>
    read((database) => stretchOfSite(database, siteId, site, site.settings, { fromMs, toMs }));
  const near = await stretchFrom(atMs - BEFORE_MS, atMs + AFTER_MS);
  const across = samplesAcross(near, atMs);
  const peak = transfer.evidence.find(({ code }) => code === "peak-loading");
  const inW = peak?.code === "peak-loading" && peak.figures.shownIn === "W";
  if (!(inW && OF_LOAD.has(transfer.cause))) return { across, stay: null };

  const toMs = transfer.returnedAtMs ?? Math.round(atMs + transfer.onUtilityS * 1000);
  const whole = { fromMs: atMs, toMs };
  const stretch = await stretchFrom(atMs, toMs);
  if (stretch === null) return { across, stay: null };
  const [peaks, intervals] = await read((database) =>
    Promise.all([
      peaksOfDay(database, siteId, site, site.settings, stretch),
      nearLimitsOver(database, siteId, whole),
    ]),
  );
  const ratings = ratingsAt(ratingsPeriods(site.ratings, createLocalClock(site.timezone)), atMs);
  const limits = { L1: ratings.legLimitW, L2: ratings.legLimitW, total: ratings.totalLimitW };
  const found = { L1: peaks.l1W, L2: peaks.l2W, total: peaks.loadW };
  const greatest = (quantity: "L1" | "L2" | "total"): LoadPeak | null => {
    // Of stored minutes the first begins after the transfer; its own sample comes before.
    const first = across.first?.[quantity] ?? null;
    const ofSamples = found[quantity];
    let most: LoadPeak | null =
      ofSamples === null ? null : { loadW: ofSamples.value, atMs: ofSamples.atMs, limitW: limits[quantity] };
    if (first !== null && (most === null || first > most.loadW))
      most = { loadW: first, atMs, limitW: limits[quantity] };
    for (const interval of intervals) {
      if (interval.quantity !== quantity || !isInW(interval)) continue;
      if (interval.peakAtMs < atMs || interval.peakAtMs >= toMs) continue;
      if (most === null || interval.peakW >= most.loadW)
        most = { loadW: interval.peakW, atMs: interval.peakAtMs, limitW: interval.limitW };
    }
    return most;
  };
  const stay: TransferStay = {
    toMs,
    returned: transfer.returnedAtMs !== null,
    L1: greatest("L1"),
    L2: greatest("L2"),
    total: greatest("total"),
  };
  return { across, stay };
}

/** Whether its loading is that of the load in W, and not in VA or of a part of it. */
function isInW(
  interval: NearLimitInterval,
): interval is NearLimitInterval & { peakW: number; limitW: number } {
  const { peakW, limitW, peakLoading } = interval;
  return peakW !== null && limitW !== null && Math.abs(peakW / limitW - peakLoading) < 1e-6;
}

function samplesAcross(near: SiteStretch | null, atMs: number): SamplesAcross {
  if (near === null || near.kind !== "samples") return { last: null, first: null, intervalS: null };
  const { timesMs, sources, nominalS } = near;
  const loads = (place: number): SampleLoads | null => {
    if (place < 0) return null;
    const value = (channel: "loadL1W" | "loadL2W" | "loadW") => {
      const read = near.channels[channel]?.mean[place];
      return read === undefined || Number.isNaN(read) ? null : read;
    };
    return { atMs: timesMs[place], L1: value("loadL1W"), L2: value("loadL2W"), total: value("loadW") };
  };
  const first = timesMs.indexOf(atMs);
  const run = sources?.findLast(({ source, toMs }) => source === "inverter" && toMs <= atMs);
  const last = run === undefined ? -1 : timesMs.findLastIndex((at) => at < run.toMs);
  return { last: loads(last), first: loads(first), intervalS: nominalS };
}
