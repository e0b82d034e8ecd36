import type { CauseFigures } from "./cause-figures";
import { type Evidence, type EvidenceOf, evidenceOf } from "./evidence";
import type { LocalClock } from "./local-time";
import type { Ratings } from "./ratings";
import type { RequiredByCause, RequiredByTag, RequiredOfTransfer } from "./required-evidence";
import type { CauseFindings, Certainty, Dropout, Transfer, TransferTag } from "./results";
import type { FaultWord, NumericChannel, TransferCause } from "./series";
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
  /** What the log has: where nothing explains an event, it is said what couldn't be looked at. */
  readonly channels: readonly NumericChannel[];
  readonly hasSource: boolean;
  readonly hasFault: boolean;
};

/** A rule of D6 that holds, with the evidence that its cause requires. */
type RuleOf<C extends TransferCause> = {
  readonly cause: C;
  readonly certainty: Certainty;
  readonly evidence: RequiredByCause<C>;
};
type Rule = { [C in TransferCause]: RuleOf<C> }[TransferCause];

/** A tag of D7, with the evidence that it requires. */
type TagRule = {
  [T in TransferTag]: { readonly tag: T; readonly evidence: RequiredByTag<T> };
}[TransferTag];

/** An event as it was found, and what is looked up for it once. */
type Subject = {
  readonly figures: CauseFigures;
  readonly ratings: Ratings;
  readonly peak: EvidenceOf<"peak-loading"> | null;
  readonly context: CauseContext;
};

/**
 * Decides the cause of every transfer and dropout (definitions D6) and tags the transfers (D7): the second
 * pass over events, which are few. The first rule that holds gives the cause, the others are `alsoHolds`. Each
 * event carries the evidence that `required-evidence.ts` asks for.
 */
export function decideCauses(
  transfers: readonly FoundTransfer[],
  dropouts: readonly FoundDropout[],
  context: CauseContext,
): { transfers: Transfer[]; dropouts: Dropout[] } {
  const schedule = scheduleOf(transfers, context);
  let lastReturnMs = Number.NEGATIVE_INFINITY;
  return {
    transfers: transfers.map((found, i) => {
      const transfer = decideTransfer(
        found,
        sameClockTime(found, schedule, i, context),
        lastReturnMs,
        context,
      );
      if (found.returnedAtMs !== null) lastReturnMs = found.returnedAtMs;
      return transfer;
    }),
    dropouts: dropouts.map((found) => decideDropout(found, context)),
  };
}

function decideTransfer(
  found: FoundTransfer,
  sameTime: SameClockTime,
  lastReturnMs: number,
  context: CauseContext,
): Transfer {
  const subject = subjectOf(found, context);
  const rules: Rule[] = found.inGap
    ? [inGap(found)]
    : [...rulesOneToFive(subject), ...scheduledRule(sameTime, context.settings)];
  // Rule 7 is for what no rule before it explains.
  if (rules.length === 0) rules.push(...returnRule(found, subject));
  const first = rules[0] ?? unexplained(subject, sameTime.days, found.onUtilityS);
  const tags = found.inGap ? [] : tagsOf(first, subject, found.atMs, lastReturnMs);
  const allowance = found.inGap ? null : allowanceHidden(first, subject);
  const evidence: Evidence[] = [
    ...evidenceOfEvent(first, rules.slice(1), subject),
    ...OF_TRANSFER[first.cause](found, subject.ratings),
    ...tags.flatMap((one): Evidence[] => [...one.evidence]),
    ...(allowance === null ? [] : [allowance]),
    hides(subject.figures),
    evidenceOf("without-grid", {
      onUtilityS: found.onUtilityS,
      lowerBound: found.lowerBound,
      returned: found.returnedAtMs !== null,
    }),
  ];
  const names = tags.map(({ tag }) => tag);
  return {
    atMs: found.atMs,
    returnedAtMs: found.returnedAtMs,
    onUtilityS: found.onUtilityS,
    lowerBound: found.lowerBound,
    to: found.to,
    ...causeOf(first, rules.slice(1), subject.figures),
    tags: names,
    nuisance: names.includes("within-allowance"),
    avoidable: names.includes("one-leg") || names.includes("stacked-starts"),
    evidence,
  };
}

