import type { Frame } from "./frame";
import type { LocalClock } from "./local-time";
import type { Ratings } from "./ratings";
import type { EnergyShares } from "./results";
import { SOURCE_CODE } from "./series";

const { utility: UTILITY, generator: GENERATOR } = SOURCE_CODE;

/** One local day of shares as it is being summed. */
export type SharesDay = {
  date: string;
  fromMs: number;
  toMs: number;
  /**
   * Energies in Wh, in the order of SHARE_FIELDS, then held seconds, held seconds that count in the shares,
   * and samples: a typed array, since every sample adds to them.
   */
  sums: Float64Array;
};

/** What the detector carries from chunk to chunk. */
export type EnergyShareState = {
  days: SharesDay[];
  /** Battery stock by origin, Wh; NaN before the first hold that counts. */
  solarStockWh: number;
  gridStockWh: number;
  unknownStockWh: number;
  /** Set where the stock began before any SOC was known: with the one the caller gave, or half the capacity. */
  beganWithoutSoc: boolean;
  /** First finite SOC of the history, %; NaN while there is none. */
  firstSocPct: number;
};

/** The state before the first row. */
export function createEnergyShareState(): EnergyShareState {
  return {
    days: [],
    solarStockWh: Number.NaN,
    gridStockWh: Number.NaN,
    unknownStockWh: Number.NaN,
    beganWithoutSoc: false,
    firstSocPct: Number.NaN,
  };
}

/** The energies of a day in the order in which they are summed. */
const SHARE_FIELDS = [
  "loadWh",
  "solarWh",
  "solarToLoadWh",
  "batteryToLoadWh",
  "gridToLoadWh",
  "generatorToLoadWh",
  "unattributedWh",
  "solarToBatteryWh",
  "gridToBatteryWh",
  "generatorToBatteryWh",
  "solarToGridWh",
  "batteryToGridWh",
  "lossesWh",
  "suppliedWh",
  "batteryToLoadOfSolarWh",
] as const satisfies readonly (keyof EnergyShares)[];

/** Places of what follows the energies in a day's sums. */
export const HELD_S = SHARE_FIELDS.length;
export const SHARES_HELD_S = HELD_S + 1;
export const SAMPLES = HELD_S + 2;

/** Energies of an empty period. */
export function zeroShares(): EnergyShares {
  return sharesOf(new Float64Array(SHARE_FIELDS.length));
}

/** The sums of a day under their names. */
export function sharesOf(sums: Float64Array): EnergyShares {
  const shares = {} as EnergyShares;
  SHARE_FIELDS.forEach((field, i) => {
    shares[field] = sums[i];
  });
  return shares;
}

/** Adds the energies of `more` to `sum`, field by field. */
export function addShares(sum: EnergyShares, more: EnergyShares): void {
  for (const key of Object.keys(sum) as (keyof EnergyShares)[]) sum[key] += more[key];
}

/**
 * Energy shares of rows `from` to `to` (definitions D10), summed per local day into `state.days`. Each hold's
 * powers are allocated in priority order by the min rule [self-consumption as min(P, L): Luthander, Widén,
 * Nilsson, Palm, Applied Energy 142 (2015) 80–94, DOI 10.1016/j.apenergy.2014.12.028]; the battery's stock is
 * kept by origin. A hold with NaN in a channel that the log has is left out of all shares.
 *
 * @param ratings in force for these rows
 * @param firstSocPct the history's first known SOC where the caller knows it already, else null
 */
