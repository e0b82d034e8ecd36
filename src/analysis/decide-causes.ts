import type { CauseFigures } from "./cause-figures";
import type { LocalClock } from "./local-time";
import type { Ratings } from "./ratings";
import type { CauseFindings, Dropout, Evidence, Transfer, TransferTag } from "./results";
import type { FaultWord, TransferCause } from "./series";
import type { Settings } from "./settings";
import type { FoundDropout, FoundTransfer } from "./transfers";

const DAY_S = 86_400;
const DAY_MS = 86_400_000;
/** A sum of fractions that make one whole may miss it by so much in float64. */
const ROUNDING = 1e-9;

/** What deciding needs to know beyond the events themselves. */
export type CauseContext = {
  readonly clock: LocalClock;
  readonly settings: Settings;
  readonly ratingsOf: (atMs: number) => Ratings;
  readonly faultWords: readonly FaultWord[];
  /** Local dates that have samples. */
  readonly dates: ReadonlySet<string>;
};

/** A rule of D6 that holds, with the figures it stands on. */
type Rule = { cause: TransferCause; certainty: "seen" | "inferred"; evidence: Evidence };

/**
 * Decides the cause of every transfer and dropout (definitions D6) and tags the transfers (D7): the second
 * pass over events, which are few. The first rule that holds gives the cause, the others are `alsoHolds`.
 */
export function decideCauses(
  transfers: readonly FoundTransfer[],
  dropouts: readonly FoundDropout[],
  context: CauseContext,
): { transfers: Transfer[]; dropouts: Dropout[] } {
  const schedule = scheduleOf(transfers, context);
  const decided: Transfer[] = [];
  let lastReturnMs = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < transfers.length; i++) {
    const found = transfers[i];
    const ratings = context.ratingsOf(found.atMs);
    const figures = requireFigures(found.figures);
    let findings: CauseFindings;
    if (found.inGap) findings = inGap(figures);
    else {
      const rules = [
        ...rulesOneToFive(figures, ratings, context),
        ...scheduledRule(found, schedule, i, context),
      ];
      // Rule 7 is for what no rule before it explains.
      if (rules.length === 0) rules.push(...returnRule(found, figures, ratings, context.settings));
      findings = decide(figures, rules);
      addTags(findings, figures, found.atMs, lastReturnMs, ratings, context.settings);
    }
    findings.evidence.push(hides(figures), {
      code: "without-grid",
      figures: {
        onUtilityS: found.onUtilityS,
        lowerBound: found.lowerBound,
        returned: found.returnedAtMs !== null,
      },
    });
    decided.push({
      atMs: found.atMs,
      returnedAtMs: found.returnedAtMs,
      onUtilityS: found.onUtilityS,
      lowerBound: found.lowerBound,
      to: found.to,
      ...findings,
    });
    if (found.returnedAtMs !== null) lastReturnMs = found.returnedAtMs;
  }
  return { transfers: decided, dropouts: dropouts.map((dropout) => decideDropout(dropout, context)) };
}

function decideDropout(found: FoundDropout, context: CauseContext): Dropout {
  const figures = requireFigures(found.figures);
  const findings = found.inGap
    ? inGap(figures)
    : decide(figures, rulesOneToFive(figures, context.ratingsOf(found.atMs), context));
  findings.evidence.push(hides(figures));
  return {
    atMs: found.atMs,
    endedAtMs: found.endedAtMs,
    deadS: found.deadS,
    lowerBound: found.lowerBound,
    ...findings,
  };
}

function requireFigures(figures: CauseFigures | null): CauseFigures {
  if (figures === null)
    throw new RangeError("decideCauses requires finished events, got one without figures");
  return figures;
}

function decide(figures: CauseFigures, rules: readonly Rule[]): CauseFindings {
  const evidence: Evidence[] = [];
  if (figures.peakQuantity !== null) evidence.push(peakEvidence(figures));
  for (const rule of rules) if (rule.evidence.code !== "peak-loading") evidence.push(rule.evidence);
  const first = rules[0];
  if (first === undefined) evidence.push({ code: "nothing-found", figures: {} });
  const others = new Set<TransferCause>();
  for (const rule of rules.slice(1)) if (rule.cause !== first.cause) others.add(rule.cause);
  return {
    cause: first?.cause ?? "unexplained",
    alsoHolds: [...others],
    certainty: first?.certainty ?? "none",
    ...peakOf(figures),
    tags: [],
    nuisance: false,
    avoidable: false,
    evidence,
  };
}

function inGap(figures: CauseFigures): CauseFindings {
  const evidence: Evidence[] = [{ code: "gap-before", figures: {} }];
  if (figures.peakQuantity !== null) evidence.push(peakEvidence(figures));
  return {
    cause: "in-gap",
    alsoHolds: [],
    certainty: "none",
    ...peakOf(figures),
    tags: [],
    nuisance: false,
    avoidable: false,
    evidence,
  };
}

