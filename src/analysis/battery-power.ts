import type { Frame } from "./frame";
import { quantile } from "./quantile";
import type { Ratings } from "./ratings";
import { SOURCE_CODE } from "./series";
import { type Line, type LineSums, weightedLine } from "./weighted-line";

const { inverter: INVERTER } = SOURCE_CODE;

/** At most so much solar power, W, counts as no sun: what meters show at night. Common practice, no source. */
const NO_SUN_W = 5;

/** Fewer samples than this, or loads whose standard deviation is less, say nothing of idle power and efficiency. */
const FIT_MIN_SAMPLES = 100;
const FIT_MIN_SPREAD_W = 100;

/** Fewer days with a line of their own than this have no spread. */
const FIT_MIN_DAYS = 3;

/** Width of a bin of AC power, W, and how many there are: what is beyond counts in the last one. */
const BIN_W = 100;
const MAX_BINS = 400;

/** Places of a bin: Σ hold, Σ hold · AC power, Σ hold · DC power, Σ hold · DC power². */
const BIN_SUMS = 4;

/** Two states of charge are equal up to this, in points (definitions D13). */
const EQUAL_SOC_PCT = 1;

/** A day counts on the way between two moments of equal SOC where the battery's power is known this much of it. */
const WAY_COVERAGE = 0.99;

/** Battery power of one local day. NaN: not given, or not known. */
export type BatteryPowerDay = {
  fromMs: number;
  toMs: number;
  /** Capacity · nominal voltage in force. */
  capacityWh: number;
  /** SOC that stands at the day's beginning: of its first sample, or the one carried into it. */
  firstSocPct: number;
  firstSocAtMs: number;
  /** Held time in which the battery's power is known, s. */
  heldS: number;
  /** Energies in W · s. */
  dischargedWs: number;
  chargedWs: number;
  /** DC power against AC power on inverter without sun, weighted by hold. */
  line: LineSums;
};

/** Battery power of one local day, or of days added together: the days stay apart, since their spread is told. */
export type BatteryPowerSums = { days: BatteryPowerDay[]; bins: Float64Array };

/** Least, middle and greatest quarter of the days' own values. */
export type DaySpread = { q1: number; median: number; q3: number };

/** P_dc = idleW + P_ac / η, fitted on inverter without sun (definitions D13). */
export type InverterModel = {
  idleW: number;
  idleSeW: number;
  /** η of P_dc = idleW + P_ac / η: above 1 where meters disagree or a source isn't in the log. */
  efficiency: number;
  efficiencySe: number;
  /** Share of the variance of the DC power that the line explains; null where it never changes. */
  r2: number | null;
  /** Weighted standard deviation of the DC power beside the line, W. */
  residualW: number;
  n: number;
  /** Spread of the lines of single days; null under 3 days that have one. */
  days: { n: number; idleW: DaySpread; efficiency: DaySpread } | null;
};

/** Mean DC power at an AC power, on inverter without sun. */
export type PowerPoint = { acW: number; dcW: number; dcSdW: number; heldS: number };

/** Energy out over energy in between two moments of equal state of charge. */
export type RoundTrip = {
  efficiency: number;
  fromMs: number;
  toMs: number;
  fromSocPct: number;
  toSocPct: number;
  dischargedWh: number;
  chargedWh: number;
  cycles: number;
};

/** Battery power over a period, definitions D13. */
export type BatteryPower = {
  /** Held time in which the battery's power is known, s. */
  heldS: number;
  dischargedWh: number;
  chargedWh: number;
  /** Discharged over the capacity in force; null where none is given. */
  equivalentFullCycles: number | null;
  /** The same for a month of 365.25 / 12 days of held time; null under a day of it. */
  cyclesPerMonth: number | null;
  /** Null where too few samples, or loads too much alike, say nothing. */
  model: InverterModel | null;
  /** Samples on inverter without sun that the model could be fitted from. */
  modelSamples: number;
  /** In bins of 100 W of AC power, ascending. */
  points: PowerPoint[];
  /** Null where no two local midnights of equal SOC lie a cycle apart with all between them known. */
  roundTrip: RoundTrip | null;
};

/** Sums of a day without samples. */
export function createBatteryPowerSums(): BatteryPowerSums {
  return { days: [], bins: new Float64Array(0) };
}

/**
 * Adds the battery's power in rows `from` to `to`, which lie in one local day (definitions D13): energies each way, and
 * what the inverter's model is fitted from. In the fit are samples on inverter with at most 5 W of sun in which the
 * battery discharges; AC power is the load less what the grid brings and with what it takes.
 *
 * @param day bounds of the local day
 * @param ratings in force that day
 * @param carried true where row `from` began the day before: it adds held time, but it is no sample of this day
 */
