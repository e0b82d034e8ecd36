import type { ComparedFigure, ComparedSide, ComparedUnit } from "../../src/report/compare-periods";
import type { PeriodNames } from "../../src/report/comparison-words";
import { capital } from "../../src/report/format";
import { formatDuration } from "../_format/duration";
import { formatNumber, UNKNOWN } from "../_format/number";
import { formatLoading, formatPercent } from "../_format/percent";
import { formatKw, formatKwh } from "../_format/power";
import type { Column, Table } from "./table";

/** Two periods side by side, a figure a row; what grows with time a covered day, its sum in brackets. */
export function periodComparison(
  figures: readonly ComparedFigure[],
  { before, after }: PeriodNames,
  hrefOf: (figure: ComparedFigure) => string | null = () => null,
): Table<ComparedFigure> {
  return {
    name: "comparison",
    caption: `${capital(before)} and ${after} side by side`,
    rows: figures,
    columns: [
      {
        title: "Figure",
        wraps: true,
        text: ({ title, perDay }) => (perDay ? `${title}, a day` : title),
        value: ({ title, perDay }) => (perDay ? `${title}, a covered day` : title),
        href: hrefOf,
      },
      sideOf(capital(before), (figure) => figure.before),
      sideOf(capital(after), (figure) => figure.after),
      {
        title: "Difference",
        numeric: true,
        wraps: true,
        text: ({ difference, unit }) => (difference === null ? UNKNOWN : differenceOf(unit, difference)),
        value: ({ difference }) => difference,
      },
    ],
  };
}

/** The same for a file: with units, sums and covered days in columns of their own. */
export function periodComparisonFile(
  figures: readonly ComparedFigure[],
  names: PeriodNames,
): Table<ComparedFigure> {
  const table = periodComparison(figures, names);
  const [figure, before, after, difference] = table.columns;
  const more = (of: (one: ComparedFigure) => ComparedSide, name: string): Column<ComparedFigure>[] => [
    { title: `${name}, in all`, text: () => "", value: (one) => of(one).value },
    { title: `${name}, days covered`, unit: "d", text: () => "", value: (one) => of(one).coveredDays },
  ];
  return {
    ...table,
    columns: [
      figure,
      {
        title: "Unit",
        text: () => "",
        value: ({ unit, perDay }) => `${UNITS[unit]}${perDay ? "/d" : ""}`,
      },
      before,
      ...more((one) => one.before, names.before),
      after,
      ...more((one) => one.after, names.after),
      difference,
    ],
  };
}

const UNITS: Record<ComparedUnit, string> = {
  count: "1",
  duration: "s",
  energy: "Wh",
  share: "ratio",
  loading: "ratio",
  power: "W",
};

function sideOf(title: string, of: (figure: ComparedFigure) => ComparedSide): Column<ComparedFigure> {
  return {
    title,
    numeric: true,
    wraps: true,
    text: (figure) => {
      const { value, perDay } = of(figure);
      if (!figure.perDay) return textOf(figure.unit, value, false);
      if (value === null) return UNKNOWN;
      return `${textOf(figure.unit, perDay, true)} (${textOf(figure.unit, value, false)})`;
    },
    value: (figure) => (figure.perDay ? of(figure).perDay : of(figure).value),
  };
}

/** With its sign, unless it reads as nothing. Of two parts of a whole it is in points: 61 % and 58 % are 3 apart. */
function differenceOf(unit: ComparedUnit, difference: number): string {
  const of = (size: number) =>
    unit === "share" ? `${formatNumber(size * 100, 1)} points` : textOf(unit, size, true);
  const text = of(Math.abs(difference));
  return text === of(0) ? text : `${difference > 0 ? "+" : "−"}${text}`;
}

function textOf(unit: ComparedUnit, value: number | null, mean: boolean): string {
  switch (unit) {
    case "count":
      return formatNumber(value, mean ? 2 : 0);
    case "duration":
      return formatDuration(value);
    case "energy":
      return formatKwh(value);
    case "share":
      return formatPercent(value, 1);
    case "loading":
      return formatLoading(value);
    case "power":
      return formatKw(value);
  }
}