function peakOf(figures: CauseFigures): Pick<CauseFindings, "limiting" | "peakLoading" | "peakAtMs"> {
  const known = figures.peakQuantity !== null;
  return {
    limiting: figures.peakQuantity,
    peakLoading: known ? figures.peakLoading : null,
    peakAtMs: known ? figures.peakAtMs : null,
  };
}

function peakEvidence(figures: CauseFigures): Evidence {
  return {
    code: "peak-loading",
    figures: {
      quantity: figures.peakQuantity,
      loading: figures.peakLoading,
      loadW: number(figures.peakW),
      atMs: figures.peakAtMs,
      near: figures.peakNear,
    },
  };
}

/** Rules 1 to 5 of D6, in order. */
function rulesOneToFive(figures: CauseFigures, ratings: Ratings, context: CauseContext): Rule[] {
  const { settings } = context;
  const rules: Rule[] = [];
  if (figures.fault > 0) {
    const word = context.faultWords[figures.fault - 1];
    rules.push({
      cause: word?.meaning ?? "fault",
      certainty: "seen",
      evidence: {
        code: "fault-code",
        figures: { faultCode: word?.code ?? null, meaning: word?.meaning ?? null, atMs: figures.faultAtMs },
      },
    });
  }
  if (figures.peakLoading >= settings.overloadSeenAt) {
    rules.push({
      cause: "overload",
      certainty: figures.peakNear ? "seen" : "inferred",
      evidence: peakEvidence(figures),
    });
  }
  const { maxDischargeA, lowSocPct, lowV } = ratings.battery;
  if (maxDischargeA !== undefined && figures.maxDischargeA >= settings.dcLimitAt * maxDischargeA) {
    rules.push({
      cause: "dc-limit",
      certainty: "seen",
      evidence: {
        code: "dc-current",
        figures: {
          batteryA: figures.maxDischargeA,
          maxDischargeA,
          dcLimitAt: settings.dcLimitAt,
          atMs: figures.maxDischargeAtMs,
        },
      },
    });
  }
  if (ratings.maxTempC !== undefined && figures.maxTempC >= ratings.maxTempC) {
    rules.push({
      cause: "over-temperature",
      certainty: "seen",
      evidence: {
        code: "temperature",
        figures: { inverterTempC: figures.maxTempC, maxTempC: ratings.maxTempC },
      },
    });
  }
  if (lowSocPct !== undefined && figures.minSocPct <= lowSocPct + settings.lowSocMarginPct) {
    rules.push({
      cause: "low-battery",
      certainty: "seen",
      evidence: {
        code: "low-soc",
        figures: { batterySocPct: figures.minSocPct, lowSocPct, lowSocMarginPct: settings.lowSocMarginPct },
      },
    });
  } else if (lowV !== undefined && figures.minBatteryV <= lowV + settings.lowVMarginV) {
    rules.push({
      cause: "low-battery",
      certainty: "seen",
      evidence: {
        code: "low-volts",
        figures: { batteryV: figures.minBatteryV, lowV, lowVMarginV: settings.lowVMarginV },
      },
    });
  }
  const peakShown = figures.peakChannelLoading >= settings.overloadSeenAt;
  const rose = figures.riseW >= settings.startRise * ratings.legLimitW;
  if (rose || peakShown) {
    rules.push({
      cause: figures.deltaMs <= 5000 || peakShown ? "motor-start" : "load-step",
      certainty: "inferred",
      evidence: rose
        ? {
            code: "leg-rise",
            figures: {
              leg: figures.riseLeg,
              riseW: figures.riseW,
              legLimitW: ratings.legLimitW,
              startRise: settings.startRise,
            },
          }
        : { code: "peak-channel", figures: { loading: figures.peakChannelLoading } },
    });
  }
  return rules;
}

/** Where each transfer lies on the local clock, for rule 6. */
type Scheduled = { date: string; dayNumber: number; clockS: number; counts: boolean };

function scheduleOf(transfers: readonly FoundTransfer[], context: CauseContext): Scheduled[] {
  return transfers.map((transfer) => {
    const date = context.clock.date(transfer.atMs);
    const loading = transfer.figures?.peakLoading ?? Number.NaN;
    return {
      date,
      dayNumber: Date.parse(date) / DAY_MS,
      clockS: context.clock.clockS(transfer.atMs),
      counts: !transfer.inGap && !(loading >= context.settings.overloadSeenAt),
    };
  });
}