function decideDropout(found: FoundDropout, context: CauseContext): Dropout {
  const subject = subjectOf(found, context);
  const rules: Rule[] = found.inGap ? [inGap(found)] : rulesOneToFive(subject);
  const first = rules[0] ?? unexplained(subject, null, null);
  const { settings } = context;
  return {
    atMs: found.atMs,
    endedAtMs: found.endedAtMs,
    deadS: found.deadS,
    lowerBound: found.lowerBound,
    ...causeOf(first, rules.slice(1), subject.figures),
    tags: [],
    nuisance: false,
    avoidable: false,
    evidence: [
      ...evidenceOfEvent(first, rules.slice(1), subject),
      hides(subject.figures),
      evidenceOf("dead-time", {
        deadS: found.deadS,
        lowerBound: found.lowerBound,
        ended: found.endedAtMs !== null,
        bySource: context.hasSource,
        dropoutFromShare: settings.dropoutFromShare,
        dropoutToShare: settings.dropoutToShare,
        dropoutV: settings.dropoutV,
      }),
    ],
  };
}

function subjectOf(found: FoundTransfer | FoundDropout, context: CauseContext): Subject {
  const { figures } = found;
  return {
    figures,
    ratings: context.ratingsOf(found.atMs),
    peak: peakEvidence(figures, context.settings),
    context,
  };
}

function causeOf(
  first: Rule,
  others: readonly Rule[],
  figures: CauseFigures,
): Pick<CauseFindings, "cause" | "alsoHolds" | "certainty" | "limiting" | "peakLoading" | "peakAtMs"> {
  const known = figures.peakQuantity !== null;
  const also = new Set<TransferCause>();
  for (const rule of others) if (rule.cause !== first.cause) also.add(rule.cause);
  return {
    cause: first.cause,
    alsoHolds: [...also],
    certainty: first.certainty,
    limiting: figures.peakQuantity,
    peakLoading: known ? figures.peakLoading : null,
    peakAtMs: known ? figures.peakAtMs : null,
  };
}

/** What the cause stands on first, then the loading, the other rules that hold, and where all that was looked for. */
function evidenceOfEvent(first: Rule, others: readonly Rule[], subject: Subject): Evidence[] {
  const { figures, peak, context } = subject;
  const loading = peak ?? evidenceOf("no-loading", { hasLoad: hasLoad(context.channels) });
  const evidence: Evidence[] = [];
  for (const one of [
    ...first.evidence,
    loading,
    ...others.flatMap((rule): Evidence[] => [...rule.evidence]),
  ]) {
    if (!evidence.some(({ code }) => code === one.code)) evidence.push(one);
  }
  evidence.push(
    evidenceOf("window", {
      fromMs: figures.windowFromMs,
      toMs: figures.windowToMs,
      samples: figures.windowSamples,
      transferLookbackS: context.settings.transferLookbackS,
      intervalS: figures.deltaMs / 1000,
    }),
  );
  return evidence;
}

function inGap(found: FoundTransfer | FoundDropout): Rule {
  return {
    cause: "in-gap",
    certainty: "none",
    evidence: [evidenceOf("gap-before", { gapFromMs: found.gapFromMs, gapToMs: found.gapToMs })],
  };
}

/** Rule 8 of D6: what was looked at, and what the log doesn't have. */
function unexplained(
  { figures, ratings, context }: Subject,
  sameClockDays: number | null,
  onUtilityS: number | null,
): Rule {
  const { settings, channels, hasFault } = context;
  const { battery } = ratings;
  const has = (channel: NumericChannel) => channels.includes(channel);
  return {
    cause: "unexplained",
    certainty: "none",
    evidence: [
      evidenceOf("nothing-found", {
        hasFaultCodes: hasFault,
        batteryA: figures.maxDischargeA,
        hasBatteryA: has("batteryA"),
        maxDischargeA: battery.maxDischargeA ?? null,
        dcLimitAt: settings.dcLimitAt,
        inverterTempC: figures.maxTempC,
        hasTemperature: has("inverterTempC"),
        maxTempC: ratings.maxTempC ?? null,
        batterySocPct: figures.minSocPct,
        hasSoc: has("batterySocPct"),
        lowSocPct: battery.lowSocPct ?? null,
        lowSocMarginPct: settings.lowSocMarginPct,
        batteryV: figures.minBatteryV,
        hasBatteryV: has("batteryV"),
        lowV: battery.lowV ?? null,
        lowVMarginV: settings.lowVMarginV,
        riseW: figures.riseW,
        riseLeg: figures.riseLeg,
        hasLegs: has("loadL1W") || has("loadL1A") || has("loadL2W") || has("loadL2A"),
        legLimitW: ratings.legLimitW,
        startRise: settings.startRise,
        sameClockDays,
        scheduledDays: settings.scheduledDays,
        onUtilityS,
        returnDelayS: ratings.returnDelayS ?? null,
        overloadInferredAt: settings.overloadInferredAt,
      }),
    ],
  };
}

