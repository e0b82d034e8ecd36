import type { ContinuousLoad, ProtectiveDevice } from "./continuous-load";
import { PROTECTIVE_DEVICES } from "./continuous-load";
import { type Covered, coveredS } from "./coverage";
import type { EvidenceCode } from "./evidence";
import { existingLoad } from "./existing-load";
import {
  type Finding,
  type FindingCode,
  type FindingFigures,
  type FindingOf,
  SETTINGS_OF_FINDING,
} from "./finding";
import { SERVICE_RANGE } from "./leg-voltage";
import type { LocalClock } from "./local-time";
import type { OpenNeutralSuspicion } from "./open-neutral";
import type { PeriodFigures } from "./period-figures";
import type { Ratings } from "./ratings";
import { ratingsAt, ratingsPeriods } from "./ratings-in-force";
import type {
  DayResult,
  Dropout,
  EnergyShares,
  Evidenced,
  Gap,
  NearLimitInterval,
  Quantity,
  ReturnDelay,
  Transfer,
} from "./results";
import type { TransferCause } from "./series";
import type { Settings } from "./settings";

/** The results of a period that its findings are made from: a month, or a whole log. */
export type PeriodSubject = {
  readonly fromMs: number;
  readonly toMs: number;
  /** Nominal interval of the log, s; null under two samples. */
  readonly nominalS: number | null;
  readonly days: readonly DayResult[];
  readonly transfers: readonly Transfer[];
  readonly dropouts: readonly Dropout[];
  readonly nearLimit: readonly NearLimitInterval[];
  /** Gaps that touch the period. */
  readonly gaps: readonly Gap[];
  /** Sum over the days; null where there is none. */
  readonly total: EnergyShares | null;
  /** Null where it isn't told for this period. */
  readonly returnDelay: ReturnDelay | null;
  readonly figures: Pick<PeriodFigures, "coverage" | "imbalance" | "longestRunHeld" | "demand" | "voltage">;
  /** Null where the log hasn't both leg voltages and both leg loads. */
  readonly openNeutral: readonly Evidenced<OpenNeutralSuspicion>[] | null;
  readonly continuousLoad: readonly Evidenced<ContinuousLoad>[];
  /** Settings that the results were computed with. */
  readonly settings: Settings;
};

/** A subject with its site's ratings, by the time for which they count. */
type Period = PeriodSubject & {
  readonly ratings: readonly Ratings[];
  readonly ratingsOf: (atMs: number) => Ratings;
};

/**
 * The figures of a period as findings, in the order in which they are read: the warning of an open neutral before
 * anything else, then what carried the loads, coverage, transfers, loading, the legs, demand and devices, voltage,
 * energy. Each carries its coverage, the log's interval and the settings it depends on. What the log can't tell is a
 * finding of code `not-in-log`. None where the period has no samples.
 *
 * @param ratings of the site; at least one
 */
export function periodFindings(
  results: PeriodSubject,
  ratings: readonly Ratings[],
  clock: LocalClock,
): Finding[] {
  if (results.days.length === 0) return [];
  const periods = ratingsPeriods(ratings, clock);
  const subject: Period = {
    ...results,
    ratings: periods.map((period) => period.ratings),
    ratingsOf: (atMs) => ratingsAt(periods, atMs),
  };
  return [
    ...openNeutralFindings(subject),
    carriedFinding(subject),
    coverageFinding(subject),
    ...transferFindings(subject),
    ...loadingFindings(subject),
    ...legFindings(subject),
    ...demandFindings(subject),
    ...deviceFindings(subject),
    ...voltageFindings(subject),
    ...energyFindings(subject),
  ];
}

function findingOf<C extends FindingCode>(
  { nominalS, settings }: Period,
  code: C,
  coverage: number | null,
  figures: FindingFigures[C],
): FindingOf<C> {
  const dependsOn = Object.fromEntries(SETTINGS_OF_FINDING[code].map((name) => [name, settings[name]]));
  return { code, figures, coverage, intervalS: nominalS, settings: dependsOn } as FindingOf<C>;
}

/** Held time in which all of the quantities are known, as far as their sums tell, over the period. */
function covered({ figures, fromMs, toMs }: Period, ...quantities: Covered[]): number | null {
  const lengthS = (toMs - fromMs) / 1000;
  if (!(lengthS > 0)) return null;
  return Math.min(...quantities.map((quantity) => coveredS(figures.coverage, quantity))) / lengthS;
}

function notInLog(subject: Period, what: FindingCode): Finding {
  return findingOf(subject, "not-in-log", null, { what });
}