/** Rule 6 of D6: the same clock time on other days. */
function scheduledRule(
  found: FoundTransfer,
  schedule: readonly Scheduled[],
  index: number,
  context: CauseContext,
): Rule[] {
  const { settings } = context;
  const own = schedule[index];
  if (!own.counts) return [];
  const deltaMs = found.figures?.deltaMs ?? 0;
  const toleranceS = Math.max(settings.scheduledToleranceS, (2 * deltaMs) / 1000);
  const days = new Set<string>();
  // Transfers ascend in time: those within the span of days lie around this one.
  const span = settings.scheduledWithinDays;
  for (let i = index - 1; i >= 0 && own.dayNumber - schedule[i].dayNumber <= span; i--) {
    if (matches(schedule[i], own, toleranceS)) days.add(schedule[i].date);
  }
  for (let i = index + 1; i < schedule.length && schedule[i].dayNumber - own.dayNumber <= span; i++) {
    if (matches(schedule[i], own, toleranceS)) days.add(schedule[i].date);
  }
  if (days.size < settings.scheduledDays) return [];
  let sampled = 0;
  for (let away = -span; away <= span; away++) {
    if (away === 0) continue;
    const date = new Date((own.dayNumber + away) * DAY_MS).toISOString().slice(0, 10);
    if (context.dates.has(date)) sampled++;
  }
  if (days.size < settings.scheduledShare * sampled) return [];
  return [
    {
      cause: "scheduled",
      certainty: "seen",
      evidence: {
        code: "same-clock-time",
        figures: { days: days.size, ofDays: sampled, clockS: own.clockS, toleranceS },
      },
    },
  ];
}

function matches(other: Scheduled, own: Scheduled, toleranceS: number): boolean {
  if (!other.counts || other.date === own.date) return false;
  const apart = Math.abs(other.clockS - own.clockS);
  return Math.min(apart, DAY_S - apart) <= toleranceS;
}

/** Rule 7 of D6: the loads came back when the hold-off ran out. */
function returnRule(
  found: FoundTransfer,
  figures: CauseFigures,
  ratings: Ratings,
  settings: Settings,
): Rule[] {
  if (ratings.returnDelayS === undefined || found.returnedAtMs === null) return [];
  if (!(figures.peakLoading >= settings.overloadInferredAt)) return [];
  const toleranceS = Math.max(60, (2 * figures.deltaMs) / 1000);
  if (Math.abs(found.onUtilityS - ratings.returnDelayS) > toleranceS) return [];
  return [
    {
      cause: "overload",
      certainty: "inferred",
      evidence: {
        code: "return-delay",
        figures: { onUtilityS: found.onUtilityS, returnDelayS: ratings.returnDelayS, toleranceS },
      },
    },
  ];
}

/** Tags of D7, on transfers that a load caused. */
function addTags(
  findings: CauseFindings,
  figures: CauseFigures,
  atMs: number,
  lastReturnMs: number,
  ratings: Ratings,
  settings: Settings,
): void {
  const byLoad =
    findings.cause === "overload" || findings.cause === "motor-start" || findings.cause === "load-step";
  if (!byLoad || figures.peakQuantity === null) return;
  const tags: TransferTag[] = [];
  if (figures.peakQuantity !== "total" && figures.meanLegsAtPeak <= settings.oneLegMean) {
    tags.push("one-leg");
    findings.evidence.push({
      code: "legs-at-peak",
      figures: {
        leg: figures.peakQuantity,
        meanLoading: figures.meanLegsAtPeak,
        oneLegMean: settings.oneLegMean,
      },
    });
  }
  if (
    findings.certainty === "seen" &&
    figures.peakLoading > 1 &&
    figures.peakNotAfter &&
    ratings.overload.length > 0
  ) {
    const used = figures.usedBefore + figures.usedHidden;
    const left = used < 1 - ROUNDING;
    if (left) tags.push("within-allowance");
    findings.evidence.push({
      code: left || figures.usedBefore >= 1 - ROUNDING ? "allowance-used" : "allowance-hidden",
      figures: {
        usedBefore: number(figures.usedBefore),
        usedHidden: number(figures.usedHidden),
        intervalS: figures.deltaMs / 1000,
      },
    });
  }
  if (figures.stackedRises !== null && figures.stackedRises >= 2) {
    tags.push("stacked-starts");
    findings.evidence.push({
      code: "stacked-rises",
      figures: {
        rises: figures.stackedRises,
        withinS: settings.stackedWithinS,
        leastW: settings.stackedRise * ratings.legLimitW,
      },
    });
  }
  if ((atMs - lastReturnMs) / 1000 < settings.repeatWithinS) {
    tags.push("repeat");
    findings.evidence.push({ code: "last-return", figures: { sinceS: (atMs - lastReturnMs) / 1000 } });
  }
  findings.tags = tags;
  findings.nuisance = tags.includes("within-allowance");
  findings.avoidable = tags.includes("one-leg") || tags.includes("stacked-starts");
}

/** What the interval could have hidden. */
function hides(figures: CauseFigures): Evidence {
  return { code: "interval-hides", figures: { intervalS: figures.deltaMs / 1000 } };
}

/** Infinity and NaN don't survive JSON. */
function number(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}
