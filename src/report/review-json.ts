import type { LocalClock } from "../analysis/local-time";
import type {
  CauseFindings,
  DayResult,
  EnergyShares,
  NearLimitInterval,
  Note,
  ReviewResult,
} from "../analysis/results";
import type { Settings } from "../analysis/settings";
import { evidenceSentence } from "./evidence-sentence";
import { localIso } from "./format";
import { noteSentence } from "./note-sentence";

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
const NOT_YET = [
  "demand.serviceA",
  "demand.passThroughA",
  "voltage",
  "continuousLoad",
  "steps",
  "signatures",
  "battery",
] as const;

/**
 * The object that `review --json` prints, version 1: instants as ISO 8601 with the site's offset, energies
 * in kWh, null where the log can't tell or this version doesn't compute it, with the reason in `notes`.
 */
export function reviewJson(
  result: ReviewResult,
  site: { readonly name: string; readonly settings: Settings },
  files: readonly FileCounts[],
  clock: LocalClock,
  moreNotes: readonly Note[] = [],
): Record<string, unknown> {
  const iso = (atMs: number) => localIso(atMs, clock);
  const isoOrNull = (atMs: number | null) => (atMs === null ? null : iso(atMs));
  const notes = [
    ...moreNotes,
    ...result.notes,
    ...NOT_YET.map((what): Note => ({ code: "not-yet", figures: { what } })),
  ];
  const findings = (found: CauseFindings) => ({
    cause: found.cause,
    alsoHolds: found.alsoHolds,
    certainty: found.certainty,
    limiting: found.limiting,
    peakLoading: found.peakLoading,
    peakAt: isoOrNull(found.peakAtMs),
    tags: found.tags,
    nuisance: found.nuisance,
    avoidable: found.avoidable,
    evidence: found.evidence.map((one) => ({
      code: one.code,
      message: evidenceSentence(one, clock),
      ...timesAsIso(one.figures, iso),
    })),
  });
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
    coverage: {
      from: isoOrNull(result.coverage.fromMs),
      to: isoOrNull(result.coverage.toMs),
      samples: result.coverage.samples,
      nominalS: result.coverage.nominalS,
      heldS: result.coverage.heldS,
      ratio: result.coverage.ratio,
      gaps: result.coverage.gaps.map((gap) => ({ from: iso(gap.fromMs), to: iso(gap.toMs) })),
    },
    nearLimit: result.nearLimit.map((interval) => nearLimitJson(interval, iso)),
    transfers: result.transfers.map((transfer) => ({
      at: iso(transfer.atMs),
      returnedAt: isoOrNull(transfer.returnedAtMs),
      onUtilityS: transfer.onUtilityS,
      lowerBound: transfer.lowerBound,
      to: transfer.to,
      ...findings(transfer),
    })),
    dropouts: result.dropouts.map((dropout) => ({
      at: iso(dropout.atMs),
      endedAt: isoOrNull(dropout.endedAtMs),
      deadS: dropout.deadS,
      lowerBound: dropout.lowerBound,
      ...findings(dropout),
    })),
    returnDelay: result.returnDelay,
    imbalance:
      result.figures.imbalance === null
        ? null
        : {
            intervals: result.figures.imbalance.intervals.map((interval) => ({
              from: iso(interval.fromMs),
              to: iso(interval.toMs),
              durationS: interval.durationS,
              maxDifferenceW: interval.maxDifferenceW,
              heavierLeg: interval.heavierLeg,
            })),
            meanShare: result.figures.imbalance.meanShare,
            maxNeutralA: result.figures.imbalance.maxNeutralA,
            strandedW: {
              atPeak: result.figures.imbalance.strandedAtPeakW,
              mean: result.figures.imbalance.strandedMeanW,
            },
          },
    demand:
      result.figures.demand === null
        ? null
        : {
            peakW: result.figures.demand.peakW,
            peakAt: iso(result.figures.demand.peakAtMs),
            heavierLegPeakA: result.figures.demand.heavierLegPeakA,
            serviceA: null,
            passThroughA: null,
            loadFactor: result.figures.demand.loadFactor,
            recordDays: result.figures.demand.recordDays,
          },
    shares: {
      total: sharesJson(result.total),
      days: result.days.map((day) => ({
        date: day.date,
        coverage: shareCoverage(day),
        ...sharesJson(day.shares),
      })),
    },
    longestRunHeld: result.figures.longestRunHeld,
    ...Object.fromEntries(NOT_YET.filter((what) => !what.includes(".")).map((what) => [what, null])),
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

/** Figures named …Ms are instants: they leave as ISO times without the suffix. */
function timesAsIso(figures: Note["figures"], iso: (atMs: number) => string): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(figures).map(([name, value]) =>
      name.endsWith("Ms") && typeof value === "number" && Number.isFinite(value)
        ? [name.slice(0, -2), iso(value)]
        : [name, value],
    ),
  );
}
