import type { FigureKind, FiguresOf } from "./evidence";
import type { Settings } from "./settings";

/**
 * Every figure of a period by its code, with exactly the figures it carries, in the manner of evidence: the
 * sentences of a month are made from these alone. Order as they are read.
 */
export const FINDING_FIGURES = {
  /** Stretches that look like an open or bad neutral (definitions D16); the one with the greatest difference. */
  "open-neutral": {
    stretches: "number",
    fromMs: "number",
    toMs: "number",
    samples: "number",
    differenceV: "number",
    l1V: "number",
    l2V: "number",
    l1W: "number?",
    l2W: "number?",
    atMs: "number",
    source: "source",
  },
  /** Nothing looked like an open neutral, which is no proof. */
  "no-open-neutral": { openNeutralV: "number" },
  /** Held time by what carried the loads; `share` is that of the inverter in the time known. */
  carried: {
    onInverterS: "number",
    onUtilityS: "number",
    deadS: "number",
    unknownS: "number",
    share: "number?",
    transfers: "number",
    dropouts: "number",
  },
  coverage: { samples: "number", heldS: "number", lengthS: "number", ratio: "number?", gaps: "number" },
  /** All transfers, and how many are of no tag's making but of a kind of their own. */
  transfers: { count: "number", onUtilityS: "number" },
  "transfers-of-cause": { cause: "cause", count: "number", seen: "number", onUtilityS: "number" },
  avoidable: { count: "number", of: "number", oneLeg: "number", stackedStarts: "number" },
  nuisance: { count: "number", of: "number" },
  repeats: { count: "number", of: "number" },
  /** Transfers with one leg the fuller one, and means over them. */
  "fuller-leg": {
    leg: "leg",
    count: "number",
    of: "number",
    meanLoading: "number",
    meanOfLegs: "number",
  },
  dropouts: { count: "number", deadS: "number" },
  "return-delay": {
    medianS: "number",
    q1S: "number",
    q3S: "number",
    n: "number",
    returnDelayS: "number?",
    toleranceS: "number",
  },
  /** `loadW` is null where it can't be told from the loading: VA may have been the tighter limit, or derating. */
  "peak-loading": {
    quantity: "quantity",
    loading: "number",
    loadW: "number?",
    limitW: "number?",
    atMs: "number",
  },
  /** Near-limit intervals of one quantity; none where intervals is 0. */
  "near-limit": {
    quantity: "quantity",
    intervals: "number",
    durationS: "number",
    overLimitS: "number",
    onInverterS: "number",
  },
  "longest-run-held": { durationS: "number", fromMs: "number", quantity: "quantity", peakLoading: "number" },
  imbalance: {
    meanShare: "number",
    intervals: "number",
    durationS: "number",
    heavierLeg: "leg?",
    maxDifferenceW: "number?",
  },
  /** Rating that the legs' split leaves unusable (definitions D9). */
  "stranded-capacity": { atPeakW: "number?", meanW: "number?", totalLimitW: "number" },
  "neutral-current": { neutralA: "number", atMs: "number" },
  demand: { peakW: "number", atMs: "number", loadFactor: "number?", recordDays: "number" },
  "heavier-leg-demand": { leg: "leg?", currentA: "number", atMs: "number?", legNominalV: "number" },
  "service-current": { currentA: "number", atMs: "number?", serviceA: "number?" },
  "pass-through-current": { currentA: "number", atMs: "number?", passThroughA: "number?" },
  /** Arithmetic in the form of NEC 220.87 with no new load (definitions D11): compare with, never passes. */
  "existing-load": {
    demandA: "number",
    demand125A: "number",
    serviceA: "number",
    leftA: "number",
    recordDays: "number",
    solarOrShaving: "flag",
    under30Days: "flag",
    seasonUnknown: "flag",
  },
  /** Continuous load of one device; the longest stretch. */
  "continuous-load": {
    device: "device",
    stretches: "number",
    fromMs: "number",
    durationS: "number",
    ratingA: "number",
    meanA: "number",
    maxA: "number",
  },
  /** Rated devices whose current the log tells, at least in part; none of them carried continuous load. */
  "no-continuous-load": { service: "flag", passThrough: "flag" },
  "leg-voltage": {
    leg: "leg",
    minV: "number",
    minAtMs: "number",
    maxV: "number",
    maxAtMs: "number",
    p1V: "number?",
    p99V: "number?",
    belowS: "number",
    aboveS: "number",
    heldS: "number",
    lowV: "number",
    highV: "number",
  },
  sag: { leg: "leg", source: "source", voltsPerKw: "number", r2: "number?", samples: "number" },
  /** Where the load's energy came from (definitions D10). */
  energy: {
    loadWh: "number",
    solarToLoadWh: "number",
    batteryToLoadWh: "number",
    gridToLoadWh: "number",
    generatorToLoadWh: "number",
    unattributedWh: "number",
  },
  "solar-fraction": { fraction: "number", solarWh: "number", loadWh: "number" },
  "self-consumption": { share: "number", usedWh: "number", solarWh: "number" },
  losses: { lossesWh: "number", suppliedWh: "number" },
  /** What the log can't tell, by the code of the finding that would stand here. */
  "not-in-log": { what: "text" },
} as const satisfies { readonly [code: string]: { readonly [figure: string]: FigureKind } };