export function addBatteryPower(
  frame: Frame,
  sums: BatteryPowerSums,
  day: { readonly fromMs: number; readonly toMs: number },
  ratings: Ratings,
  from: number,
  to: number,
  carried = false,
): void {
  const { holdS, source, derived } = frame;
  const { dischargeW, chargeW, solarPartW, totalW, importW, exportW } = derived;
  const into = dayOf(sums, day, ratings);
  addFirstSoc(frame, into, from, to);
  let { heldS, dischargedWs, chargedWs } = into;
  const { line } = into;
  let { n, w, wx, wy, wxx, wxy, wyy } = line;
  let { bins } = sums;
  for (let row = from; row < to; row++) {
    const dc = dischargeW[row];
    if (Number.isNaN(dc)) continue;
    const hold = holdS[row];
    heldS += hold;
    if (!(dc > 0)) {
      chargedWs += chargeW[row] * hold;
      continue;
    }
    dischargedWs += dc * hold;
    if (source[row] !== INVERTER || !(solarPartW[row] <= NO_SUN_W)) continue;
    const ac = totalW[row] - importW[row] + exportW[row];
    if (!(ac >= 0)) continue;
    const held = dc * hold;
    const asked = ac * hold;
    n++;
    w += hold;
    wx += asked;
    wy += held;
    wxx += asked * ac;
    wxy += asked * dc;
    wyy += held * dc;
    const at = Math.min(Math.floor(ac / BIN_W), MAX_BINS - 1) * BIN_SUMS;
    if (at >= bins.length) {
      bins = longer(bins, at);
      sums.bins = bins;
    }
    bins[at] += hold;
    bins[at + 1] += asked;
    bins[at + 2] += held;
    bins[at + 3] += held * dc;
  }
  into.heldS = heldS;
  into.dischargedWs = dischargedWs;
  into.chargedWs = chargedWs;
  if (carried) ({ n } = line);
  into.line = { n, w, wx, wy, wxx, wxy, wyy };
}

function dayOf(
  sums: BatteryPowerSums,
  { fromMs, toMs }: { readonly fromMs: number; readonly toMs: number },
  { battery: { capacityAh, nominalV } }: Ratings,
): BatteryPowerDay {
  if (sums.days.length === 0) {
    sums.days.push({
      fromMs,
      toMs,
      capacityWh: capacityAh !== undefined && nominalV !== undefined ? capacityAh * nominalV : Number.NaN,
      firstSocPct: Number.NaN,
      firstSocAtMs: Number.NaN,
      heldS: 0,
      dischargedWs: 0,
      chargedWs: 0,
      line: { n: 0, w: 0, wx: 0, wy: 0, wxx: 0, wxy: 0, wyy: 0 },
    });
  }
  return sums.days[0];
}

function addFirstSoc({ raw, timesMs }: Frame, day: BatteryPowerDay, from: number, to: number): void {
  const { batterySocPct } = raw;
  if (batterySocPct === undefined || !Number.isNaN(day.firstSocPct)) return;
  for (let row = from; row < to; row++) {
    if (Number.isNaN(batterySocPct[row])) continue;
    day.firstSocPct = batterySocPct[row];
    day.firstSocAtMs = timesMs[row];
    return;
  }
}

function longer(bins: Float64Array, at: number): Float64Array {
  // In blocks, so that what is kept doesn't hang on the order of the values.
  const block = 16 * BIN_SUMS;
  const grown = new Float64Array((Math.floor(at / block) + 1) * block);
  grown.set(bins);
  return grown;
}

/** Adds a later day to the sums of the days before it. */
export function mergeBatteryPower(into: BatteryPowerSums, more: BatteryPowerSums): void {
  for (const day of more.days) into.days.push({ ...day, line: { ...day.line } });
  if (more.bins.length > into.bins.length) into.bins = longer(into.bins, more.bins.length - BIN_SUMS);
  for (let i = 0; i < more.bins.length; i++) into.bins[i] += more.bins[i];
}