export function sumEnergyShares(
  frame: Frame,
  state: EnergyShareState,
  ratings: Ratings,
  clock: LocalClock,
  firstSocPct: number | null,
  from: number,
  to: number,
): void {
  if (from >= to) return;
  const { timesMs, holdS, source, derived, raw, nan } = frame;
  const { loadPartW, solarPartW, dischargeW, chargeW, importW, exportW } = derived;
  const socPct = raw.batterySocPct ?? nan;
  const { capacityAh, nominalV } = ratings.battery;
  const capacityWh = capacityAh !== undefined && nominalV !== undefined ? capacityAh * nominalV : Number.NaN;

  // In a typed array, since engines make an object of a number that a loop carries from row to row.
  const stocks = Float64Array.of(state.solarStockWh, state.gridStockWh, state.unknownStockWh);
  let day = dayAt(state, clock, timesMs[from]);
  let sums = day.sums;
  let dayEndMs = day.toMs;
  let firstSoc = state.firstSocPct;
  for (let row = from; row < to; row++) {
    const atMs = timesMs[row];
    const hold = holdS[row];
    if (atMs >= dayEndMs) {
      day = dayAt(state, clock, timesMs[row]);
      sums = day.sums;
      dayEndMs = day.toMs;
    }
    sums[SAMPLES]++;

    const soc = socPct[row];
    const load = loadPartW[row];
    const solar = solarPartW[row];
    const discharge = dischargeW[row];
    const charge = chargeW[row];
    const imported = importW[row];
    const exported = exportW[row];
    if (Number.isNaN(firstSoc)) firstSoc = soc;

    const check = load + solar + discharge + charge + imported + exported;
    if (Number.isNaN(check)) {
      if (atMs + hold * 1000 <= dayEndMs) sums[HELD_S] += hold;
      else addHeldByDay(state, clock, timesMs[row], holdS[row]);
      continue;
    }

    // Priority order of D10.
    const code = source[row];
    let solarToLoad: number;
    let batteryToLoad: number;
    let gridToLoad: number;
    if (code === UTILITY || code === GENERATOR) {
      gridToLoad = Math.min(imported, load);
      const left = load - gridToLoad;
      solarToLoad = Math.min(solar, left);
      const left2 = left - solarToLoad;
      batteryToLoad = Math.min(discharge, left2);
    } else {
      solarToLoad = Math.min(solar, load);
      const left = load - solarToLoad;
      batteryToLoad = Math.min(discharge, left);
      const left2 = left - batteryToLoad;
      gridToLoad = Math.min(imported, left2);
    }
    const unattributed = load - solarToLoad - batteryToLoad - gridToLoad;
    const solarLeft = solar - solarToLoad;
    const solarToBattery = Math.min(solarLeft, charge);
    const gridLeft = imported - gridToLoad;
    const chargeLeft = charge - solarToBattery;
    const gridToBattery = Math.min(gridLeft, chargeLeft);
    const solarRest = solarLeft - solarToBattery;
    const solarToGrid = Math.min(solarRest, exported);
    const batteryRest = discharge - batteryToLoad;
    const exportLeft = exported - solarToGrid;
    const batteryToGrid = Math.min(batteryRest, exportLeft);
    const losses = solar + discharge + imported - load - charge - exported;

    // Stock of the battery by origin.
    const hours = hold / 3600;
    let solarStock = stocks[0];
    let gridStock = stocks[1];
    let unknownStock = stocks[2];
    if (Number.isNaN(solarStock)) {
      const known = Number.isNaN(firstSoc) ? (firstSocPct ?? Number.NaN) : firstSoc;
      state.beganWithoutSoc = Number.isNaN(firstSoc) && !Number.isNaN(capacityWh);
      solarStock = 0;
      gridStock = 0;
      unknownStock = Number.isNaN(known) ? capacityWh / 2 : (known / 100) * capacityWh;
      if (Number.isNaN(unknownStock)) unknownStock = 0;
    }
    if (charge > 0) {
      solarStock += solarToBattery * hours;
      gridStock += gridToBattery * hours;
      unknownStock += (chargeLeft - gridToBattery) * hours;
    }
    let ofSolar = 0;
    let stock = solarStock + gridStock + unknownStock;
    if (discharge > 0) {
      const drawn = discharge * hours;
      // What is drawn in proportion is of solar origin by the stock's own share; what is drawn beyond it isn't.
      if (drawn > 0) ofSolar = (batteryToLoad * solarStock) / Math.max(drawn, stock);
      const kept = drawn < stock ? 1 - drawn / stock : stock > 0 ? 0 : 1;
      solarStock *= kept;
      gridStock *= kept;
      unknownStock *= kept;
      stock *= kept;
    }
    const ceiling = !Number.isNaN(soc) ? (soc / 100) * capacityWh : capacityWh;
    if (stock > ceiling) {
      const scale = ceiling / stock;
      solarStock *= scale;
      gridStock *= scale;
      unknownStock *= scale;
    }
    stocks[0] = solarStock;
    stocks[1] = gridStock;
    stocks[2] = unknownStock;

    const onGenerator = code === GENERATOR;
    if (atMs + hold * 1000 <= dayEndMs) {
      sums[HELD_S] += hold;
      sums[SHARES_HELD_S] += hold;
      // Most powers are nothing most of the time, and nothing changes no sum.
      sums[0] += load * hours;
      if (solar > 0) {
        sums[1] += solar * hours;
        sums[2] += solarToLoad * hours;
        sums[7] += solarToBattery * hours;
      }
      if (discharge > 0) {
        sums[3] += batteryToLoad * hours;
        sums[14] += ofSolar * hours;
      }
      if (imported > 0) {
        sums[onGenerator ? 5 : 4] += gridToLoad * hours;
        sums[onGenerator ? 9 : 8] += gridToBattery * hours;
      }
      if (exported > 0) {
        sums[10] += solarToGrid * hours;
        sums[11] += batteryToGrid * hours;
      }
      if (unattributed > 0) sums[6] += unattributed * hours;
      sums[12] += losses * hours;
      sums[13] += (solar + discharge + imported) * hours;
    } else {
      addPowersByDay(state, clock, timesMs[row], holdS[row], [
        load,
        solar,
        solarToLoad,
        batteryToLoad,
        onGenerator ? 0 : gridToLoad,
        onGenerator ? gridToLoad : 0,
        unattributed,
        solarToBattery,
        onGenerator ? 0 : gridToBattery,
        onGenerator ? gridToBattery : 0,
        solarToGrid,
        batteryToGrid,
        losses,
        solar + discharge + imported,
        ofSolar,
      ]);
    }
  }
  state.firstSocPct = firstSoc;
  state.solarStockWh = stocks[0];
  state.gridStockWh = stocks[1];
  state.unknownStockWh = stocks[2];
}