function openNeutralFindings(subject: Period): Finding[] {
  const [first, ...more] = subject.openNeutral ?? [];
  if (first === undefined) return [];
  const worst = more.reduce((most, one) => (one.maxDifferenceV > most.maxDifferenceV ? one : most), first);
  return [
    findingOf(subject, "open-neutral", voltageCoverage(subject), {
      stretches: more.length + 1,
      fromMs: worst.fromMs,
      toMs: worst.toMs,
      samples: worst.samples,
      differenceV: worst.maxDifferenceV,
      l1V: worst.l1V,
      l2V: worst.l2V,
      l1W: known(worst.l1W),
      l2W: known(worst.l2W),
      atMs: worst.maxDifferenceAtMs,
      source: worst.source,
    }),
  ];
}

function carriedFinding(subject: Period): Finding {
  const sum = { onInverterS: 0, onUtilityS: 0, deadS: 0, unknownS: 0 };
  for (const { onS } of subject.days) {
    sum.onInverterS += onS.inverter;
    sum.onUtilityS += onS.utility + onS.generator;
    sum.deadS += onS.none;
    sum.unknownS += onS.unknown;
  }
  const knownS = sum.onInverterS + sum.onUtilityS + sum.deadS;
  return findingOf(subject, "carried", covered(subject, "source"), {
    ...sum,
    share: knownS > 0 ? sum.onInverterS / knownS : null,
    transfers: subject.transfers.length,
    dropouts: subject.dropouts.length,
  });
}

function coverageFinding(subject: Period): Finding {
  let samples = 0;
  let heldS = 0;
  for (const day of subject.days) {
    samples += day.samples;
    heldS += day.heldS;
  }
  const lengthS = (subject.toMs - subject.fromMs) / 1000;
  const ratio = lengthS > 0 ? heldS / lengthS : null;
  return findingOf(subject, "coverage", ratio, {
    samples,
    heldS,
    lengthS,
    ratio,
    gaps: subject.gaps.length,
  });
}

function transferFindings(subject: Period): Finding[] {
  const { transfers, dropouts, returnDelay } = subject;
  const coverage = covered(subject, "source");
  const findings: Finding[] = [];
  if (transfers.length > 0) {
    const of = transfers.length;
    findings.push(findingOf(subject, "transfers", coverage, { count: of, onUtilityS: sumOf(transfers) }));
    for (const [cause, ones] of byCause(transfers)) {
      findings.push(
        findingOf(subject, "transfers-of-cause", coverage, {
          cause,
          count: ones.length,
          seen: ones.filter(({ certainty }) => certainty === "seen").length,
          onUtilityS: sumOf(ones),
        }),
      );
    }
    const tagged = (tag: "one-leg" | "stacked-starts" | "repeat") =>
      transfers.filter(({ tags }) => tags?.includes(tag) === true).length;
    const avoidable = transfers.filter((one) => one.avoidable === true).length;
    if (avoidable > 0) {
      findings.push(
        findingOf(subject, "avoidable", coverage, {
          count: avoidable,
          of,
          oneLeg: tagged("one-leg"),
          stackedStarts: tagged("stacked-starts"),
        }),
      );
    }
    const nuisance = transfers.filter((one) => one.nuisance === true).length;
    if (nuisance > 0) findings.push(findingOf(subject, "nuisance", coverage, { count: nuisance, of }));
    const repeats = tagged("repeat");
    if (repeats > 0) findings.push(findingOf(subject, "repeats", coverage, { count: repeats, of }));
    findings.push(...fullerLegFindings(subject));
  }
  if (dropouts.length > 0) {
    let deadS = 0;
    for (const dropout of dropouts) deadS += dropout.deadS;
    findings.push(findingOf(subject, "dropouts", coverage, { count: dropouts.length, deadS }));
  }
  if (returnDelay !== null) {
    const { medianS, q1S, q3S, n } = returnDelay;
    if (medianS !== null && q1S !== null && q3S !== null) {
      findings.push(
        findingOf(subject, "return-delay", coverage, {
          medianS,
          q1S,
          q3S,
          n,
          returnDelayS: subject.ratings[subject.ratings.length - 1].returnDelayS ?? null,
          toleranceS: Math.max(30, 2 * (subject.nominalS ?? 0)),
        }),
      );
    }
  }
  return findings;
}

function byCause(transfers: readonly Transfer[]): [TransferCause, Transfer[]][] {
  const causes = new Map<TransferCause, Transfer[]>();
  for (const transfer of transfers) {
    const ones = causes.get(transfer.cause);
    if (ones === undefined) causes.set(transfer.cause, [transfer]);
    else ones.push(transfer);
  }
  return [...causes].sort((a, b) => b[1].length - a[1].length);
}