/** Battery power of a period from its sums; null where the log has none. */
export function batteryPowerOf({ days, bins }: BatteryPowerSums): BatteryPower | null {
  let heldS = 0;
  let dischargedWs = 0;
  let chargedWs = 0;
  let cycles = 0;
  let rated = true;
  const line: LineSums = { n: 0, w: 0, wx: 0, wy: 0, wxx: 0, wxy: 0, wyy: 0 };
  for (const day of days) {
    heldS += day.heldS;
    dischargedWs += day.dischargedWs;
    chargedWs += day.chargedWs;
    if (day.capacityWh > 0) cycles += day.dischargedWs / 3600 / day.capacityWh;
    else if (day.heldS > 0) rated = false;
    for (const key of Object.keys(line) as (keyof LineSums)[]) line[key] += day.line[key];
  }
  if (!(heldS > 0)) return null;
  return {
    heldS,
    dischargedWh: dischargedWs / 3600,
    chargedWh: chargedWs / 3600,
    equivalentFullCycles: rated ? cycles : null,
    cyclesPerMonth: rated && heldS >= 86_400 ? (cycles * ((365.25 / 12) * 86_400)) / heldS : null,
    model: modelOf(line, days),
    modelSamples: line.n,
    points: pointsOf(bins),
    roundTrip: roundTripOf(days),
  };
}

function modelOf(line: LineSums, days: readonly BatteryPowerDay[]): InverterModel | null {
  const fitted = lineOf(line);
  if (fitted === null) return null;
  const ofDays = days.flatMap((day) => lineOf(day.line) ?? []);
  const spread = (of: (one: Line) => number): DaySpread => {
    const sorted = Float64Array.from(ofDays, of).sort();
    return { q1: quantile(sorted, 0.25), median: quantile(sorted, 0.5), q3: quantile(sorted, 0.75) };
  };
  return {
    idleW: fitted.intercept,
    idleSeW: fitted.interceptSe,
    efficiency: 1 / fitted.slope,
    efficiencySe: fitted.slopeSe / fitted.slope ** 2,
    r2: fitted.r2,
    residualW: fitted.residual,
    n: fitted.n,
    days:
      ofDays.length < FIT_MIN_DAYS
        ? null
        : {
            n: ofDays.length,
            idleW: spread((one) => one.intercept),
            efficiency: spread((one) => 1 / one.slope),
          },
  };
}

/** The line of enough samples; null where it would say nothing, or where DC power falls with the load. */
function lineOf(line: LineSums): Line | null {
  if (line.n < FIT_MIN_SAMPLES) return null;
  const fitted = weightedLine(line, FIT_MIN_SPREAD_W);
  return fitted !== null && fitted.slope > 0 ? fitted : null;
}

function pointsOf(bins: Float64Array): PowerPoint[] {
  const points: PowerPoint[] = [];
  for (let at = 0; at < bins.length; at += BIN_SUMS) {
    const heldS = bins[at];
    if (!(heldS > 0)) continue;
    const dcW = bins[at + 2] / heldS;
    points.push({
      acW: bins[at + 1] / heldS,
      dcW,
      dcSdW: Math.sqrt(Math.max(0, bins[at + 3] / heldS - dcW * dcW)),
      heldS,
    });
  }
  return points;
}

/** Between the two local midnights of equal SOC with the most discharge between them, a cycle or more; all days between are known. */
function roundTripOf(days: readonly BatteryPowerDay[]): RoundTrip | null {
  let best: RoundTrip | null = null;
  for (let i = 0; i < days.length; i++) {
    if (!beginsKnown(days[i])) continue;
    let out = 0;
    let into = 0;
    let cycles = 0;
    for (let j = i; j + 1 < days.length; j++) {
      const day = days[j];
      const next = days[j + 1];
      if (day.toMs !== next.fromMs || day.heldS * 1000 < WAY_COVERAGE * (day.toMs - day.fromMs)) break;
      if (!(day.capacityWh > 0)) break;
      out += day.dischargedWs / 3600;
      into += day.chargedWs / 3600;
      cycles += day.dischargedWs / 3600 / day.capacityWh;
      if (!beginsKnown(next) || cycles < 1 || !(into > 0)) continue;
      if (Math.abs(next.firstSocPct - days[i].firstSocPct) > EQUAL_SOC_PCT) continue;
      if (best !== null && cycles <= best.cycles) continue;
      best = {
        efficiency: out / into,
        fromMs: days[i].fromMs,
        toMs: next.fromMs,
        fromSocPct: days[i].firstSocPct,
        toSocPct: next.firstSocPct,
        dischargedWh: out,
        chargedWh: into,
        cycles,
      };
    }
  }
  return best;
}

/** Whether the SOC at a day's midnight is known: within the first hundredth of the day. */
function beginsKnown({ firstSocAtMs, fromMs, toMs }: BatteryPowerDay): boolean {
  return firstSocAtMs - fromMs <= (1 - WAY_COVERAGE) * (toMs - fromMs);
}
