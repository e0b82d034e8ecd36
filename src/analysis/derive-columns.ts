import type { ChannelsPresent } from "./channels-present";
import { derateRatio } from "./derate-ratio";
import type { Frame } from "./frame";
import { gridAt } from "./power-at";
import type { Ratings } from "./ratings";
import { SOURCE_CODE } from "./series";
import type { Settings } from "./settings";

const { inverter: INVERTER, utility: UTILITY, generator: GENERATOR } = SOURCE_CODE;

/** Counts that notes are made from: held seconds and rows of what was met on the way. */
export type DeriveCounts = {
  /** Held time in which measured total and L1 + L2 were apart by more than totalDisagreement, s. */
  totalApartS: number;
  /** Rows in which a leg's load was negative: a source behind the meter. */
  negativeLoadRows: number;
  /** Rows on inverter with more than blendingShare of the load from the grid. */
  blendingRows: number;
  /** Of those, rows whose legs the log can't split. */
  blendingUnknownRows: number;
};

/** Counts before the first row. */
export function createDeriveCounts(): DeriveCounts {
  return { totalApartS: 0, negativeLoadRows: 0, blendingRows: 0, blendingUnknownRows: 0 };
}

/**
 * Fills the derived columns of rows `from` to `to` (definitions D2, D3 and the powers of D10): leg and total
 * load, loading of each quantity, neutral current of loads in phase (D9), and the non-negative powers that energy shares are made of. What can't be
 * known is NaN. All rows must lie in the time for which `ratings` count, with source and hold settled.
 */
