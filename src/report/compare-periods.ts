import { type Covered, coveredS } from "../analysis/coverage";
import type { PeriodSubject } from "../analysis/period-findings";
import { TRANSFER_CAUSES } from "../analysis/series";
import { causeName } from "./cause-words";
import { capital } from "./format";

/** What a compared figure counts in: transfers, seconds, Wh, a ratio, a loading, W. */
export type ComparedUnit = "count" | "duration" | "energy" | "share" | "loading" | "power";

/** One figure of one period. */
export type ComparedSide = {
  /** Null where the log can't tell. */
  readonly value: number | null;
  /** The value over the days that are covered; null where that is under one, or where it makes no sense. */
  readonly perDay: number | null;
  /** Held time in which what the figure needs is known, days of 24 hours. */
  readonly coveredDays: number;
};

/** One figure of two periods side by side. */
export type ComparedFigure = {
  readonly code: string;
  readonly title: string;
  readonly unit: ComparedUnit;
  /** Whether it grows with the length of the period, so that only its part of a covered day can be compared. */
  readonly perDay: boolean;
  readonly before: ComparedSide;
  readonly after: ComparedSide;
  /** Of the second period less that of the first, a covered day where `perDay`; null where one isn't known. */
  readonly difference: number | null;
};

/** Days that must be covered before anything is said of one of them. */
const LEAST_DAYS = 1;

const DAY_S = 86_400;

/**
 * The figures by which two periods are held against each other, in the order in which they are read. Coverages differ,
 * so whatever grows with time stands per covered day; each figure is covered by the channels that it needs.
 *
 * @param before the earlier period, or the one that is compared with
 */
export function comparePeriods(before: PeriodSubject, after: PeriodSubject): ComparedFigure[] {
  const figures: ComparedFigure[] = [];
  const add = (
    code: string,
    title: string,
    unit: ComparedUnit,
    perDay: boolean,
    of: (subject: PeriodSubject) => { value: number | null; heldS: number },
  ) => {
    const side = (subject: PeriodSubject): ComparedSide => {
      const { value, heldS } = of(subject);
      const coveredDays = heldS / DAY_S;
      const enough = perDay && value !== null && coveredDays >= LEAST_DAYS;
      return { value, perDay: enough ? value / coveredDays : null, coveredDays };
    };
    const [a, b] = [side(before), side(after)];
    const [was, is] = perDay ? [a.perDay, b.perDay] : [a.value, b.value];
    // What neither period has isn't worth a line.
    if (a.value === null && b.value === null) return;
    const difference = was === null || is === null ? null : is - was;
    figures.push({ code, title, unit, perDay, before: a, after: b, difference });
  };

  add("coverage", "Covered by the log", "share", false, (subject) => ({
    value: heldOf(subject) / ((subject.toMs - subject.fromMs) / 1000),
    heldS: heldOf(subject),
  }));
  add("transfers", "Transfers", "count", true, (subject) => ofSource(subject, subject.transfers.length));
  for (const cause of TRANSFER_CAUSES) {
    const count = (subject: PeriodSubject) =>
      subject.transfers.filter((transfer) => transfer.cause === cause).length;
    if (count(before) + count(after) === 0) continue;
    add(`cause-${cause}`, capital(causeName(cause)), "count", true, (subject) =>
      ofSource(subject, count(subject)),
    );
  }
  add("on-utility", "On the utility", "duration", true, (subject) =>
    ofSource(
      subject,
      subject.days.reduce((sum, { onS }) => sum + onS.utility + onS.generator, 0),
    ),
  );
  add("dropouts", "Dropouts", "count", true, (subject) =>
    ofSource(subject, before.dropouts.length + after.dropouts.length === 0 ? null : subject.dropouts.length),
  );
  for (const quantity of ["L1", "L2", "total"] as const) {
    const title = quantity === "total" ? "Both legs near their limit" : `${quantity} near its limit`;
    add(`near-limit-${quantity}`, title, "duration", true, (subject) => {
      const heldS = coveredS(subject.figures.coverage, quantity);
      const ofIt = subject.nearLimit.filter((one) => one.quantity === quantity);
      return { value: heldS > 0 ? ofIt.reduce((sum, { durationS }) => sum + durationS, 0) : null, heldS };
    });
  }
  add("peak-loading", "Greatest loading", "loading", false, (subject) => {
    let peak: number | null = null;
    for (const { peakLoading } of subject.days) {
      if (peakLoading !== null && (peak === null || peakLoading > peak)) peak = peakLoading;
    }
    return { value: peak, heldS: coveredS(subject.figures.coverage, "total") };
  });
  add("demand", "Peak demand of 15 min", "power", false, (subject) =>
    ofQuantity(subject, "total", subject.figures.demand?.peakW ?? null),
  );
  add("imbalance", "Legs’ difference, of their sum", "share", false, (subject) =>
    ofQuantity(subject, "L1", subject.figures.imbalance?.meanShare ?? null),
  );
  addEnergies(add);
  return figures;
}

type Add = (
  code: string,
  title: string,
  unit: ComparedUnit,
  perDay: boolean,
  of: (subject: PeriodSubject) => { value: number | null; heldS: number },
) => void;

function addEnergies(add: Add): void {
  const energy = (of: (total: NonNullable<PeriodSubject["total"]>) => number | null) => {
    return (subject: PeriodSubject) => ({
      value: subject.total === null || !(subject.total.loadWh > 0) ? null : of(subject.total),
      heldS: subject.days.reduce((sum, { sharesHeldS }) => sum + sharesHeldS, 0),
    });
  };
  add(
    "load",
    "Energy of the load",
    "energy",
    true,
    energy(({ loadWh }) => loadWh),
  );
  add(
    "solar",
    "Energy from the sun",
    "energy",
    true,
    energy(({ solarWh }) => (solarWh > 0 ? solarWh : null)),
  );
  add(
    "solar-fraction",
    "The sun’s part of the load",
    "share",
    false,
    energy((total) =>
      total.solarWh > 0 ? (total.solarToLoadWh + total.batteryToLoadOfSolarWh) / total.loadWh : null,
    ),
  );
  add(
    "grid-fraction",
    "The grid’s part of the load",
    "share",
    false,
    energy(({ gridToLoadWh, loadWh }) => gridToLoadWh / loadWh),
  );
}

function ofSource(subject: PeriodSubject, value: number | null): { value: number | null; heldS: number } {
  return ofQuantity(subject, "source", value);
}

function ofQuantity(
  { figures }: PeriodSubject,
  quantity: Covered,
  value: number | null,
): { value: number | null; heldS: number } {
  const heldS = coveredS(figures.coverage, quantity);
  return { value: heldS > 0 ? value : null, heldS };
}

function heldOf({ days }: PeriodSubject): number {
  return days.reduce((sum, { heldS }) => sum + heldS, 0);
}