function fullerLegFindings(subject: Period): Finding[] {
  const findings: Finding[] = [];
  for (const leg of ["L1", "L2"] as const) {
    const full = subject.transfers.flatMap((one) => {
      if (one.limiting !== leg) return [];
      const piece = one.evidence.find(({ code }) => code === ("legs-at-peak" satisfies EvidenceCode));
      return piece?.code === "legs-at-peak" ? [piece.figures] : [];
    });
    if (full.length === 0) continue;
    findings.push(
      findingOf(subject, "fuller-leg", covered(subject, "L1", "L2"), {
        leg,
        count: full.length,
        of: subject.transfers.length,
        meanLoading: meanOf(full.map(({ loading }) => loading)),
        meanOfLegs: meanOf(full.map(({ meanLoading }) => meanLoading)),
      }),
    );
  }
  return findings;
}

function loadingFindings(subject: Period): Finding[] {
  let peak: DayResult | null = null;
  for (const day of subject.days) {
    if (day.peakLoading !== null && day.peakLoading > (peak?.peakLoading ?? Number.NEGATIVE_INFINITY))
      peak = day;
  }
  if (peak === null || peak.peakLoading === null || peak.peakAtMs === null || peak.peakQuantity === null) {
    return [notInLog(subject, "peak-loading")];
  }
  const { peakLoading, peakAtMs, peakQuantity } = peak;
  const findings: Finding[] = [
    findingOf(subject, "peak-loading", coverageOfQuantity(subject, peakQuantity), {
      quantity: peakQuantity,
      loading: peakLoading,
      ...wattsAtPeak(subject, peakQuantity, peakAtMs),
      atMs: peakAtMs,
    }),
  ];
  for (const quantity of ["L1", "L2", "total", "pass-through"] as const) {
    const finding = nearLimitFinding(subject, quantity);
    if (finding !== null) findings.push(finding);
  }
  const { longestRunHeld } = subject.figures;
  if (longestRunHeld !== null) {
    findings.push(
      findingOf(
        subject,
        "longest-run-held",
        coverageOfQuantity(subject, longestRunHeld.quantity),
        longestRunHeld,
      ),
    );
  }
  return findings;
}

/**
 * Load and limit at the sample of the greatest loading: those of the near-limit interval that has its peak there. Else
 * the limit alone, where no temperature can have lowered it.
 */
function wattsAtPeak(
  { nearLimit, ratingsOf }: Period,
  quantity: Quantity,
  atMs: number,
): { loadW: number | null; limitW: number | null } {
  const interval = nearLimit.find((one) => one.quantity === quantity && one.peakAtMs === atMs);
  if (interval !== undefined) return { loadW: interval.peakW, limitW: interval.limitW };
  const ratings = ratingsOf(atMs);
  if (ratings.derate.length > 0) return { loadW: null, limitW: null };
  return { loadW: null, limitW: quantity === "total" ? ratings.totalLimitW : ratings.legLimitW };
}

/** Null where the log doesn't have the quantity. */
function nearLimitFinding(subject: Period, quantity: Quantity): Finding | null {
  const intervals = subject.nearLimit.filter((one) => one.quantity === quantity);
  const coverage = coverageOfQuantity(subject, quantity);
  // Pass-through and total are told only where there is something to tell: the legs are what people ask for.
  if (intervals.length === 0 && (quantity === "total" || quantity === "pass-through")) return null;
  if (intervals.length === 0 && coverage === 0) return null;
  let durationS = 0;
  let overLimitS = 0;
  let onInverterS = 0;
  for (const one of intervals) {
    durationS += one.durationS;
    overLimitS += one.overLimitS;
    onInverterS += one.onInverterS;
  }
  return findingOf(subject, "near-limit", coverage, {
    quantity,
    intervals: intervals.length,
    durationS,
    overLimitS,
    onInverterS,
  });
}

function coverageOfQuantity(subject: Period, quantity: Quantity): number | null {
  return quantity === "pass-through" ? covered(subject, "L1", "L2") : covered(subject, quantity);
}

