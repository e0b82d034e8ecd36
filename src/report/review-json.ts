import type { LegVoltageFigures } from "../analysis/leg-voltage";
import type { LocalClock } from "../analysis/local-time";
import { noteOf } from "../analysis/note";
import { periodFindings } from "../analysis/period-findings";
import type { Ratings } from "../analysis/ratings";
import type {
  CauseFindings,
  DayResult,
  EnergyShares,
  Evidence,
  NearLimitInterval,
  Note,
  ReviewResult,
} from "../analysis/results";
import type { Settings } from "../analysis/settings";
import { batteryJson } from "./battery-json";
import { cantTellNotes } from "./cant-tell-notes";
import { evidenceSentence } from "./evidence-sentence";
import { findingSentence } from "./finding-sentence";
import { localIso } from "./format";
import { noteSentence } from "./note-sentence";
import { reviewSubject } from "./review-subject";

/** What became of the records of one file: the five add up to `records`. */
export type FileCounts = {
  name: string;
  records: number;
  taken: number;
  duplicates: number;
  conflicts: number;
  rejected: number;
  skipped: number;
  codes: { readonly [code: string]: number };
};

/** What this version leaves null, by key of the object. */
const NOT_YET = ["steps", "signatures"] as const;

/**
 * The object that `review --json` prints, version 1: instants as ISO 8601 with the site's offset, energies in kWh,
 * all other figures as they were computed. Null where the log can't tell or this version doesn't compute it, with a
 * note for each such place that says why (`what` is the path of its key).
 */
export function reviewJson(
  result: ReviewResult,
  site: { readonly name: string; readonly settings: Settings; readonly ratings: readonly Ratings[] },
  files: readonly FileCounts[],
  clock: LocalClock,
  moreNotes: readonly Note[] = [],
): Record<string, unknown> {
  const iso = (atMs: number) => localIso(atMs, clock);
  const isoOrNull = (atMs: number | null) => (atMs === null ? null : iso(atMs));
  const evidenceJson = (evidence: readonly Evidence[]) =>
    evidence.map((one) => ({
      code: one.code,
      message: evidenceSentence(one, clock),
      figures: timesAsIso(one.figures, iso),
    }));
  const { coverage, figures } = result;
  const causeJson = (found: CauseFindings) => ({
    cause: found.cause,
    alsoHolds: found.alsoHolds,
    certainty: found.certainty,
    limiting: found.limiting,
    peakLoading: found.peakLoading,
    peakAt: isoOrNull(found.peakAtMs),
    tags: found.tags,
    nuisance: found.nuisance,
    avoidable: found.avoidable,
    evidence: evidenceJson(found.evidence),
  });
  const legVoltageJson = (leg: LegVoltageFigures | null) => (leg === null ? null : timesAsIso(leg, iso));
  const { voltage, demand, imbalance, loadDuration, longestRunHeld } = figures;
  const object = {
    coverage: {
      from: isoOrNull(coverage.fromMs),
      to: isoOrNull(coverage.toMs),
      samples: coverage.samples,
      nominalS: coverage.nominalS,
      heldS: coverage.heldS,
      ratio: coverage.ratio,
      gaps: coverage.gaps.map((gap) => ({ from: iso(gap.fromMs), to: iso(gap.toMs) })),
    },
    nearLimit: result.nearLimit.map(({ evidence, ...interval }) => ({
      ...nearLimitJson(interval, iso),
      evidence: evidenceJson(evidence),
    })),
    transfers: result.transfers.map((transfer) => ({
      at: iso(transfer.atMs),
      returnedAt: isoOrNull(transfer.returnedAtMs),
      onUtilityS: transfer.onUtilityS,
      lowerBound: transfer.lowerBound,
      to: transfer.to,
      ...causeJson(transfer),
    })),
    dropouts: result.dropouts.map((dropout) => ({
      at: iso(dropout.atMs),
      endedAt: isoOrNull(dropout.endedAtMs),
      deadS: dropout.deadS,
      lowerBound: dropout.lowerBound,
      ...causeJson(dropout),
    })),
    returnDelay: result.returnDelay,
    imbalance:
      imbalance === null
        ? null
        : {
            intervals: imbalance.intervals.map((interval) => ({
              from: iso(interval.fromMs),
              to: iso(interval.toMs),
              durationS: interval.durationS,
              maxDifferenceW: interval.maxDifferenceW,
              heavierLeg: interval.heavierLeg,
              evidence: evidenceJson(interval.evidence),
            })),
            meanShare: imbalance.meanShare,
            maxNeutralA: imbalance.maxNeutralA,
            maxNeutralAt: isoOrNull(imbalance.maxNeutralAtMs),
            strandedW: { atPeak: imbalance.strandedAtPeakW, mean: imbalance.strandedMeanW },
          },
    shares: {
      total: sharesJson(result.total),
      days: result.days.map((day) => ({
        date: day.date,
        coverage: shareCoverage(day),
        ...sharesJson(day.shares),
      })),
    },
    demand:
      demand === null
        ? null
        : {
            peakW: demand.peakW,
            peakAt: iso(demand.peakAtMs),
            heavierLegPeakA: demand.heavierLegPeakA,
            heavierLegPeakAt: isoOrNull(demand.heavierLegPeakAtMs),
            heavierLegPeakLeg: demand.heavierLegPeakLeg,
            serviceA: demand.serviceA,
            serviceAt: isoOrNull(demand.serviceAtMs),
            passThroughA: demand.passThroughA,
            passThroughAt: isoOrNull(demand.passThroughAtMs),
            loadFactor: demand.loadFactor,
            recordDays: demand.recordDays,
          },
    loadDuration:
      loadDuration === null
        ? null
        : {
            shares: loadDuration.shares,
            binW: loadDuration.binW,
            total: loadDuration.total,
            L1: loadDuration.l1,
            L2: loadDuration.l2,
          },
    voltage:
      voltage === null
        ? null
        : {
            L1: legVoltageJson(voltage.l1),
            L2: legVoltageJson(voltage.l2),
            openNeutral:
              result.openNeutral?.map(({ evidence, ...stretch }) => ({
                ...timesAsIso(stretch, iso),
                evidence: evidenceJson(evidence),
              })) ?? null,
          },
    battery: batteryJson(figures.battery, iso),
    longestRunHeld: longestRunHeld === null ? null : timesAsIso(longestRunHeld, iso),
    continuousLoad: result.continuousLoad.map(({ evidence, ...stretch }) => ({
      ...timesAsIso(stretch, iso),
      evidence: evidenceJson(evidence),
    })),
    findings: periodFindings(reviewSubject(result, site.settings), site.ratings, clock).map((finding) => ({
      code: finding.code,
      message: findingSentence(finding, clock),
      figures: timesAsIso(finding.figures, iso),
      coverage: finding.coverage,
      intervalS: finding.intervalS,
      settings: finding.settings,
    })),
  };
  const notes: Note[] = [
    ...moreNotes,
    ...result.notes,
    ...cantTellNotes(object, result),
    ...NOT_YET.map((what) => noteOf("not-yet", { what })),
  ];
  return {
    version: 1,
    site: site.name,
    settings: site.settings,
    notes: notes.map((note) => ({
      code: note.code,
      message: noteSentence(note, clock),
      ...timesAsIso(note.figures, iso),
    })),
    log: { files },
    ...object,
    ...Object.fromEntries(NOT_YET.map((what) => [what, null])),
  };
}

