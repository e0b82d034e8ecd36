import type { ProtectiveDevice } from "./continuous-load";
import type { Source, TransferCause } from "./series";

/** What a figure of a piece of evidence can be; a question mark says that the log may not tell it. */
type FigureKinds = {
  number: number;
  "number?": number | null;
  text: string;
  "text?": string | null;
  flag: boolean;
  leg: "L1" | "L2";
  "leg?": "L1" | "L2" | null;
  limiting: "L1" | "L2" | "total";
  quantity: "L1" | "L2" | "total" | "pass-through";
  /** What the loading shows: the load in W, in VA, or with blending the inverter's part of the load in W. */
  shownIn: "W" | "VA" | "part";
  cause: TransferCause;
  "cause?": TransferCause | null;
  source: Source;
  device: ProtectiveDevice;
};

export type FigureKind = keyof FigureKinds;

/**
 * Every piece of evidence by its code, with exactly the figures it carries. Units stand in the names; W, A and
 * s as everywhere, instants epoch ms, `clockS` seconds of the local day. Limits are those in force at the
 * sample (ratings of that day, lowered by temperature); settings stand under their own names beside the figure
 * that was compared with them.
 */
export const EVIDENCE_FIGURES = {
  /** The samples a cause was looked for in: window of definitions D6. */
  window: {
    fromMs: "number",
    toMs: "number",
    samples: "number",
    transferLookbackS: "number",
    intervalS: "number",
  },
  /** Greatest loading in the window. */
  "peak-loading": {
    quantity: "limiting",
    loading: "number",
    shownIn: "shownIn",
    loadW: "number?",
    limitW: "number",
    limitVa: "number",
    limitRatio: "number",
    atMs: "number",
    near: "flag",
    overloadSeenAt: "number",
  },
  /** No load is known in the window. */
  "no-loading": { hasLoad: "flag" },
  "fault-code": { faultCode: "text?", meaning: "cause?", codeBefore: "text?", atMs: "number" },
  "dc-current": { batteryA: "number", maxDischargeA: "number", dcLimitAt: "number", atMs: "number" },
  temperature: { inverterTempC: "number", maxTempC: "number", atMs: "number" },
  "low-soc": { batterySocPct: "number", lowSocPct: "number", lowSocMarginPct: "number", atMs: "number" },
  "low-volts": { batteryV: "number", lowV: "number", lowVMarginV: "number", atMs: "number" },
  /** How full the battery was when the loads came back from a low battery. */
  "battery-at-return": {
    returnedAtMs: "number?",
    returnSocPct: "number?",
    returnBatteryV: "number?",
    resumeSocPct: "number?",
  },
  /** Greatest rise of a leg between the sample before and this one or the next. */
  "leg-rise": {
    leg: "leg",
    riseW: "number",
    legLimitW: "number",
    startRise: "number",
    fromMs: "number",
    toMs: "number",
  },
  "peak-channel": {
    leg: "leg",
    loading: "number",
    peakW: "number",
    limitW: "number",
    overloadSeenAt: "number",
    atMs: "number",
  },
  "same-clock-time": {
    days: "number",
    ofDays: "number",
    clockS: "number",
    toleranceS: "number",
    scheduledDays: "number",
    scheduledWithinDays: "number",
    scheduledShare: "number",
    overloadSeenAt: "number",
  },
  "return-delay": {
    loading: "number",
    overloadInferredAt: "number",
    onUtilityS: "number",
    returnDelayS: "number",
    toleranceS: "number",
  },
  "gap-before": { gapFromMs: "number", gapToMs: "number" },
  /** What was looked at and didn't explain it; null where the log or the ratings don't have it. */
  "nothing-found": {
    hasFaultCodes: "flag",
    batteryA: "number?",
    hasBatteryA: "flag",
    maxDischargeA: "number?",
    dcLimitAt: "number",
    inverterTempC: "number?",
    hasTemperature: "flag",
    maxTempC: "number?",
    batterySocPct: "number?",
    hasSoc: "flag",
    lowSocPct: "number?",
    lowSocMarginPct: "number",
    batteryV: "number?",
    hasBatteryV: "flag",
    lowV: "number?",
    lowVMarginV: "number",
    riseW: "number?",
    riseLeg: "leg?",
    hasLegs: "flag",
    legLimitW: "number",
    startRise: "number",
    sameClockDays: "number?",
    scheduledDays: "number",
    onUtilityS: "number?",
    returnDelayS: "number?",
    overloadInferredAt: "number",
  },
  /** What the log's interval could have hidden. */
  "interval-hides": { intervalS: "number" },
  /** What a transfer would have been without a grid. */
  "without-grid": { onUtilityS: "number", lowerBound: "flag", returned: "flag" },
  /** How long a dropout was, and how it was seen: by the source column, or by load and leg voltage. */
  "dead-time": {
    deadS: "number",
    lowerBound: "flag",
    ended: "flag",
    bySource: "flag",
    dropoutFromShare: "number",
    dropoutToShare: "number",
    dropoutV: "number",
  },
  /** Part of the nameplate's overload allowance that was used; null where the load passed its last step. */
  "allowance-used": {
    usedBefore: "number?",
    usedHidden: "number?",
    loading: "number",
    upToRatio: "number?",
    forS: "number?",
    intervalS: "number",
  },
  /** Whether the allowance was used up can't be told at this interval. */
  "allowance-hidden": {
    usedBefore: "number",
    usedHidden: "number?",
    loading: "number",
    upToRatio: "number?",
    forS: "number?",
    intervalS: "number",
  },
  "legs-at-peak": {
    leg: "leg",
    loading: "number",
    meanLoading: "number",
    meanW: "number",
    limitW: "number",
    oneLegMean: "number",
    atMs: "number",
  },
  "stacked-rises": {
    rises: "number",
    withinS: "number",
    leastW: "number",
    stackedRise: "number",
    legLimitW: "number",
  },
  "last-return": { returnedAtMs: "number", sinceS: "number", repeatWithinS: "number" },
  /** Greatest loading inside a near-limit interval of a leg or the total. */
  "near-limit-peak": {
    quantity: "limiting",
    loading: "number",
    shownIn: "shownIn",
    loadW: "number?",
    limitW: "number",
    atMs: "number",
  },
  /** The same of the pass-through. */
  "pass-through-peak": { loading: "number", currentA: "number", limitA: "number", atMs: "number" },
  "near-limit-span": {
    durationS: "number",
    meanLoading: "number",
    overLimitS: "number",
    onInverterS: "number",
    onUtilityS: "number",
    nearLimitEnter: "number",
    nearLimitLeave: "number",
    nearLimitJoinS: "number",
    nearLimitMinS: "number",
  },
  "imbalance-span": {
    durationS: "number",
    heavierLeg: "leg",
    maxDifferenceW: "number",
    atMs: "number",
    imbalanceEnter: "number",
    imbalanceLeave: "number",
    imbalanceLoadEnter: "number",
    imbalanceLoadLeave: "number",
    imbalanceJoinS: "number",
    imbalanceMinS: "number",
  },
  /** A protective device that carried continuous load (definitions D4). */
  "continuous-span": {
    device: "device",
    fromMs: "number",
    toMs: "number",
    durationS: "number",
    ratingA: "number",
    meanA: "number",
    maxA: "number",
    atMs: "number",
  },
  /** A stretch that looks like an open or bad neutral (definitions D16), at its greatest difference of the legs. */
  "legs-apart": {
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
    openNeutralV: "number",
  },
} as const satisfies { readonly [code: string]: { readonly [figure: string]: FigureKind } };

