import type { LocalClock } from "../analysis/local-time";
import type { Quantity } from "../analysis/results";
import {
  formatCount,
  formatDuration,
  formatLoading,
  formatLocalTime,
  formatMonth,
  formatShare,
  formatYearDate,
  howOften,
} from "./format";
import { quantityName } from "./quantity-name";

/** Where on the site's sheets one acts on it. */
export type AttentionPlace =
  | { readonly sheet: "logs" }
  | { readonly sheet: "log"; readonly logId: number }
  | { readonly sheet: "month"; readonly month: string }
  | { readonly sheet: "transfers"; readonly month: string }
  | { readonly sheet: "quality"; readonly month: string }
  | { readonly sheet: "moment"; readonly atMs: number };

/** One thing of a site that wants a person. */
export type Attention = {
  readonly code: string;
  /** `danger` before everything else, `act` where nothing goes on without a person, `look` where it is worth a look. */
  readonly urgency: "danger" | "act" | "wait" | "look";
  readonly text: string;
  readonly place: AttentionPlace;
  /** What the way there is called. */
  readonly link: string;
};

/** What is known of a site when it is asked whether it wants somebody. */
export type SiteFacts = {
  readonly samplesRevision: number;
  readonly resultsRevision: number | null;
  readonly latestMonth: string | null;
  readonly months: readonly string[];
  /** The last sample, epoch ms. */
  readonly lastMs: number | null;
  readonly transfersThisMonth: number;
  readonly transfersMonthBefore: number;
  readonly peak: { readonly loading: number; readonly quantity: Quantity; readonly atMs: number } | null;
  readonly coverage: number | null;
  /** What runs or waits; null for nothing. */
  readonly job: {
    readonly kind: string;
    readonly logId: number | null;
    readonly share: number | null;
  } | null;
  readonly neutralAtMs: number | null;
  readonly waiting: { readonly logs: number; readonly logId: number; readonly name: string } | null;
  readonly failed: readonly {
    readonly kind: string;
    readonly logId: number | null;
    readonly message: string;
  }[];
  readonly lastReceivedAtMs: number | null;
};

/** A log that came at most so long after its last sample is taken to be one that goes on coming. */
const GOES_ON_S = 2 * 86_400;

/** So long without a sample, and such a log has stopped. */
const STOPPED_S = 2 * 86_400;

/** Covered less than this, the figures of a month leave much out. */
const WELL_COVERED = 0.9;

/**
 * What of a site wants a person, the most urgent first; empty where nothing does.
 *
 * @param nowMs what the last sample is held against, epoch ms
 */
export function siteAttention(site: SiteFacts, clock: LocalClock, nowMs: number): Attention[] {
  return [...dangers(site, clock), ...toDo(site, clock, nowMs), ...toLookAt(site, clock)];
}

function dangers({ neutralAtMs }: SiteFacts, clock: LocalClock): Attention[] {
  if (neutralAtMs === null) return [];
  return [
    {
      code: "open-neutral",
      urgency: "danger",
      text: `Stop: the neutral may be open or bad, as on ${formatLocalTime(neutralAtMs, clock)}. Switch off what is sensitive and call an electrician now.`,
      place: { sheet: "month", month: clock.date(neutralAtMs).slice(0, 7) },
      link: "What this stands on",
    },
  ];
}

const FAILED: { readonly [kind: string]: string } = {
  import: "A log could not be imported",
  refold: "A change of the logs could not be made",
  recompute: "The results could not be computed",
};

function toDo(site: SiteFacts, clock: LocalClock, nowMs: number): Attention[] {
  const list: Attention[] = [];
  for (const { kind, logId, message } of site.failed) {
    list.push({
      code: `failed-${kind}`,
      urgency: "act",
      text: `${FAILED[kind] ?? "Something failed"}${message === "" ? "." : `: ${message}`}`,
      place: logId === null ? { sheet: "logs" } : { sheet: "log", logId },
      link: logId === null ? "The logs" : "That log",
    });
  }
  if (site.waiting !== null) {
    const { logs, logId, name } = site.waiting;
    list.push({
      code: "import-waits",
      urgency: "act",
      text:
        logs === 1
          ? `The log ${name === "" ? "" : `“${name}” `}came and waits for you to say how it is read.`
          : `${logs} logs came and wait for you to say how they are read.`,
      place: logs === 1 ? { sheet: "log", logId } : { sheet: "logs" },
      link: logs === 1 ? "Look it over" : "Look them over",
    });
  }
  if (site.latestMonth === null && site.samplesRevision === 0 && site.waiting === null && site.job === null) {
    list.push({
      code: "no-log",
      urgency: "act",
      text: "No log so far.",
      place: { sheet: "logs" },
      link: "Import the first log",
    });
  }
  const { lastMs, lastReceivedAtMs } = site;
  if (lastMs !== null && lastReceivedAtMs !== null) {
    const silentS = (nowMs - lastMs) / 1000;
    if ((lastReceivedAtMs - lastMs) / 1000 <= GOES_ON_S && silentS > STOPPED_S) {
      list.push({
        code: "log-stopped",
        urgency: "act",
        text: `No samples for ${formatDuration(silentS)}: the last is of ${formatYearDate(lastMs, clock)}. Look whether the logger still runs, or import the next log.`,
        place: { sheet: "logs" },
        link: "Import a log",
      });
    }
  }
  if (site.job?.kind === "import") {
    const { logId, share } = site.job;
    list.push({
      code: "importing",
      urgency: "wait",
      text: `A log is being imported${share === null ? "" : ` (${formatShare(Math.floor(share * 100) / 100)})`}.`,
      place: logId === null ? { sheet: "logs" } : { sheet: "log", logId },
      link: "How far it is",
    });
  } else if (site.resultsRevision !== site.samplesRevision && site.samplesRevision > 0) {
    list.push({
      code: "computing",
      urgency: "wait",
      text: "Results are being computed for the newest samples; the figures here are older.",
      place: site.latestMonth === null ? { sheet: "logs" } : { sheet: "month", month: site.latestMonth },
      link: site.latestMonth === null ? "The logs" : "The month",
    });
  }
  return list;
}

function toLookAt(site: SiteFacts, clock: LocalClock): Attention[] {
  const { latestMonth: month, peak, coverage, transfersThisMonth, transfersMonthBefore, months } = site;
  if (month === null) return [];
  const list: Attention[] = [];
  if (peak !== null && peak.loading >= 1) {
    list.push({
      code: "limit-reached",
      urgency: "look",
      text: `A limit was reached in ${formatMonth(month)}: ${quantityName(peak.quantity)} at a loading of ${formatLoading(peak.loading)} on ${formatLocalTime(peak.atMs, clock)}.`,
      place: { sheet: "moment", atMs: peak.atMs },
      link: "That moment",
    });
  }
  if (transfersThisMonth > 0) {
    const before =
      months.length > 1 ? ` (the month before: ${formatCount(transfersMonthBefore, "transfer")})` : "";
    list.push({
      code: "transfers",
      urgency: "look",
      text: `It went over to the utility ${howOften(transfersThisMonth)} in ${formatMonth(month)}${before}.`,
      place: { sheet: "transfers", month },
      link: "Why",
    });
  }
  if (coverage !== null && coverage < WELL_COVERED) {
    list.push({
      code: "coverage",
      urgency: "look",
      text: `The log covers ${formatShare(coverage)} of its days in ${formatMonth(month)}; what is missing counts in no figure.`,
      place: { sheet: "quality", month },
      link: "What is missing",
    });
  }
  return list;
}