function hasLoad(channels: readonly NumericChannel[]): boolean {
  const has = (channel: NumericChannel) => channels.includes(channel);
  return has("loadW") || has("loadL1W") || has("loadL1A") || has("loadL2W") || has("loadL2A");
}

function peakEvidence(figures: CauseFigures, settings: Settings): EvidenceOf<"peak-loading"> | null {
  if (figures.peakQuantity === null) return null;
  return evidenceOf("peak-loading", {
    quantity: figures.peakQuantity,
    loading: figures.peakLoading,
    shownIn: figures.peakShownIn,
    loadW: figures.peakW,
    limitW: figures.peakLimitW,
    limitVa: figures.peakLimitVa,
    limitRatio: figures.peakLimitRatio,
    atMs: figures.peakAtMs,
    near: figures.peakNear,
    overloadSeenAt: settings.overloadSeenAt,
  });
}

/** Rules 1 to 5 of D6, in order. */
function rulesOneToFive({ figures, ratings, peak, context }: Subject): Rule[] {
  const { settings } = context;
  const rules: Rule[] = [];
  if (figures.fault > 0) {
    const word = context.faultWords[figures.fault - 1];
    rules.push({
      cause: word?.meaning ?? "fault",
      certainty: "seen",
      evidence: [
        evidenceOf("fault-code", {
          faultCode: word?.code ?? null,
          meaning: word?.meaning ?? null,
          codeBefore: context.faultWords[figures.faultBefore - 1]?.code ?? null,
          atMs: figures.faultAtMs,
        }),
      ],
    });
  }
  if (peak !== null && figures.peakLoading >= settings.overloadSeenAt) {
    rules.push({
      cause: "overload",
      certainty: figures.peakNear ? "seen" : "inferred",
      evidence: [peak],
    });
  }
  const { maxDischargeA, lowSocPct, lowV } = ratings.battery;
  if (maxDischargeA !== undefined && figures.maxDischargeA >= settings.dcLimitAt * maxDischargeA) {
    rules.push({
      cause: "dc-limit",
      certainty: "seen",
      evidence: [
        evidenceOf("dc-current", {
          batteryA: figures.maxDischargeA,
          maxDischargeA,
          dcLimitAt: settings.dcLimitAt,
          atMs: figures.maxDischargeAtMs,
        }),
      ],
    });
  }
  if (ratings.maxTempC !== undefined && figures.maxTempC >= ratings.maxTempC) {
    rules.push({
      cause: "over-temperature",
      certainty: "seen",
      evidence: [
        evidenceOf("temperature", {
          inverterTempC: figures.maxTempC,
          maxTempC: ratings.maxTempC,
          atMs: figures.maxTempAtMs,
        }),
      ],
    });
  }
  if (lowSocPct !== undefined && figures.minSocPct <= lowSocPct + settings.lowSocMarginPct) {
    rules.push({
      cause: "low-battery",
      certainty: "seen",
      evidence: [
        evidenceOf("low-soc", {
          batterySocPct: figures.minSocPct,
          lowSocPct,
          lowSocMarginPct: settings.lowSocMarginPct,
          atMs: figures.minSocAtMs,
        }),
      ],
    });
  } else if (lowV !== undefined && figures.minBatteryV <= lowV + settings.lowVMarginV) {
    rules.push({
      cause: "low-battery",
      certainty: "seen",
      evidence: [
        evidenceOf("low-volts", {
          batteryV: figures.minBatteryV,
          lowV,
          lowVMarginV: settings.lowVMarginV,
          atMs: figures.minBatteryVAtMs,
        }),
      ],
    });
  }
  rules.push(...startRule(figures, ratings, settings));
  return rules;
}