/** The day that holds an instant: the last one, or a new one after it. */
function dayAt(state: EnergyShareState, clock: LocalClock, atMs: number): SharesDay {
  const last = state.days[state.days.length - 1];
  if (last !== undefined && atMs < last.toMs) return last;
  const fromMs = clock.startOfDayMs(atMs);
  const day: SharesDay = {
    date: clock.date(fromMs),
    fromMs,
    toMs: clock.nextDayMs(atMs),
    sums: new Float64Array(SAMPLES + 1),
  };
  state.days.push(day);
  return day;
}

/** Held time of a hold that goes over midnight, without its powers. */
function addHeldByDay(state: EnergyShareState, clock: LocalClock, atMs: number, heldS: number): void {
  for (const part of partsByDay(state, clock, atMs, heldS)) part.day.sums[HELD_S] += part.heldS;
}

/** Held time and energies of a hold that goes over midnight; powers in the order of SHARE_FIELDS. */
function addPowersByDay(
  state: EnergyShareState,
  clock: LocalClock,
  atMs: number,
  heldS: number,
  powers: readonly number[],
): void {
  for (const { day, heldS: partS } of partsByDay(state, clock, atMs, heldS)) {
    day.sums[HELD_S] += partS;
    day.sums[SHARES_HELD_S] += partS;
    const hours = partS / 3600;
    for (let i = 0; i < powers.length; i++) day.sums[i] += powers[i] * hours;
  }
}

/** A hold cut at the local midnights in it. */
function partsByDay(
  state: EnergyShareState,
  clock: LocalClock,
  atMs: number,
  heldS: number,
): { day: SharesDay; heldS: number }[] {
  const parts: { day: SharesDay; heldS: number }[] = [];
  const endMs = atMs + heldS * 1000;
  let fromMs = atMs;
  while (fromMs < endMs) {
    const day = dayAt(state, clock, fromMs);
    const toMs = Math.min(day.toMs, endMs);
    parts.push({ day, heldS: (toMs - fromMs) / 1000 });
    fromMs = toMs;
  }
  return parts;
}
