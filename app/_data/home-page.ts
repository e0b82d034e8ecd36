import { listSites, type SiteCard } from "../../db/queries/list-sites";
import { siteWants } from "../../db/queries/site-wants";
import { clockOf } from "../../src/report/format";
import { type Attention, type AttentionPlace, siteAttention } from "../../src/report/site-attention";
import { dayAtHref } from "../_format/day-address";
import { read } from "./read";

/** A site as the first sheet shows it. */
export type HomeSite = SiteCard & { attention: Attention[] };

/** Every site with what of it wants a person: those that want one most urgently first, then by name. */
export async function homeSites(nowMs: number): Promise<HomeSite[]> {
  const sites = await read(async (database) => {
    const cards = await listSites(database);
    const found: HomeSite[] = [];
    for (const card of cards) {
      const wants = await siteWants(database, card.siteId);
      const facts = { ...card, ...wants, job: jobOf(card) };
      found.push({ ...card, attention: siteAttention(facts, clockOf(card.timezone), nowMs) });
    }
    return found;
  });
  return sites.toSorted((a, b) => rankOf(a) - rankOf(b));
}

/** Address of the sheet on which one acts. */
export function attentionHref(slug: string, place: AttentionPlace, timezone: string): string {
  const base = `/sites/${slug}`;
  switch (place.sheet) {
    case "logs":
      return `${base}/logs`;
    case "log":
      return `${base}/logs/${place.logId}`;
    case "month":
      return `${base}/${place.month}`;
    case "transfers":
      return `${base}/transfers?month=${place.month}`;
    case "quality":
      return `${base}/quality?month=${place.month}`;
    case "moment":
      return dayAtHref(slug, place.atMs, clockOf(timezone));
  }
}

const RANKS: Record<Attention["urgency"], number> = { danger: 0, act: 1, wait: 2, look: 3 };

function rankOf({ attention }: HomeSite): number {
  return Math.min(4, ...attention.map(({ urgency }) => RANKS[urgency]));
}

function jobOf({ job }: SiteCard) {
  if (job === null) return null;
  const { logId } = (job.payload ?? {}) as { logId?: number };
  const share =
    job.progress === null || !(job.progress.totalBytes > 0)
      ? null
      : Math.min(1, job.progress.bytes / job.progress.totalBytes);
  return { kind: job.kind, logId: logId ?? null, share };
}
