import type { Scenario } from "./parse-scenario";

export const GUARDED = ["L1", "L2", "total"] as const;

/**
 * The inverter's own guard against overload, for each leg and the total: a timer per step of the allowance
 * runs while the load lies above the step below it (the rating for the first), and cools down over the return
 * delay otherwise. A timer that runs full, or a load above the last step, opens the transfer relay.
 */
export type OverloadGuard = {
  /** A stretch of `dtS` on inverter. Returns what opened the relay, or null. */
  carry(dtS: number, l1W: number, l2W: number): Trip | null;
  /** A stretch on utility: everything cools. */
  rest(dtS: number): void;
  /** Limit of a quantity, W. */
  limitW(quantity: (typeof GUARDED)[number]): number;
};

/** What opened the relay: a quantity that was above a ratio to its rating for longer than allowed. */
export type Trip = { quantity: (typeof GUARDED)[number]; aboveRatio: number };

/** The guard of a scenario's inverter. */
export function createOverloadGuard(
  inverter: Pick<Scenario["inverter"], "legLimitW" | "totalLimitW" | "overload" | "returnDelayS">,
): OverloadGuard {
  const { legLimitW, totalLimitW, overload, returnDelayS } = inverter;
  const limits = [legLimitW, legLimitW, totalLimitW];
  const steps = overload.length;
  const last = steps > 0 ? overload[steps - 1].upToRatio : 1;
  const timers = new Float64Array(3 * steps);
  let warm = false;

  /** The lowest ratio that was exceeded for too long, 0 for none. */
  function follow(q: number, ratio: number, dtS: number): number {
    let tripped = ratio > last ? last : 0;
    for (let step = 0; step < steps; step++) {
      const above = step === 0 ? 1 : overload[step - 1].upToRatio;
      const { forS } = overload[step];
      const at = q * steps + step;
      if (ratio > above) {
        timers[at] += dtS;
        if (timers[at] > forS - 1e-6 && (tripped === 0 || above < tripped)) tripped = above;
      } else {
        timers[at] = Math.max(0, timers[at] - (dtS * forS) / returnDelayS);
      }
      if (timers[at] > 0) warm = true;
    }
    return tripped;
  }

  return {
    carry(dtS, l1W, l2W) {
      if (!warm && l1W <= legLimitW && l2W <= legLimitW && l1W + l2W <= totalLimitW) return null;
      warm = false;
      const onTotal = follow(2, (l1W + l2W) / totalLimitW, dtS);
      const onL1 = follow(0, l1W / legLimitW, dtS);
      const onL2 = follow(1, l2W / legLimitW, dtS);
      if (onL1 > 0) return { quantity: "L1", aboveRatio: onL1 };
      if (onL2 > 0) return { quantity: "L2", aboveRatio: onL2 };
      return onTotal > 0 ? { quantity: "total", aboveRatio: onTotal } : null;
    },
    rest(dtS) {
      if (!warm) return;
      warm = false;
      for (let q = 0; q < 3; q++) follow(q, 0, dtS);
    },
    limitW: (quantity) => limits[GUARDED.indexOf(quantity)],
  };
}