export type EvidenceCode = keyof typeof EVIDENCE_FIGURES;

/** The figures that a catalogue of kinds stands for. */
export type FiguresOf<Kinds extends { readonly [figure: string]: FigureKind }> = {
  readonly [F in keyof Kinds]: FigureKinds[Kinds[F]];
};

/** From a code to the figures it carries. */
export type EvidenceFigures = { readonly [C in EvidenceCode]: FiguresOf<(typeof EVIDENCE_FIGURES)[C]> };

/** Evidence of certain codes: a union over them. */
export type EvidenceOf<C extends EvidenceCode> = {
  [K in C]: { readonly code: K; readonly figures: EvidenceFigures[K] };
}[C];

/**
 * A figure or a set of figures that a result stands on, as data. `code` says which; `src/report` turns it into
 * a sentence. Figures carry their unit in their name and are fit for JSON: what the log can't tell is null.
 */
export type Evidence = EvidenceOf<EvidenceCode>;

/** Figures as the analysis has them: NaN and infinities stand where the log can't tell. */
type GivenFigures<C extends EvidenceCode> = EvidenceFigures[C];

/**
 * A piece of evidence. NaN and infinities become null, since JSON has neither; where the catalogue doesn't allow
 * null, the caller owes a finite number.
 *
 * @example evidenceOf("temperature", { inverterTempC: 81, maxTempC: 75, atMs: 0 }).code // "temperature"
 */
export function evidenceOf<C extends EvidenceCode>(code: C, given: GivenFigures<C>): EvidenceOf<C> {
  const figures: Record<string, unknown> = {};
  for (const [name, value] of Object.entries(given)) {
    figures[name] = typeof value === "number" && !Number.isFinite(value) ? null : value;
  }
  return { code, figures } as EvidenceOf<C>;
}