export function deriveColumns(
  frame: Frame,
  present: ChannelsPresent,
  ratings: Ratings,
  settings: Settings,
  counts: DeriveCounts,
  from: number,
  to: number,
): void {
  const { raw, nan, source, holdS, derived } = frame;
  const loadL1W = raw.loadL1W ?? nan;
  const loadL2W = raw.loadL2W ?? nan;
  const loadW = raw.loadW ?? nan;
  const loadL1Va = raw.loadL1Va ?? nan;
  const loadL2Va = raw.loadL2Va ?? nan;
  const loadL1A = raw.loadL1A ?? nan;
  const loadL2A = raw.loadL2A ?? nan;
  const loadL1V = raw.loadL1V ?? nan;
  const loadL2V = raw.loadL2V ?? nan;
  const solarW = raw.solarW ?? nan;
  const batteryW = raw.batteryW ?? nan;
  const batteryA = raw.batteryA ?? nan;
  const batteryV = raw.batteryV ?? nan;
  const temperatureC = raw.inverterTempC ?? nan;
  const gridW = raw.gridW ?? nan;
  const gridL1W = raw.gridL1W ?? nan;
  const gridL2W = raw.gridL2W ?? nan;
  const hasVa =
    raw.loadL1Va !== undefined ||
    raw.loadL2Va !== undefined ||
    (raw.loadL1A !== undefined && raw.loadL1V !== undefined) ||
    (raw.loadL2A !== undefined && raw.loadL2V !== undefined);
  const hasAmps = raw.loadL1A !== undefined || raw.loadL2A !== undefined;
  const hasMeasuredTotal = raw.loadW !== undefined;
  const hasDerate = ratings.derate.length > 0 && raw.inverterTempC !== undefined;
  const hasMeasuredGrid = present.grid;
  const simpleGrid = raw.gridW !== undefined && raw.gridL1W === undefined && raw.gridL1A === undefined;
  const { legNominalV } = ratings;
  const { strings } = present;
  // Columns are named once, outside the loop: it runs for every sample.
  const {
    l1W: outL1W,
    l2W: outL2W,
    totalW: outTotalW,
    l1Loading: outL1Loading,
    l2Loading: outL2Loading,
    totalLoading: outTotalLoading,
    neutralA: outNeutralA,
    loadPartW: outLoadPartW,
    solarPartW: outSolarPartW,
    dischargeW: outDischargeW,
    chargeW: outChargeW,
    importW: outImportW,
    exportW: outExportW,
  } = derived;
  const { totalDisagreement, blendingShare } = settings;
  const { solar: hasSolar, battery: hasBattery } = present;

  for (let row = from; row < to; row++) {
    const code = source[row];
    const fed = code === UTILITY || code === GENERATOR;

    const l1V = loadL1V[row];
    const l2V = loadL2V[row];
    const volts1 = !Number.isNaN(l1V) ? l1V : legNominalV;
    const volts2 = !Number.isNaN(l2V) ? l2V : legNominalV;
    let l1 = loadL1W[row];
    if (Number.isNaN(l1)) l1 = loadL1A[row] * volts1;
    let l2 = loadL2W[row];
    if (Number.isNaN(l2)) l2 = loadL2A[row] * volts2;
    let total = l1 + l2;
    if (hasMeasuredTotal) {
      const measured = loadW[row];
      if (!Number.isNaN(measured)) {
        if (!Number.isNaN(total)) {
          const larger = Math.max(Math.abs(measured), Math.abs(total));
          if (Math.abs(measured - total) > totalDisagreement * larger) counts.totalApartS += holdS[row];
        } else if (!Number.isNaN(l1)) l2 = measured - l1;
        else if (!Number.isNaN(l2)) l1 = measured - l2;
        total = measured;
      }
    }
    if (l1 < 0 || l2 < 0 || total < 0) counts.negativeLoadRows++;
    outL1W[row] = l1;
    outL2W[row] = l2;
    outTotalW[row] = total;

    // What the inverter carries: with blending, less than the loads take.
    let carried1 = l1;
    let carried2 = l2;
    let carriedTotal = total;
    let blending = false;
    let grid = Number.NaN;
    if (hasMeasuredGrid) {
      grid = simpleGrid ? gridW[row] : gridAt(frame, row, legNominalV);
      // A grid that brings nothing, or takes, carries no part, however small or negative the load is.
      if (code === INVERTER && grid > 0 && grid > blendingShare * total) {
        blending = true;
        counts.blendingRows++;
        carriedTotal = total - grid;
        carried1 = l1 - Math.max(0, gridL1W[row]);
        carried2 = l2 - Math.max(0, gridL2W[row]);
        if (Number.isNaN(carried1) || Number.isNaN(carried2)) counts.blendingUnknownRows++;
      }
    }

    let legLimitW = ratings.legLimitW;
    let totalLimitW = ratings.totalLimitW;
    let limitRatio = 1;
    if (hasDerate) {
      limitRatio = derateRatio(ratings, temperatureC[row]);
      legLimitW *= limitRatio;
      totalLimitW *= limitRatio;
    }
    let loading1 = carried1 / legLimitW;
    let loading2 = carried2 / legLimitW;
    let loadingTotal = carriedTotal / totalLimitW;
    if (hasVa) {
      let va1 = loadL1Va[row];
      if (Number.isNaN(va1)) va1 = loadL1A[row] * l1V;
      let va2 = loadL2Va[row];
      if (Number.isNaN(va2)) va2 = loadL2A[row] * l2V;
      const legLimitVa = ratings.legLimitVa * limitRatio;
      // With blending the VA measured are the loads', not those that the inverter carries.
      if (!blending || carried1 === l1) loading1 = greater(loading1, va1 / legLimitVa);
      if (!blending || carried2 === l2) loading2 = greater(loading2, va2 / legLimitVa);
      if (!blending) loadingTotal = greater(loadingTotal, (va1 + va2) / (ratings.totalLimitVa * limitRatio));
    }
    outL1Loading[row] = loading1;
    outL2Loading[row] = loading2;
    outTotalLoading[row] = loadingTotal;
    let amps1 = l1 / volts1;
    let amps2 = l2 / volts2;
    if (hasAmps) {
      if (!Number.isNaN(loadL1A[row])) amps1 = loadL1A[row];
      if (!Number.isNaN(loadL2A[row])) amps2 = loadL2A[row];
    }
    outNeutralA[row] = finite(Math.abs(amps1 - amps2));

    // Powers of D10, none of them negative.
    let solar = 0;
    if (hasSolar) {
      solar = solarW[row];
      if (Number.isNaN(solar) && strings.length > 0) {
        solar = 0;
        for (const string of strings) solar += (raw[string] as Float32Array)[row];
      }
      if (solar < 0) solar = 0;
    }
    let discharge = 0;
    let charge = 0;
    if (hasBattery) {
      let battery = batteryW[row];
      if (Number.isNaN(battery)) battery = batteryV[row] * batteryA[row];
      if (battery >= 0) discharge = battery;
      else if (battery < 0) charge = -battery;
      else {
        discharge = Number.NaN;
        charge = Number.NaN;
      }
    }
    let imported = 0;
    let exported = 0;
    if (hasMeasuredGrid) {
      if (grid >= 0) imported = grid;
      else if (grid < 0) exported = -grid;
      else {
        imported = Number.NaN;
        exported = Number.NaN;
      }
    } else if (fed) {
      const balance = total + charge - solar;
      imported = balance > 0 ? balance : balance <= 0 ? 0 : Number.NaN;
    }
    outLoadPartW[row] = Math.max(total, 0);
    outSolarPartW[row] = solar;
    outDischargeW[row] = discharge;
    outChargeW[row] = charge;
    outImportW[row] = imported;
    outExportW[row] = exported;
  }
  deriveAmps(frame, ratings, from, to);
}