/** Rule 5 of D6: something came on at that moment. */
function startRule(figures: CauseFigures, ratings: Ratings, settings: Settings): Rule[] {
  const rise =
    figures.riseLeg !== null && figures.riseW >= settings.startRise * ratings.legLimitW
      ? evidenceOf("leg-rise", {
          leg: figures.riseLeg,
          riseW: figures.riseW,
          legLimitW: ratings.legLimitW,
          startRise: settings.startRise,
          fromMs: figures.riseFromMs,
          toMs: figures.riseToMs,
        })
      : null;
  const peak =
    figures.peakChannelLeg !== null && figures.peakChannelLoading >= settings.overloadSeenAt
      ? evidenceOf("peak-channel", {
          leg: figures.peakChannelLeg,
          loading: figures.peakChannelLoading,
          peakW: figures.peakChannelW,
          limitW: figures.peakChannelLimitW,
          overloadSeenAt: settings.overloadSeenAt,
          atMs: figures.peakChannelAtMs,
        })
      : null;
  const rules: Rule[] = [];
  if (rise !== null && peak === null && figures.deltaMs > 5000) {
    rules.push({ cause: "load-step", certainty: "inferred", evidence: [rise] });
  } else {
    if (rise !== null) rules.push({ cause: "motor-start", certainty: "inferred", evidence: [rise] });
    if (peak !== null) rules.push({ cause: "motor-start", certainty: "inferred", evidence: [peak] });
  }
  return rules;
}

/** Where each transfer lies on the local clock, for rule 6. */
type Scheduled = { date: string; dayNumber: number; clockS: number; counts: boolean };

/** On how many other days, of how many with samples, a transfer came at the same clock time; null where not looked at. */
type SameClockTime = { days: number | null; ofDays: number; clockS: number; toleranceS: number };

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

/** Looks for the same clock time on other days (rule 6 of D6). */
function sameClockTime(
  found: FoundTransfer,
  schedule: readonly Scheduled[],
  index: number,
  context: CauseContext,
): SameClockTime {
  const { settings } = context;
  const own = schedule[index];
  const toleranceS = Math.max(settings.scheduledToleranceS, (2 * found.figures.deltaMs) / 1000);
  if (!own.counts) return { days: null, ofDays: 0, clockS: own.clockS, toleranceS };
  const days = new Set<string>();
  // Transfers ascend in time: those within the span of days lie around this one.
  const span = settings.scheduledWithinDays;
  for (let i = index - 1; i >= 0 && own.dayNumber - schedule[i].dayNumber <= span; i--) {
    if (matches(schedule[i], own, toleranceS)) days.add(schedule[i].date);
  }
  for (let i = index + 1; i < schedule.length && schedule[i].dayNumber - own.dayNumber <= span; i++) {
    if (matches(schedule[i], own, toleranceS)) days.add(schedule[i].date);
  }
  let ofDays = 0;
  // Few transfers have enough of them: the days with samples are counted only then.
  if (days.size >= settings.scheduledDays) {
    for (let away = -span; away <= span; away++) {
      if (away === 0) continue;
      const date = new Date((own.dayNumber + away) * DAY_MS).toISOString().slice(0, 10);
      if (context.dates.has(date)) ofDays++;
    }
  }
  return { days: days.size, ofDays, clockS: own.clockS, toleranceS };
}

/** Rule 6 of D6: the same clock time on other days. */
function scheduledRule({ days, ofDays, clockS, toleranceS }: SameClockTime, settings: Settings): Rule[] {
  if (days === null || days < settings.scheduledDays || days < settings.scheduledShare * ofDays) return [];
  return [
    {
      cause: "scheduled",
      certainty: "seen",
      evidence: [
        evidenceOf("same-clock-time", {
          days,
          ofDays,
          clockS,
          toleranceS,
          scheduledDays: settings.scheduledDays,
          scheduledWithinDays: settings.scheduledWithinDays,
          scheduledShare: settings.scheduledShare,
          overloadSeenAt: settings.overloadSeenAt,
        }),
      ],
    },
  ];
}

function matches(other: Scheduled, own: Scheduled, toleranceS: number): boolean {
  if (!other.counts || other.date === own.date) return false;
  const apart = Math.abs(other.clockS - own.clockS);
  return Math.min(apart, DAY_S - apart) <= toleranceS;
}

/** Rule 7 of D6: the loads came back when the hold-off ran out. */
function returnRule(found: FoundTransfer, { figures, ratings, context }: Subject): Rule[] {
  const { overloadInferredAt } = context.settings;
  if (ratings.returnDelayS === undefined || found.returnedAtMs === null) return [];
  if (!(figures.peakLoading >= overloadInferredAt)) return [];
  const toleranceS = Math.max(60, (2 * figures.deltaMs) / 1000);
  if (Math.abs(found.onUtilityS - ratings.returnDelayS) > toleranceS) return [];
  return [
    {
      cause: "overload",
      certainty: "inferred",
      evidence: [
        evidenceOf("return-delay", {
          loading: figures.peakLoading,
          overloadInferredAt,
          onUtilityS: found.onUtilityS,
          returnDelayS: ratings.returnDelayS,
          toleranceS,
        }),
      ],
    },
  ];
}

