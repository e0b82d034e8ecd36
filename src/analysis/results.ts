import type { ContinuousLoad } from "./continuous-load";
import type { DayRecord } from "./day-record";
import type { Evidence } from "./evidence";
import type { Note } from "./note";
import type { OpenNeutralSuspicion } from "./open-neutral";
import type { PeriodFigures } from "./period-figures";
import type { Source, TransferCause } from "./series";

export type { Evidence, Note };

/** A quantity that has a limit. In ties the order is total, L1, L2, pass-through (definitions D0). */
export type Quantity = "total" | "L1" | "L2" | "pass-through";

/** A stretch in which one quantity stays near or above its limit, definitions D4. Instants are epoch ms. */
export type NearLimitInterval = {
  quantity: Quantity;
  fromMs: number;
  toMs: number;
  durationS: number;
  /** Load at the greatest loading in W (VA where the VA limit was the tighter one); null for pass-through. */
  peakW: number | null;
  /** Pass-through only: amperes at the greatest loading. */
  peakA: number | null;
  peakAtMs: number;
  peakLoading: number;
  /** The limit at the peak's sample, lowered by temperature: W, for pass-through A. */
  limitW: number | null;
  limitA: number | null;
  /** Nominal interval of the log there, s. */
  intervalS: number;
  meanLoading: number;
  overLimitS: number;
  onInverterS: number;
  onUtilityS: number;
  /** Longest stretch on inverter in it, and its beginning; null where there is none. */
  longestOnInverterS: number;
  longestOnInverterFromMs: number | null;
};

/** A result with what it stands on: its figures, the settings, and what the log's interval could have hidden. */
export type Evidenced<T> = T & { evidence: readonly Evidence[] };

export type Certainty = "seen" | "inferred" | "none";

/** Tags of definitions D7. */
export type TransferTag = "within-allowance" | "one-leg" | "stacked-starts" | "repeat";

/** What a transfer and a dropout have in common: why it happened and what that stands on. */
export type CauseFindings = {
  cause: TransferCause;
  /** Other rules among 1 to 6 of D6 that hold too. */
  alsoHolds: TransferCause[];
  certainty: Certainty;
  /** Quantity of the greatest loading in the window; null where no load is known there. */
  limiting: "L1" | "L2" | "total" | null;
  peakLoading: number | null;
  /** The sample of peakLoading. */
  peakAtMs: number | null;
  /** Null where this version doesn't compute them. */
  tags: TransferTag[] | null;
  nuisance: boolean | null;
  avoidable: boolean | null;
  evidence: Evidence[];
};

/** On inverter → on utility or generator, definitions D5 and D6. */
export type Transfer = CauseFindings & {
  atMs: number;
  /** Null where it never came back in the log, or a gap hides when. */
  returnedAtMs: number | null;
  onUtilityS: number;
  /** True where onUtilityS is only what the log shows of it. */
  lowerBound: boolean;
  to: "utility" | "generator";
};

/** The loads lose supply, definitions D5. */
export type Dropout = CauseFindings & {
  atMs: number;
  endedAtMs: number | null;
  deadS: number;
  lowerBound: boolean;
};

/** Energies of definitions D10 in Wh over one period. */
export type EnergyShares = {
  loadWh: number;
  solarWh: number;
  solarToLoadWh: number;
  batteryToLoadWh: number;
  gridToLoadWh: number;
  generatorToLoadWh: number;
  unattributedWh: number;
  solarToBatteryWh: number;
  gridToBatteryWh: number;
  generatorToBatteryWh: number;
  solarToGridWh: number;
  batteryToGridWh: number;
  lossesWh: number;
  /** Solar + battery discharge + grid import (or generator): what losses are held against. */
  suppliedWh: number;
  /** Part of batteryToLoadWh that came from the sun. */
  batteryToLoadOfSolarWh: number;
};

/** One local day, definitions D10. */
export type DayResult = {
  /** yyyy-MM-dd at the site. */
  date: string;
  fromMs: number;
  toMs: number;
  samples: number;
  /** Held time with any sample in it. */
  heldS: number;
  /** Held time that counts in the shares: every channel they need has a value. */
  sharesHeldS: number;
  shares: EnergyShares;
  /** Held time by source state. */
  onS: { readonly [S in Source]: number };
  /** Greatest loading of L1, L2, total while on inverter and in all, null where none is known. */
  peakLoading: number | null;
  peakQuantity: Quantity | null;
  peakAtMs: number | null;
  /** Greatest loading per quantity; null where none is known. */
  peakLoadingL1: number | null;
  peakLoadingL2: number | null;
  peakLoadingTotal: number | null;
};

/** One local clock hour: what the loading calendar draws. Hours of a repeated clock hour are apart. */
export type HourResult = {
  fromMs: number;
  toMs: number;
  heldS: number;
  peakLoading: number | null;
  peakQuantity: Quantity | null;
  peakAtMs: number | null;
};

/** A hole in the log longer than three nominal intervals. */
export type Gap = { fromMs: number; toMs: number };

/** A stretch in which the legs differ much while one of them is loaded, definitions D9. */
export type ImbalanceInterval = {
  fromMs: number;
  toMs: number;
  durationS: number;
  maxDifferenceW: number;
  maxDifferenceAtMs: number;
  /** Nominal interval of the log there, s. */
  intervalS: number;
  /** The leg with more energy in it. */
  heavierLeg: "L1" | "L2";
};

/** Imbalance of the legs, definitions D9; figures are null where no sample gives them. */
export type Imbalance = {
  intervals: Evidenced<ImbalanceInterval>[];
  /** Time-weighted mean of |L1 − L2| / (L1 + L2). */
  meanShare: number | null;
  /** For loads in phase: a lower bound where power factors differ. */
  maxNeutralA: number | null;
  maxNeutralAtMs: number | null;
  strandedAtPeakW: number | null;
  strandedMeanW: number | null;
};

/** How long after the load was back under its limit the return came, definitions D8. */
export type ReturnDelay = { medianS: number | null; q1S: number | null; q3S: number | null; n: number };

/** What the log covers, definitions D1. */
export type Coverage = {
  fromMs: number | null;
  toMs: number | null;
  samples: number;
  /** Null under two samples. */
  nominalS: number | null;
  heldS: number;
  ratio: number | null;
  gaps: Gap[];
};

/** Everything the analysis finds in one history. What this version can't compute is null, with a note. */
export type ReviewResult = {
  coverage: Coverage;
  nearLimit: Evidenced<NearLimitInterval>[];
  transfers: Transfer[];
  dropouts: Dropout[];
  days: DayRecord[];
  hours: HourResult[];
  total: EnergyShares;
  returnDelay: ReturnDelay;
  /** Stretches in which a protective device carried continuous load. */
  continuousLoad: Evidenced<ContinuousLoad>[];
  /** Suspicions of an open neutral; null where the log hasn't both leg voltages and both leg loads. */
  openNeutral: Evidenced<OpenNeutralSuspicion>[] | null;
  /** Figures of the whole history. */
  figures: PeriodFigures;
  notes: Note[];
};
