import type { LocalClock } from "../analysis/local-time";
import { AGREEMENTS } from "../analysis/meter-agreement";
import type { QualityDay } from "../analysis/quality-day";
import type { PeriodQuality } from "../analysis/quality-of-period";
import type { Settings } from "../analysis/settings";
import { formatCount, formatDuration, formatEnergy, formatNumber, formatShare } from "./format";
import {
  clockSentences,
  frozenSentence,
  jumpSentence,
  lagSentence,
  metersSentence,
  restingSocSentence,
} from "./quality-sentence";
import { touchedResults } from "./touched-results";

/** One thing that makes a log doubtful, in words, and which results it touches. */
export type QualityFinding = {
  kind: "frozen" | "jump" | "meters" | "clock";
  logger: string;
  sentence: string;
  touches: string;
};

/** What of a logger's quality is spoken of. */
export type QualitySubject = { name: string; days: readonly QualityDay[]; period: PeriodQuality };

/** Jumps that are told one by one; of more the number is given. */
const JUMPS_TOLD = 20;

/**
 * What is doubtful in a period's logs, worst kind first: channels that hung, impossible values, meters that disagree,
 * clocks. Empty where nothing is.
 *
 * @param loggers the site's first logger first
 * @param balance days with what sun, battery and grid supplied and what of it was left, Wh
 */
export function qualityFindings(
  loggers: readonly QualitySubject[],
  balance: readonly { date: string; lossesWh: number; suppliedWh: number }[],
  settings: Pick<Settings, "lossNoteShare" | "totalDisagreement">,
  clock: LocalClock,
): QualityFinding[] {
  const findings: QualityFinding[] = [];
  for (const { name: logger, days, period } of loggers) {
    const add = (kind: QualityFinding["kind"], sentence: string, touches: string) =>
      findings.push({ kind, logger, sentence, touches });
    for (const run of period.frozen) add("frozen", frozenSentence(run, clock), touchedResults(run.channel));
    for (const run of period.restingSoc)
      add("frozen", restingSocSentence(run, clock), touchedResults("batterySocPct"));
    for (const jump of period.jumps.slice(0, JUMPS_TOLD))
      add("jump", jumpSentence(jump, clock), touchedResults(jump.channel));
    const more = period.jumpCount - Math.min(period.jumps.length, JUMPS_TOLD);
    if (more > 0)
      add("jump", `${formatCount(more, "more such value")} in the period.`, "the results of those channels");
    for (const what of AGREEMENTS) {
      const apart = days.flatMap(({ date, meters }) =>
        meters
          .filter((one) => one.what === what && one.share > settings.totalDisagreement)
          .map(({ share }) => ({ date, share })),
      );
      if (apart.length > 0)
        add("meters", metersSentence(what, apart, settings.totalDisagreement), TOUCHED_BY[what]);
    }
    for (const sentence of clockSentences(period.clock, clock))
      add("clock", sentence, "days, months, tariffs and scheduled causes; nothing else");
    const lag = logger === loggers[0].name ? null : lagSentence(logger, loggers[0].name, days);
    if (lag !== null)
      add("clock", lag, "every result that takes channels of both loggers, energy shares above all");
  }
  const apart = balance.filter(
    ({ lossesWh, suppliedWh }) => suppliedWh > 0 && Math.abs(lossesWh) > settings.lossNoteShare * suppliedWh,
  );
  if (apart.length > 0) {
    const share = (day: (typeof apart)[number]) => Math.abs(day.lossesWh) / day.suppliedWh;
    const worst = apart.reduce((most, day) => (share(day) > share(most) ? day : most));
    findings.push({
      kind: "meters",
      logger: loggers.map(({ name }) => name).join(" + "),
      sentence: `On ${formatCount(apart.length, "day")} sun, battery and grid against load, charging and export leave more than ${formatShare(settings.lossNoteShare)} (setting lossNoteShare); most on ${worst.date}: ${formatEnergy(worst.lossesWh)} of ${formatEnergy(worst.suppliedWh)} supplied.`,
      touches: "energy shares, solar fraction and self-consumption",
    });
  }
  const order = ["frozen", "jump", "meters", "clock"];
  return findings.sort((a, b) => order.indexOf(a.kind) - order.indexOf(b.kind));
}

const TOUCHED_BY = {
  "legs-total": touchedResults("loadW"),
  "battery-volt-amperes": touchedResults("batteryW"),
  "strings-total": touchedResults("solarW"),
} as const;

/**
 * The quality of a period in one or two sentences.
 *
 * @param lengthS of the period, s
 */
export function qualityHeadline(
  loggers: readonly QualitySubject[],
  gaps: readonly { fromMs: number; toMs: number }[],
  findings: readonly QualityFinding[],
  lengthS: number,
): string {
  const first = loggers.at(0);
  if (first === undefined || first.period.samples === 0) return "There are no samples in this period.";
  const covered = formatShare(Math.min(1, first.period.heldS / lengthS));
  const longest = gaps.reduce((most, { fromMs, toMs }) => Math.max(most, toMs - fromMs), 0);
  const holes =
    gaps.length === 0
      ? "without a gap"
      : `with ${formatCount(gaps.length, "gap")}, the longest of ${formatDuration(longest / 1000)}`;
  const count = (kind: QualityFinding["kind"]) => findings.filter((one) => one.kind === kind).length;
  const doubts = [
    [count("frozen"), "stretch in which a channel hung", "stretches in which a channel hung"],
    [first.period.jumpCount, "impossible value", "impossible values"],
    [count("meters"), "disagreement of meters", "disagreements of meters"],
    [count("clock"), "doubt about a clock", "doubts about clocks"],
  ] as const;
  const told = doubts
    .filter(([n]) => n > 0)
    .map(([n, one, many]) => `${formatNumber(n, 0)} ${n === 1 ? one : many}`);
  return `The log covers ${covered} of this period, ${holes}. ${told.length === 0 ? "Nothing in it looks wrong." : `Doubtful: ${told.join(", ")}.`}`;
}
