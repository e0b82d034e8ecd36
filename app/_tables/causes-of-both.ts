import type { ComparedFigure } from "../../src/report/compare-periods";
import type { PeriodNames } from "../../src/report/comparison-words";
import { periodComparison, periodComparisonFile } from "./period-comparison";
import type { Table } from "./table";

/** Transfers by cause in two periods, the most frequent of the later one first. */
export function causesOfBoth(
  figures: readonly ComparedFigure[],
  names: PeriodNames,
  hrefOf?: (figure: ComparedFigure) => string | null,
): Table<ComparedFigure> {
  return { ...periodComparison(causesIn(figures), names, hrefOf), ...NAMED };
}

/** The same for a file. */
export function causesOfBothFile(
  figures: readonly ComparedFigure[],
  names: PeriodNames,
): Table<ComparedFigure> {
  return { ...periodComparisonFile(causesIn(figures), names), ...NAMED };
}

const NAMED = {
  name: "transfers-by-cause",
  caption: "Transfers by cause, a covered day, in both periods",
} as const;

function causesIn(figures: readonly ComparedFigure[]): ComparedFigure[] {
  const often = ({ before, after }: ComparedFigure) => [after.value ?? 0, before.value ?? 0] as const;
  return figures
    .filter(({ code }) => code.startsWith("cause-"))
    .sort((a, b) => often(b)[0] - often(a)[0] || often(b)[1] - often(a)[1]);
}
