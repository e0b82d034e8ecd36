import type { LocalClock } from "../analysis/local-time";
import type { CantTellReason, NoteFigures } from "../analysis/note";
import type { Note } from "../analysis/results";
import { channelName } from "./channel-name";
import {
  formatCount,
  formatDuration,
  formatEnergy,
  formatLocalTime,
  formatPower,
  formatShare,
} from "./format";

const REASONS: { readonly [R in CantTellReason]: string } = {
  none: "there is none",
  "no-samples": "the log holds no samples",
  "too-few-samples": "the log has fewer than two samples",
  "no-load": "the load isn't in the log",
  "no-load-there": "no load is known around it",
  "no-legs": "the load per leg isn't in the log",
  "no-source": "the log doesn't tell what carried the loads",
  "not-covered": "no clock interval of 15 minutes is covered enough (setting demandCoverage)",
  "not-enough":
    "no clock interval of 15 minutes has enough of it, measured or reckoned (setting demandCoverage)",
  "not-shown": "the log ends, or a gap begins, before it",
  "not-measured": "it isn't measured in the log, and nothing there gives it",
  "no-rating": "the ratings don't give what it needs",
  "no-volts": "the voltage of the legs isn't in the log",
  "no-battery": "neither current, power nor state of charge of the battery is in the log",
  "no-battery-current": "the battery's current isn't in the log",
  "no-battery-power": "the battery's power isn't in the log",
  "no-soc": "the battery's state of charge isn't in the log",
  "no-fit": "too few samples or days on inverter without sun, or loads too much alike",
  "too-few-steps":
    "fewer than 20 steps of the battery's current were logged with its voltage, or they explain nothing",
  "no-deep-discharge": "too few discharges of 30 points of state of charge or more were logged",
  "too-short": "less than a day of the battery's power was logged",
  "no-round-trip":
    "no two local midnights of equal state of charge lie a full cycle apart with the battery's power known between them",
  "share-of-nothing": "it would be a share of nothing",
  "see-message": "the message beside it says why",
  "no-reason": "this version doesn't say why",
};

/**
 * A note on the results as a sentence, from its figures alone. Every code has one; a code from a newer version is
 * shown with its figures.
 */
export function noteSentence(note: Note, clock: LocalClock): string {
  const { code, figures } = note;
  switch (code) {
    case "no-load":
      return "The log has no load channel: loading, transfers' causes and energy shares can't be told.";
    case "no-legs":
      return "The log has the total load but not the legs: every result per leg is not in this log.";
    case "no-source":
      return "The log has neither a source column nor grid power: when the loads were on the utility can't be told.";
    case "source-from-grid":
      return `The log has no source column: the loads count as on the utility where the grid gives ${formatShare(figures.sourceFromGridShare)} of them or more (setting sourceFromGridShare); under ${formatShare(figures.sourceFloorShare)} of the total limit the state before stays (setting sourceFloorShare).`;
    case "no-solar":
      return "The log has no solar channel: solar counts as nothing.";
    case "no-battery":
      return "The log has no battery channel: the battery counts as nothing.";
    case "battery-no-volts":
      return "The log has battery current but no battery voltage or power: the battery's energy counts as nothing.";
    case "grid-from-balance":
      return "The log has no grid channel: grid power on utility is taken as load + charging − solar, and nothing on inverter.";
    case "power-factor-one":
      return "Leg power is taken as current times voltage: power factor 1 is assumed.";
    case "derived":
      return `The ${channelName(figures.what)} is not in this log: it is taken as ${channelName(figures.from)}.`;
    case "unknown-device":
      return `The ratings name "${figures.device}" as rated for 100 % of its current, which is none of the devices that are looked at (service, pass-through, dc-fuse).`;
    case "total-disagrees":
      return `Measured total and the sum of the legs were more than ${formatShare(figures.totalDisagreement)} apart (setting totalDisagreement) for ${formatDuration(figures.apartS)}: one of the meters, or its column, is wrong.`;
    case "negative-load":
      return `A load was negative in ${formatCount(figures.samples, "sample")}: a source feeds in behind the meter.`;
    case "blending":
      return `In ${formatCount(figures.samples, "sample")} on inverter the grid carried more than ${formatShare(figures.blendingShare)} of the load (setting blendingShare); the inverter's part is load − grid import${figures.legsUnknown > 0 ? `, and in ${figures.legsUnknown} of them not known per leg` : ""}.`;
    case "return-delay-differs":
      return `The loads came back ${formatDuration(figures.medianS)} after they were under their limits (median of ${formatCount(figures.n, "return")}, ± ${formatDuration(figures.intervalS)}), not after the ${formatDuration(figures.returnDelayS)} of the ratings; they may differ by ${formatDuration(figures.toleranceS)} before this is said.`;
    case "before-first-rating":
      return `Some samples are older than the first ratings (${figures.from}): they are held against those all the same.`;
    case "interval-changed":
      return `From ${formatLocalTime(figures.fromMs, clock)} on the log has a sample every ${formatDuration(figures.intervalS)}.`;
    case "meters-disagree":
      return `On ${figures.date} the meters disagree by ${formatEnergy(figures.lossesWh)} out of ${formatEnergy(figures.suppliedWh)} supplied (noted above ${formatShare(figures.lossNoteShare)}, setting lossNoteShare).`;
    case "channel-of-two-loggers":
      return `The loggers ${figures.by} and ${figures.logger} both have ${figures.channel}: that of ${figures.by} counts. Which one does is said by the order of the site's loggers, or by the channels listed with them.`;
    case "guessed":
      return `${figures.log}: ${figures.choice} was taken to be ${figures.value} on weak evidence (${formatShare(figures.confidence)}). If that is wrong, say so in columns.json.`;
    case "series.sorted":
      return `${figures.log ?? "The log"}: its rows were not in order of time; they were sorted.`;
    case "solar-below-zero":
      return `${figures.log ?? "The log"}: ${formatCount(figures.cells, "cell")} of solar power ${figures.cells === 1 ? "was" : "were"} below zero and ${figures.cells === 1 ? "counts" : "count"} as nothing.`;
    case "series.counter-coarse":
      return `${figures.log ?? "The log"}: ${channelName(figures.channel)} comes from a counter with steps of ${formatEnergy(figures.resolutionWh)}, of which one within an interval means ${formatPower(figures.stepW)}: its power is good as a mean, not sample by sample.`;
    case "cant-tell":
      return cantTell(figures);
    case "not-yet":
      return `This version doesn't compute yet: ${figures.what}.`;
    default:
      return ofNewerVersion(note);
  }
}

function cantTell(figures: NoteFigures["cant-tell"]): string {
  const reason = REASONS[figures.reason as CantTellReason] ?? figures.reason;
  const where = figures.places === 1 ? figures.what : `${figures.what} (in ${figures.places} places)`;
  return `${where} is null: ${reason}${figures.needs === null ? "" : ` (${figures.needs})`}.`;
}

/** What a database filled by a newer version may hold. */
function ofNewerVersion(note: never): string {
  const { code, figures } = note as { code: string; figures: { [name: string]: unknown } };
  return `${code}: ${Object.entries(figures)
    .map(([name, value]) => `${name} ${value}`)
    .join(", ")}.`;
}
