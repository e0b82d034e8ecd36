import type { HeldCurrent } from "./battery-current";

/** How long a battery gave or took a current from `fromA` up to `toA`, and how long as much or more. Seconds. */
export type CurrentStep = {
  fromA: number;
  /** Not included. */
  toA: number;
  dischargeS: number;
  chargeS: number;
  dischargeAtLeastS: number;
  chargeAtLeastS: number;
};

/**
 * Held time by size of current in equal steps, from rest up to the greatest met: what a duration picture is drawn from.
 * A current of 0 A is in no step.
 *
 * @param bins whole amperes, negative when charging
 * @param stepA whole amperes
 * @throws RangeError for a step that is no whole number of amperes
 * @example currentDuration([{ amps: 7, heldS: 60 }], 5).map((step) => step.dischargeAtLeastS) // [60, 60]
 */
export function currentDuration(bins: readonly HeldCurrent[], stepA: number): CurrentStep[] {
  if (!(Number.isInteger(stepA) && stepA > 0))
    throw new RangeError(`currentDuration requires a whole step above 0, got ${stepA}`);
  const steps: CurrentStep[] = [];
  for (const { amps, heldS } of bins) {
    if (amps === 0) continue;
    const at = Math.floor(Math.abs(amps) / stepA);
    while (steps.length <= at) {
      const fromA = steps.length * stepA;
      steps.push({
        fromA,
        toA: fromA + stepA,
        dischargeS: 0,
        chargeS: 0,
        dischargeAtLeastS: 0,
        chargeAtLeastS: 0,
      });
    }
    if (amps > 0) steps[at].dischargeS += heldS;
    else steps[at].chargeS += heldS;
  }
  let dischargeS = 0;
  let chargeS = 0;
  for (const step of steps.toReversed()) {
    dischargeS += step.dischargeS;
    chargeS += step.chargeS;
    step.dischargeAtLeastS = dischargeS;
    step.chargeAtLeastS = chargeS;
  }
  return steps;
}