/** Energies of D10 in kWh with the two fractions; a fraction of nothing is null. */
export function sharesJson(shares: EnergyShares): Record<string, number | null> {
  const kwh = (wattHours: number) => wattHours / 1000;
  const ratio = (part: number, whole: number) => (whole > 0 ? part / whole : null);
  return {
    loadKwh: kwh(shares.loadWh),
    solarToLoadKwh: kwh(shares.solarToLoadWh),
    batteryToLoadKwh: kwh(shares.batteryToLoadWh),
    gridToLoadKwh: kwh(shares.gridToLoadWh),
    unattributedKwh: kwh(shares.unattributedWh),
    solarToBatteryKwh: kwh(shares.solarToBatteryWh),
    gridToBatteryKwh: kwh(shares.gridToBatteryWh),
    solarToGridKwh: kwh(shares.solarToGridWh),
    batteryToGridKwh: kwh(shares.batteryToGridWh),
    generatorToLoadKwh: kwh(shares.generatorToLoadWh),
    generatorToBatteryKwh: kwh(shares.generatorToBatteryWh),
    lossesKwh: kwh(shares.lossesWh),
    solarFraction: ratio(shares.solarToLoadWh + shares.batteryToLoadOfSolarWh, shares.loadWh),
    selfConsumption: ratio(shares.solarToLoadWh + shares.solarToBatteryWh, shares.solarWh),
  };
}

function shareCoverage(day: DayResult): number {
  return day.sharesHeldS / ((day.toMs - day.fromMs) / 1000);
}

function nearLimitJson(interval: NearLimitInterval, iso: (atMs: number) => string): Record<string, unknown> {
  return {
    quantity: interval.quantity,
    from: iso(interval.fromMs),
    to: iso(interval.toMs),
    durationS: interval.durationS,
    ...(interval.quantity === "pass-through" ? { peakA: interval.peakA } : { peakW: interval.peakW }),
    peakAt: iso(interval.peakAtMs),
    peakLoading: interval.peakLoading,
    meanLoading: interval.meanLoading,
    overLimitS: interval.overLimitS,
    onInverterS: interval.onInverterS,
    onUtilityS: interval.onUtilityS,
  };
}

/** Figures named …Ms are instants: they leave as ISO times without the suffix. What isn't finite leaves as null. */
function timesAsIso(figures: object, iso: (atMs: number) => string): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(figures).map(([name, value]) => {
      const isInstant = name.endsWith("Ms");
      const known = typeof value === "number" && !Number.isFinite(value) ? null : value;
      return isInstant ? [name.slice(0, -2), typeof known === "number" ? iso(known) : known] : [name, known];
    }),
  );
}
