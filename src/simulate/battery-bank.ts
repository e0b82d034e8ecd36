import type { Scenario } from "./parse-scenario";

/** Rest voltage of one iron-phosphate cell by state of charge: a flat middle, a steep foot. */
const REST_V: readonly (readonly [number, number])[] = [
  [0, 2.6],
  [3, 2.9],
  [8, 3.1],
  [15, 3.19],
  [30, 3.25],
  [50, 3.28],
  [70, 3.305],
  [90, 3.33],
  [98, 3.36],
  [100, 3.42],
];

/**
 * A battery bank: state of charge by counting ampere-hours, terminal volts from the state of charge less the
 * sag over its resistance. Current is positive when discharging, A and V are those of the last step.
 */
export type BatteryBank = {
  readonly socPct: number;
  readonly a: number;
  readonly v: number;
  /** Greatest charging power now, W: tapers off over the last percents. */
  mayTakeW(): number;
  /** Delivers (positive) or takes (negative) so many W at the terminals for one second. */
  step(powerW: number): void;
};

/** The bank of a scenario. */
export function createBatteryBank(battery: Scenario["battery"]): BatteryBank {
  const bank = {
    socPct: battery.startSocPct,
    a: 0,
    v: restV(battery.startSocPct) * battery.cells,
    mayTakeW() {
      const taper = Math.min(1, Math.max(0, (100 - bank.socPct) / 4));
      return battery.maxChargeA * taper * bank.v;
    },
    step(powerW: number) {
      const openV = restV(bank.socPct) * battery.cells;
      const under = openV * openV - 4 * battery.resistanceOhm * powerW;
      bank.v = (openV + Math.sqrt(Math.max(0, under))) / 2;
      bank.a = powerW / bank.v;
      const kept = bank.a < 0 ? battery.chargeEfficiency : 1;
      const changePct = (bank.a * kept) / (36 * battery.capacityAh);
      bank.socPct = Math.min(100, Math.max(0, bank.socPct - changePct));
    },
  };
  return bank;
}

function restV(socPct: number): number {
  let i = 1;
  while (i < REST_V.length - 1 && REST_V[i][0] < socPct) i++;
  const [lowPct, lowV] = REST_V[i - 1];
  const [highPct, highV] = REST_V[i];
  return lowV + ((highV - lowV) * (socPct - lowPct)) / (highPct - lowPct);
}
