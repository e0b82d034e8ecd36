import type { LocalClock } from "../analysis/local-time";
import type { Note } from "../analysis/results";
import { formatDuration, formatEnergy, formatLocalTime, formatShare } from "./format";

/** A note on the results as a sentence. A code from a newer version is shown with its figures. */
export function noteSentence(note: Note, clock: LocalClock): string {
  const number = (name: string) => {
    const value = note.figures[name];
    return typeof value === "number" ? value : Number.NaN;
  };
  switch (note.code) {
    case "no-load":
      return "The log has no load channel: loading, transfers' causes and energy shares can't be told.";
    case "no-legs":
      return "The log has the total load but not the legs: every result per leg is not in this log.";
    case "no-source":
      return "The log has neither a source column nor grid power: when the loads were on the utility can't be told.";
    case "source-from-grid":
      return "The log has no source column: on inverter or on utility is taken from the grid's power.";
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
    case "total-disagrees":
      return `Measured total and the sum of the legs were more than ${formatShare(number("totalDisagreement"))} apart for ${formatDuration(number("apartS"))}: one of the meters, or its column, is wrong.`;
    case "negative-load":
      return `A leg's load was negative in ${number("samples")} samples: a source feeds in behind the meter.`;
    case "blending":
      return `In ${number("samples")} samples on inverter the grid carried a part of the load; the inverter's part is load − grid import${number("legsUnknown") > 0 ? `, and in ${number("legsUnknown")} of them not known per leg` : ""}.`;
    case "return-delay-differs":
      return `The loads came back ${formatDuration(number("medianS"))} after they were under their limits (median of ${number("n")}), not after the ${formatDuration(number("returnDelayS"))} of the ratings.`;
    case "before-first-rating":
      return `Some samples are older than the first ratings (${note.figures.from}): they are held against those all the same.`;
    case "interval-changed":
      return `From ${formatLocalTime(number("fromMs"), clock)} on the log has a sample every ${formatDuration(number("intervalS"))}.`;
    case "meters-disagree":
      return `On ${note.figures.date} the meters disagree by ${formatEnergy(number("lossesWh"))} out of ${formatEnergy(number("suppliedWh"))} supplied (noted from ${formatShare(number("lossNoteShare"))}).`;
    case "guessed":
      return `${note.figures.log}: ${note.figures.choice} was taken to be ${note.figures.value} on weak evidence (${formatShare(number("confidence"))}). If that is wrong, say so in columns.json.`;
    case "series.sorted":
      return `${note.figures.log ?? "The log"}: its rows were not in order of time; they were sorted.`;
    case "solar-below-zero":
      return `${note.figures.log ?? "The log"}: ${number("cells")} cells of solar power were below zero and count as nothing.`;
    case "several-loggers-later":
      return "The site has several loggers with samples: this version analyses the first one only.";
    case "not-yet":
      return `This version doesn't compute yet: ${note.figures.what}.`;
    default:
      return `${note.code}: ${Object.entries(note.figures)
        .map(([name, value]) => `${name} ${value}`)
        .join(", ")}`;
  }
}