export type FindingCode = keyof typeof FINDING_FIGURES;

/** From a finding's code to the figures it carries. */
export type FindingFigures = { readonly [C in FindingCode]: FiguresOf<(typeof FINDING_FIGURES)[C]> };

/** What stands beside every finding's figures. */
type Standing = {
  /** Held time in which what it needs is known, over the period; null where that makes no sense. */
  readonly coverage: number | null;
  /** Nominal interval of the log, s; null under two samples. */
  readonly intervalS: number | null;
  /** The settings it depends on. */
  readonly settings: Partial<Settings>;
};

/** A finding of a certain code. */
export type FindingOf<C extends FindingCode> = {
  [K in C]: { readonly code: K; readonly figures: FindingFigures[K] } & Standing;
}[C];

/** A figure of a period with its coverage, the log's interval and its settings, as data. */
export type Finding = FindingOf<FindingCode>;

/** The settings that each finding depends on. */
export const SETTINGS_OF_FINDING: { readonly [C in FindingCode]: readonly (keyof Settings)[] } = {
  "open-neutral": ["openNeutralV"],
  "no-open-neutral": ["openNeutralV"],
  carried: ["unknownFillS", "sourceFromGridShare", "sourceFloorShare"],
  coverage: [],
  transfers: ["unknownFillS"],
  "transfers-of-cause": [
    "transferLookbackS",
    "overloadSeenAt",
    "overloadInferredAt",
    "dcLimitAt",
    "lowSocMarginPct",
    "lowVMarginV",
    "startRise",
    "scheduledDays",
    "scheduledShare",
  ],
  avoidable: ["oneLegMean", "stackedRise", "stackedWithinS"],
  nuisance: ["transferLookbackS"],
  repeats: ["repeatWithinS"],
  "fuller-leg": ["oneLegMean"],
  dropouts: ["dropoutFromShare", "dropoutToShare", "dropoutV"],
  "return-delay": [],
  "peak-loading": [],
  "near-limit": ["nearLimitEnter", "nearLimitLeave", "nearLimitJoinS", "nearLimitMinS"],
  "longest-run-held": ["nearLimitEnter", "nearLimitLeave", "nearLimitJoinS", "nearLimitMinS"],
  imbalance: [
    "imbalanceShareFloor",
    "imbalanceEnter",
    "imbalanceLeave",
    "imbalanceLoadEnter",
    "imbalanceLoadLeave",
    "imbalanceJoinS",
    "imbalanceMinS",
  ],
  "stranded-capacity": ["imbalanceLoadEnter"],
  "neutral-current": [],
  demand: ["demandCoverage"],
  "heavier-leg-demand": ["demandCoverage"],
  "service-current": ["demandCoverage"],
  "pass-through-current": ["demandCoverage"],
  "existing-load": ["demandCoverage"],
  "continuous-load": [],
  "no-continuous-load": [],
  "leg-voltage": [],
  sag: [],
  energy: [],
  "solar-fraction": [],
  "self-consumption": [],
  losses: ["lossNoteShare"],
  "not-in-log": [],
};