function legFindings(subject: Period): Finding[] {
  const { imbalance } = subject.figures;
  if (imbalance === null) return [notInLog(subject, "imbalance")];
  const coverage = covered(subject, "L1", "L2");
  const findings: Finding[] = [];
  if (imbalance.meanShare !== null) {
    const heavierS = { L1: 0, L2: 0 };
    let durationS = 0;
    let maxDifferenceW: number | null = null;
    for (const one of imbalance.intervals) {
      heavierS[one.heavierLeg] += one.durationS;
      durationS += one.durationS;
      maxDifferenceW = Math.max(maxDifferenceW ?? 0, one.maxDifferenceW);
    }
    findings.push(
      findingOf(subject, "imbalance", coverage, {
        meanShare: imbalance.meanShare,
        intervals: imbalance.intervals.length,
        durationS,
        heavierLeg: imbalance.intervals.length === 0 ? null : heavierS.L1 >= heavierS.L2 ? "L1" : "L2",
        maxDifferenceW,
      }),
    );
  }
  if (imbalance.strandedAtPeakW !== null || imbalance.strandedMeanW !== null) {
    findings.push(
      findingOf(subject, "stranded-capacity", coverage, {
        atPeakW: imbalance.strandedAtPeakW,
        meanW: imbalance.strandedMeanW,
        totalLimitW: subject.ratingsOf(subject.toMs - 1).totalLimitW,
      }),
    );
  }
  if (imbalance.maxNeutralA !== null && imbalance.maxNeutralAtMs !== null) {
    findings.push(
      findingOf(subject, "neutral-current", coverage, {
        neutralA: imbalance.maxNeutralA,
        atMs: imbalance.maxNeutralAtMs,
      }),
    );
  }
  return findings;
}

function demandFindings(subject: Period): Finding[] {
  const { demand } = subject.figures;
  if (demand === null) return [notInLog(subject, "demand")];
  const legs = covered(subject, "L1", "L2");
  const findings: Finding[] = [
    findingOf(subject, "demand", covered(subject, "total"), {
      peakW: demand.peakW,
      atMs: demand.peakAtMs,
      loadFactor: demand.loadFactor,
      recordDays: demand.recordDays,
    }),
  ];
  const ratings = (atMs: number | null) => subject.ratingsOf(atMs ?? demand.peakAtMs);
  if (demand.heavierLegPeakA !== null) {
    findings.push(
      findingOf(subject, "heavier-leg-demand", legs, {
        leg: demand.heavierLegPeakLeg,
        currentA: demand.heavierLegPeakA,
        atMs: demand.heavierLegPeakAtMs,
        legNominalV: ratings(demand.heavierLegPeakAtMs).legNominalV,
      }),
    );
  }
  if (demand.serviceA === null) findings.push(notInLog(subject, "service-current"));
  else {
    findings.push(
      findingOf(subject, "service-current", covered(subject, "grid"), {
        currentA: demand.serviceA,
        atMs: demand.serviceAtMs,
        serviceA: ratings(demand.serviceAtMs).serviceA ?? null,
      }),
    );
  }
  if (demand.passThroughA !== null) {
    findings.push(
      findingOf(subject, "pass-through-current", legs, {
        currentA: demand.passThroughA,
        atMs: demand.passThroughAtMs,
        passThroughA: ratings(demand.passThroughAtMs).passThroughA ?? null,
      }),
    );
  }
  const { serviceA } = ratings(demand.heavierLegPeakAtMs);
  if (serviceA !== undefined && demand.heavierLegPeakA !== null) {
    const sum = existingLoad({
      demandA: demand.heavierLegPeakA,
      newLoadA: 0,
      ratingA: serviceA,
      recordDays: demand.recordDays,
      // A battery inverter shaves peaks, whether or not there is sun.
      solarOrShaving: true,
    });
    findings.push(
      findingOf(subject, "existing-load", legs, {
        demandA: sum.demandA,
        demand125A: sum.demand125A,
        serviceA,
        leftA: sum.leftA,
        recordDays: sum.recordDays,
        solarOrShaving: sum.cautions.includes("solar-or-shaving"),
        under30Days: sum.cautions.includes("under-30-days"),
        seasonUnknown: sum.cautions.includes("season-unknown"),
      }),
    );
  }
  return findings;
}

function deviceFindings(subject: Period): Finding[] {
  const { continuousLoad, ratings, figures } = subject;
  if (continuousLoad.length === 0) {
    const looked = (device: ProtectiveDevice, ratingOf: (one: Ratings) => number | undefined) =>
      ratings.some((one) => ratingOf(one) !== undefined && !one.hundredPercentRated.includes(device));
    // The battery fuse's current leaves no figure that would say whether the log tells it: nothing is claimed of it.
    const service = (figures.demand?.serviceA ?? null) !== null && looked("service", (one) => one.serviceA);
    const passThrough =
      (figures.demand?.passThroughA ?? null) !== null && looked("pass-through", (one) => one.passThroughA);
    return service || passThrough
      ? [findingOf(subject, "no-continuous-load", null, { service, passThrough })]
      : [];
  }
  return PROTECTIVE_DEVICES.flatMap((device) => {
    const [first, ...more] = continuousLoad.filter((one) => one.device === device);
    if (first === undefined) return [];
    const longest = more.reduce((most, one) => (one.durationS > most.durationS ? one : most), first);
    return [
      findingOf(subject, "continuous-load", null, {
        device,
        stretches: more.length + 1,
        fromMs: longest.fromMs,
        durationS: longest.durationS,
        ratingA: longest.ratingA,
        meanA: longest.meanA,
        maxA: longest.maxA,
      }),
    ];
  });
}

