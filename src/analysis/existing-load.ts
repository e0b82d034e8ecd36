/** Why a result of `existingLoad` is arithmetic and no more. */
export type ExistingLoadCaution = "solar-or-shaving" | "under-30-days" | "season-unknown";

/** Figures of the existing load and a new one beside a rating. Compare with, never "passes". */
export type ExistingLoad = {
  /** The article whose form the arithmetic has, as numbered until 2023 and from 2026 on. */
  article: "NEC 220.87";
  article2026: "NEC Article 120";
  /** Greatest 15-minute demand of the heavier leg, and 1.25 times it, A. */
  demandA: number;
  demand125A: number;
  newLoadA: number;
  /** 1.25 · demand + new load. */
  sumA: number;
  ratingA: number;
  /** Rating less sum: negative where the sum lies above the rating. */
  leftA: number;
  recordDays: number;
  cautions: ExistingLoadCaution[];
};

/** The least record that the article's exception takes, and the one it wants, in days. */
const EXCEPTION_DAYS = 30;
const YEAR_DAYS = 365;

/**
 * The arithmetic in the form of NEC 220.87, determining existing loads (Article 120 in the 2026 edition):
 * 1.25 · greatest 15-minute demand of the heavier leg + new load, beside a rating. It is no code calculation:
 * - `solar-or-shaving`: the article's recording exception excludes a service or feeder with solar or peak
 *   shaving, which a site with a battery inverter mostly is;
 * - `under-30-days`: the exception wants at least 30 days of record;
 * - `season-unknown`: it wants the larger of heating and cooling and other periodic loads in it, occupied; under
 *   a year of record the log can't say.
 *
 * @param demandA greatest 15-minute demand of the heavier leg (`Demand.heavierLegPeakA`)
 * @param newLoadA amperes on that leg, 0 or more
 * @param recordDays local days with samples
 * @param solarOrShaving whether there is solar, or anything that shaves peaks, behind the service or feeder
 * @throws RangeError for a demand that isn't finite, a new load below 0 A, a rating that isn't above 0 A
 * @example existingLoad({ demandA: 47.5, newLoadA: 40, ratingA: 100, recordDays: 31, solarOrShaving: true }).sumA
 * // 99.375
 */
export function existingLoad(given: {
  readonly demandA: number;
  readonly newLoadA: number;
  readonly ratingA: number;
  readonly recordDays: number;
  readonly solarOrShaving: boolean;
}): ExistingLoad {
  const { demandA, newLoadA, ratingA, recordDays, solarOrShaving } = given;
  if (!Number.isFinite(demandA)) throw new RangeError(`existingLoad requires a known demand, got ${demandA}`);
  if (!(newLoadA >= 0 && Number.isFinite(newLoadA)))
    throw new RangeError(`existingLoad requires a new load of 0 A or more, got ${newLoadA}`);
  if (!(ratingA > 0 && Number.isFinite(ratingA)))
    throw new RangeError(`existingLoad requires a rating above 0 A, got ${ratingA}`);
  const demand125A = 1.25 * demandA;
  const sumA = demand125A + newLoadA;
  const cautions: ExistingLoadCaution[] = [];
  if (solarOrShaving) cautions.push("solar-or-shaving");
  if (recordDays < EXCEPTION_DAYS) cautions.push("under-30-days");
  if (recordDays < YEAR_DAYS) cautions.push("season-unknown");
  return {
    article: "NEC 220.87",
    article2026: "NEC Article 120",
    demandA,
    demand125A,
    newLoadA,
    sumA,
    ratingA,
    leftA: ratingA - sumA,
    recordDays,
    cautions,
  };
}
