/** The battery bank and its protective devices. Amperes and volts DC. */
export type BatteryRatings = {
  nominalV?: number;
  capacityAh?: number;
  maxDischargeA?: number;
  maxChargeA?: number;
  surgeA?: number;
  fuseA?: number;
  lowSocPct?: number;
  resumeSocPct?: number;
  lowV?: number;
};

/**
 * What the nameplates allow, from one local midnight on, with every default filled in. Where a figure was
 * not given, the optional key is absent and what needs it says so.
 */
export type Ratings = {
  /** Local date, yyyy-MM-dd: in force from that day's first instant on. */
  from: string;
  legLimitW: number;
  /** Twice legLimitW where not given. */
  totalLimitW: number;
  /** legLimitW where not given. */
  legLimitVa: number;
  /** totalLimitW where not given. */
  totalLimitVa: number;
  /** 120 where not given. */
  legNominalV: number;
  /** Overload allowance by ascending upToRatio; empty where not given. */
  overload: readonly { upToRatio: number; forS: number }[];
  derate: readonly { aboveC: number; ratio: number }[];
  legSurgeA?: number;
  surgeS?: number;
  maxTempC?: number;
  passThroughA?: number;
  serviceA?: number;
  loadOutsideA?: number;
  hundredPercentRated: readonly string[];
  returnDelayS?: number;
  idleW?: number;
  battery: BatteryRatings;
  dcCable?: { size: string; oneWayFt: number };
  solarPeakW?: number;
};