function voltageFindings(subject: Period): Finding[] {
  const { voltage } = subject.figures;
  if (voltage === null) return [notInLog(subject, "leg-voltage")];
  const findings: Finding[] = [];
  if (subject.openNeutral === null) findings.push(notInLog(subject, "open-neutral"));
  else if (subject.openNeutral.length === 0) {
    const { openNeutralV } = subject.settings;
    findings.push(findingOf(subject, "no-open-neutral", voltageCoverage(subject), { openNeutralV }));
  }
  const lengthS = (subject.toMs - subject.fromMs) / 1000;
  const scale = subject.ratingsOf(subject.toMs - 1).legNominalV / SERVICE_RANGE.nominalV;
  for (const [leg, figures] of [
    ["L1", voltage.l1],
    ["L2", voltage.l2],
  ] as const) {
    if (figures === null) continue;
    const coverage = lengthS > 0 ? figures.heldS / lengthS : null;
    const { minV, minAtMs, maxV, maxAtMs, p1V, p99V, belowS, aboveS, heldS } = figures;
    findings.push(
      findingOf(subject, "leg-voltage", coverage, {
        leg,
        minV,
        minAtMs,
        maxV,
        maxAtMs,
        p1V,
        p99V,
        belowS,
        aboveS,
        heldS,
        lowV: SERVICE_RANGE.lowV * scale,
        highV: SERVICE_RANGE.highV * scale,
      }),
    );
    for (const { source, voltsPerKw, r2, n } of figures.sag) {
      findings.push(findingOf(subject, "sag", coverage, { leg, source, voltsPerKw, r2, samples: n }));
    }
  }
  return findings;
}

/** Of the leg that is known for less of the period. */
function voltageCoverage({ figures: { voltage }, fromMs, toMs }: Period): number | null {
  const lengthS = (toMs - fromMs) / 1000;
  if (voltage === null || !(lengthS > 0)) return null;
  return Math.min(voltage.l1?.heldS ?? 0, voltage.l2?.heldS ?? 0) / lengthS;
}

function energyFindings(subject: Period): Finding[] {
  const { total } = subject;
  if (total === null || !(total.loadWh > 0)) return [notInLog(subject, "energy")];
  let sharesHeldS = 0;
  for (const day of subject.days) sharesHeldS += day.sharesHeldS;
  const lengthS = (subject.toMs - subject.fromMs) / 1000;
  const coverage = lengthS > 0 ? sharesHeldS / lengthS : null;
  const { loadWh, solarToLoadWh, batteryToLoadWh, gridToLoadWh, generatorToLoadWh, unattributedWh } = total;
  const solarWh = solarToLoadWh + total.batteryToLoadOfSolarWh;
  const findings: Finding[] = [
    findingOf(subject, "energy", coverage, {
      loadWh,
      solarToLoadWh,
      batteryToLoadWh,
      gridToLoadWh,
      generatorToLoadWh,
      unattributedWh,
    }),
  ];
  // Without sun there is no share to speak of, and a log without a solar channel has none.
  if (total.solarWh > 0 || solarWh > 0) {
    findings.push(
      findingOf(subject, "solar-fraction", coverage, { fraction: solarWh / loadWh, solarWh, loadWh }),
    );
  }
  if (total.solarWh > 0) {
    const usedWh = solarToLoadWh + total.solarToBatteryWh;
    findings.push(
      findingOf(subject, "self-consumption", coverage, {
        share: usedWh / total.solarWh,
        usedWh,
        solarWh: total.solarWh,
      }),
    );
  }
  if (total.suppliedWh > 0) {
    findings.push(
      findingOf(subject, "losses", coverage, { lossesWh: total.lossesWh, suppliedWh: total.suppliedWh }),
    );
  }
  return findings;
}

function sumOf(transfers: readonly Transfer[]): number {
  let onUtilityS = 0;
  for (const transfer of transfers) onUtilityS += transfer.onUtilityS;
  return onUtilityS;
}

function meanOf(values: readonly number[]): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum / values.length;
}

function known(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}
