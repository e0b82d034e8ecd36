import type { LocalClock } from "../analysis/local-time";
import {
  formatCount,
  formatDuration,
  formatEnergy,
  formatLoading,
  formatLocalDate,
  formatShare,
  howOften,
} from "./format";
import { addDays, type CountedDay } from "./months-of-days";
import { quantityName } from "./quantity-name";

/**
 * A year in a few sentences: what carried the loads, how near they came to the rating, where the energy came from, and
 * how many days the log covers. What it hasn't is said to be not in it.
 *
 * @param yearDays days that the year has
 * @example yearSummary("2026", days, 365, clock)[0] // "In 2026 the loads went over to the utility 12 times; …"
 */
export function yearSummary(
  year: string,
  days: readonly CountedDay[],
  yearDays: number,
  clock: LocalClock,
): string[] {
  const sum = addDays(days);
  if (sum === null) return [`There are no samples of ${year}.`];
  const { inverter, utility, generator, none } = sum.onS;
  const knownS = inverter + utility + generator + none;
  const parts: string[] = [];
  if (sum.transfers > 0) parts.push(`went over to the utility or a generator ${howOften(sum.transfers)}`);
  if (sum.dropouts > 0) parts.push(`lost supply ${howOften(sum.dropouts)}`);
  const share = formatShare(knownS > 0 ? inverter / knownS : null);
  const carried =
    knownS === 0
      ? `Whether the inverter carried the loads in ${year} can't be told from this log.`
      : parts.length === 0
        ? `In ${year} no transfer began; the inverter carried the loads ${share} of the time that is known.`
        : `In ${year} the loads ${parts.join(" and ")}; the inverter carried them ${share} of the time that is known.`;
  const loading =
    sum.peakLoading === null || sum.peakAtMs === null || sum.peakQuantity === null
      ? "Loading: not in this log, it has no load."
      : `The greatest loading was ${formatLoading(sum.peakLoading)}, of ${quantityName(sum.peakQuantity)} on ${formatLocalDate(sum.peakAtMs, clock)}.`;
  const { loadWh, solarToLoadWh, batteryToLoadWh, gridToLoadWh } = sum.shares;
  const energy =
    loadWh <= 0
      ? "Energy of the loads: not in this log."
      : `The loads took ${formatEnergy(loadWh)}: ${formatShare(solarToLoadWh / loadWh)} from the sun directly, ${formatShare(batteryToLoadWh / loadWh)} from the battery, ${formatShare(gridToLoadWh / loadWh)} from the grid.`;
  const covered = `The log has samples of ${formatCount(sum.days, "day")} of ${yearDays}, ${formatDuration(sum.heldS)} in all.`;
  return [carried, loading, energy, covered];
}