/** What a transfer of each cause says beside what the cause stands on. */
const OF_TRANSFER: {
  readonly [C in TransferCause]: (found: FoundTransfer, ratings: Ratings) => RequiredOfTransfer<C>;
} = {
  fault: () => [],
  overload: () => [],
  "dc-limit": () => [],
  "over-temperature": () => [],
  "low-battery": (found, ratings) => [
    evidenceOf("battery-at-return", {
      returnedAtMs: found.returnedAtMs,
      returnSocPct: found.returnSocPct,
      returnBatteryV: found.returnBatteryV,
      resumeSocPct: ratings.battery.resumeSocPct ?? null,
    }),
  ],
  "motor-start": () => [],
  "load-step": () => [],
  scheduled: () => [],
  "in-gap": () => [],
  unexplained: () => [],
};

/** Tags of D7, on transfers that a load caused. */
function tagsOf(first: Rule, subject: Subject, atMs: number, lastReturnMs: number): TagRule[] {
  const { figures, ratings, context } = subject;
  const { settings } = context;
  if (!byLoad(first) || figures.peakQuantity === null) return [];
  const tags: TagRule[] = [];
  if (figures.peakQuantity !== "total" && figures.meanLegsAtPeak <= settings.oneLegMean) {
    tags.push({
      tag: "one-leg",
      evidence: [
        evidenceOf("legs-at-peak", {
          leg: figures.peakQuantity,
          loading: figures.peakLoading,
          meanLoading: figures.meanLegsAtPeak,
          meanW: figures.meanLegsAtPeakW,
          limitW: figures.legLimitAtPeakW,
          oneLegMean: settings.oneLegMean,
          atMs: figures.peakAtMs,
        }),
      ],
    });
  }
  if (allowanceCounts(first, subject) && figures.usedBefore + figures.usedHidden < 1 - ROUNDING) {
    tags.push({ tag: "within-allowance", evidence: [evidenceOf("allowance-used", allowance(subject))] });
  }
  if (figures.stackedRises !== null && figures.stackedRises >= 2) {
    tags.push({
      tag: "stacked-starts",
      evidence: [
        evidenceOf("stacked-rises", {
          rises: figures.stackedRises,
          withinS: settings.stackedWithinS,
          leastW: settings.stackedRise * ratings.legLimitW,
          stackedRise: settings.stackedRise,
          legLimitW: ratings.legLimitW,
        }),
      ],
    });
  }
  if ((atMs - lastReturnMs) / 1000 < settings.repeatWithinS) {
    tags.push({
      tag: "repeat",
      evidence: [
        evidenceOf("last-return", {
          returnedAtMs: lastReturnMs,
          sinceS: (atMs - lastReturnMs) / 1000,
          repeatWithinS: settings.repeatWithinS,
        }),
      ],
    });
  }
  return tags;
}

function byLoad({ cause }: Rule): boolean {
  return cause === "overload" || cause === "motor-start" || cause === "load-step";
}

/** The allowance is reckoned for a loading above 1 that was seen and not after the transfer. */
function allowanceCounts(first: Rule, { figures, ratings }: Subject): boolean {
  return (
    byLoad(first) &&
    figures.peakQuantity !== null &&
    first.certainty === "seen" &&
    figures.peakLoading > 1 &&
    figures.peakNotAfter &&
    ratings.overload.length > 0
  );
}

/** What is said of the allowance where the tag isn't given: it was used up, or the interval hides whether it was. */
function allowanceHidden(first: Rule, subject: Subject): Evidence | null {
  const { usedBefore, usedHidden } = subject.figures;
  if (!allowanceCounts(first, subject) || usedBefore + usedHidden < 1 - ROUNDING) return null;
  return usedBefore >= 1 - ROUNDING
    ? evidenceOf("allowance-used", allowance(subject))
    : evidenceOf("allowance-hidden", { ...allowance(subject), usedBefore });
}

/** The part of the allowance used, with the step of the ladder that the peak falls under. */
function allowance({ figures, ratings }: Subject) {
  const step = ratings.overload.find(({ upToRatio }) => figures.peakLoading <= upToRatio);
  return {
    usedBefore: figures.usedBefore,
    usedHidden: figures.usedHidden,
    loading: figures.peakLoading,
    upToRatio: step?.upToRatio ?? null,
    forS: step?.forS ?? null,
    intervalS: figures.deltaMs / 1000,
  };
}

/** What the interval could have hidden. */
function hides(figures: CauseFigures): Evidence {
  return evidenceOf("interval-hides", { intervalS: figures.deltaMs / 1000 });
}
