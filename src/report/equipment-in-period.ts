import type { PeriodSubject } from "../analysis/period-findings";
import type { Ratings } from "../analysis/ratings";
import { equipmentLines } from "./equipment-lines";
import { capital } from "./format";

/** Ratings from a day on, in sentences. */
export type EquipmentFrom = { readonly from: string; readonly lines: readonly string[] };

/**
 * The ratings that count in a period, each with the day from which it does (yyyy-MM-dd); none where the period has no
 * samples.
 */
export function equipmentInPeriod(
  { days }: Pick<PeriodSubject, "days">,
  ratings: readonly Ratings[],
): EquipmentFrom[] {
  if (days.length === 0) return [];
  const firstDate = days[0].date;
  const lastDate = days[days.length - 1].date;
  return ratings
    .filter((one, i) => {
      const next = ratings[i + 1];
      return (i === 0 || one.from <= lastDate) && (next === undefined || next.from > firstDate);
    })
    .map((one) => ({ from: one.from, lines: equipmentLines(one).map(capital) }));
}
