import type { Ratings } from "../analysis/ratings";
import {
  formatAmps,
  formatApparentPower,
  formatDuration,
  formatNumber,
  formatPower,
  formatVolts,
} from "./format";

/**
 * The equipment as its nameplates rate it: a line for what the inverter may carry, and one each for its limits, its
 * battery and its devices, as far as the site gives them.
 */
export function equipmentLines(ratings: Ratings): string[] {
  const { battery } = ratings;
  const lines: string[] = [
    list([
      `${formatPower(ratings.legLimitW)} a leg`,
      `${formatPower(ratings.totalLimitW)} in all`,
      ratings.legLimitVa === ratings.legLimitW && ratings.totalLimitVa === ratings.totalLimitW
        ? null
        : `${formatApparentPower(ratings.legLimitVa)} a leg and ${formatApparentPower(ratings.totalLimitVa)} in all`,
      `${formatNumber(ratings.legNominalV, 0)} V a leg`,
      ...ratings.overload.map(
        ({ upToRatio, forS }) => `overload ${formatDuration(forS)} up to ${upToRatio} of it`,
      ),
      ...ratings.derate.map(({ aboveC, ratio }) => `${ratio} of it above ${aboveC} °C`),
      given(ratings.maxTempC, (value) => `${value} °C at most`),
      given(ratings.legSurgeA, (value) => `surge ${formatAmps(value)} a leg`),
      given(ratings.returnDelayS, (value) => `return delay ${formatDuration(value)}`),
    ]),
    list([
      given(ratings.passThroughA, (value) => `pass-through ${formatAmps(value)}`),
      given(ratings.serviceA, (value) => `service ${formatAmps(value)}`),
      given(ratings.solarPeakW, (value) => `solar ${formatPower(value)} peak`),
    ]),
    list([
      given(battery.nominalV, (value) => `battery ${formatVolts(value)}`),
      given(battery.capacityAh, (value) => `${formatNumber(value, 0)} Ah`),
      given(battery.maxDischargeA, (value) => `${formatAmps(value)} out at most`),
      given(battery.maxChargeA, (value) => `${formatAmps(value)} in at most`),
      given(battery.fuseA, (value) => `fuse ${formatAmps(value)}`),
      given(battery.lowSocPct, (value) => `left at ${value} %`),
      given(battery.resumeSocPct, (value) => `taken up again at ${value} %`),
      given(battery.lowV, (value) => `left at ${formatVolts(value)}`),
    ]),
  ];
  return lines.filter((line) => line !== "");
}

function given(value: number | undefined, text: (value: number) => string): string | null {
  return value === undefined ? null : text(value);
}

function list(parts: readonly (string | null)[]): string {
  return parts.filter((part) => part !== null).join(", ");
}
