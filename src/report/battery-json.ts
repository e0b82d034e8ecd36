import type { Battery } from "../analysis/battery";
import type { DaySpread } from "../analysis/battery-power";

/**
 * The battery of a period as `review --json` prints it (definitions D13), energies in kWh. Null where the log says
 * nothing of the battery.
 *
 * @param iso prints an instant
 */
export function batteryJson(battery: Battery | null, iso: (atMs: number) => string): object | null {
  if (battery === null) return null;
  const { current, power, socByHour, resistance, capacity } = battery;
  const isoOrNull = (atMs: number | null) => (atMs === null ? null : iso(atMs));
  const quarters = ({ q1, median, q3 }: DaySpread) => ({ q1, median, q3 });
  return {
    current:
      current === null
        ? null
        : {
            heldS: current.heldS,
            reckonedS: current.reckonedS,
            maxDischargeA: current.maxDischargeA,
            maxDischargeAt: isoOrNull(current.maxDischargeAtMs),
            maxChargeA: current.maxChargeA,
            maxChargeAt: isoOrNull(current.maxChargeAtMs),
            p99A: current.p99A,
            aboveMaxDischargeS: current.aboveMaxDischargeS,
            aboveMaxChargeS: current.aboveMaxChargeS,
            aboveFuseS: current.aboveFuseS,
            above80PctFuseS: current.above80PctFuseS,
            maxCRate: current.maxCRate,
            p99CRate: current.p99CRate,
          },
    energy:
      power === null
        ? null
        : {
            heldS: power.heldS,
            dischargedKwh: power.dischargedWh / 1000,
            chargedKwh: power.chargedWh / 1000,
            equivalentFullCycles: power.equivalentFullCycles,
            cyclesPerMonth: power.cyclesPerMonth,
          },
    model:
      power === null || power.model === null
        ? null
        : {
            idleW: power.model.idleW,
            idleSeW: power.model.idleSeW,
            efficiency: power.model.efficiency,
            efficiencySe: power.model.efficiencySe,
            r2: power.model.r2,
            residualW: power.model.residualW,
            samples: power.model.n,
            days:
              power.model.days === null
                ? null
                : {
                    n: power.model.days.n,
                    idleW: quarters(power.model.days.idleW),
                    efficiency: quarters(power.model.days.efficiency),
                  },
          },
    roundTrip:
      power === null || power.roundTrip === null
        ? null
        : {
            efficiency: power.roundTrip.efficiency,
            from: iso(power.roundTrip.fromMs),
            to: iso(power.roundTrip.toMs),
            fromSocPct: power.roundTrip.fromSocPct,
            toSocPct: power.roundTrip.toSocPct,
            dischargedKwh: power.roundTrip.dischargedWh / 1000,
            chargedKwh: power.roundTrip.chargedWh / 1000,
            cycles: power.roundTrip.cycles,
          },
    socByHour,
    resistance,
    capacity:
      capacity === null
        ? null
        : {
            ah: capacity.ah,
            q1Ah: capacity.q1Ah,
            q3Ah: capacity.q3Ah,
            discharges: capacity.discharges.map(({ fromMs, toMs, ...discharge }) => ({
              from: iso(fromMs),
              to: iso(toMs),
              ...discharge,
            })),
          },
  };
}