/**
 * Fills the amperes that the inverter's relay and the service carry, per leg (definitions D3, D11); NaN where
 * they can't be known:
 * - pass-through, on utility: the leg's load and half of grid → battery over its voltage. Charging that is
 *   unknown counts as none, so that the figure is a lower bound. `passThroughA` is the greater leg, on utility
 *   and generator, where a rating is given to hold it against; NaN if either leg is.
 * - service: the grid's leg as measured, positive when importing, else W / V; without that, on utility, the
 *   pass-through and what is fed outside of the inverter. On inverter the service carries only what the grid's
 *   meter says. On generator it is unknown: the grid's channels read the generator then (D10).
 */
function deriveAmps(frame: Frame, ratings: Ratings, from: number, to: number): void {
  const { raw, nan, source, derived } = frame;
  const { passThroughA, legNominalV } = ratings;
  const loadOutsideA = ratings.loadOutsideA ?? 0;
  const loadL1A = raw.loadL1A ?? nan;
  const loadL2A = raw.loadL2A ?? nan;
  const loadL1V = raw.loadL1V ?? nan;
  const loadL2V = raw.loadL2V ?? nan;
  const gridL1W = raw.gridL1W ?? nan;
  const gridL2W = raw.gridL2W ?? nan;
  const gridL1A = raw.gridL1A ?? nan;
  const gridL2A = raw.gridL2A ?? nan;
  const hasGridLegs =
    raw.gridL1A !== undefined ||
    raw.gridL2A !== undefined ||
    raw.gridL1W !== undefined ||
    raw.gridL2W !== undefined;
  const { l1W, l2W, totalW, solarPartW, chargeW, importW } = derived;
  const { passThroughA: outA, passThroughLoading: outLoading } = derived;
  const { passThroughL1A: outL1A, passThroughL2A: outL2A, serviceL1A, serviceL2A } = derived;
  for (const column of [outA, outLoading, outL1A, outL2A, serviceL1A, serviceL2A]) {
    column.fill(Number.NaN, from, to);
  }
  for (let row = from; row < to; row++) {
    const code = source[row];
    const fed = code === UTILITY || code === GENERATOR;
    if (!fed && !hasGridLegs) continue;
    const l1V = loadL1V[row];
    const l2V = loadL2V[row];
    const volts1 = !Number.isNaN(l1V) ? l1V : legNominalV;
    const volts2 = !Number.isNaN(l2V) ? l2V : legNominalV;
    if (fed) {
      const a1 = loadL1A[row];
      const a2 = loadL2A[row];
      const toBattery = gridToBattery(totalW[row], solarPartW[row], chargeW[row], importW[row]);
      const extra = !Number.isNaN(toBattery) ? toBattery / 2 : 0;
      const amps1 = (!Number.isNaN(a1) ? a1 : l1W[row] / volts1) + extra / volts1;
      const amps2 = (!Number.isNaN(a2) ? a2 : l2W[row] / volts2) + extra / volts2;
      if (passThroughA !== undefined) {
        outA[row] = finite(Math.max(amps1, amps2));
        outLoading[row] = outA[row] / passThroughA;
      }
      if (code === UTILITY) {
        outL1A[row] = finite(amps1);
        outL2A[row] = finite(amps2);
        serviceL1A[row] = outL1A[row] + loadOutsideA;
        serviceL2A[row] = outL2A[row] + loadOutsideA;
      }
    }
    if (hasGridLegs && code !== GENERATOR) {
      const g1 = gridL1A[row];
      const g2 = gridL2A[row];
      const measured1 = finite(!Number.isNaN(g1) ? g1 : gridL1W[row] / volts1);
      const measured2 = finite(!Number.isNaN(g2) ? g2 : gridL2W[row] / volts2);
      if (!Number.isNaN(measured1)) serviceL1A[row] = measured1;
      if (!Number.isNaN(measured2)) serviceL2A[row] = measured2;
    }
  }
}

/** Watts at a measured 0 V are no current that could be told. */
function finite(amps: number): number {
  return Number.isFinite(amps) ? amps : Number.NaN;
}

/** The greater of the two that are known. */
function greater(a: number, b: number): number {
  return a >= b ? a : !Number.isNaN(b) ? b : a;
}

/** Grid → battery on utility in W, by the min rule of D10: the grid serves the load first. */
function gridToBattery(load: number, solar: number, charge: number, imported: number): number {
  const demand = Math.max(load, 0);
  const gridToLoad = Math.min(imported, demand);
  const solarToLoad = Math.min(solar, demand - gridToLoad);
  const solarToBattery = Math.min(solar - solarToLoad, charge);
  return Math.min(imported - gridToLoad, charge - solarToBattery);
}
