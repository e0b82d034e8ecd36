import { MONTH_NAMES } from "../../src/report/format";
import { dayHref } from "../_format/day-address";
import { formatPercent } from "../_format/percent";
import { formatKwh } from "../_format/power";
import { sharesPresent } from "../_tables/energy-by-day";
import { type EnergyDay, energyByDayOption } from "./energy-by-day";
import type { Picture } from "./picture";

/** What energies by day, or by month, are drawn from: plain data, small enough for the browser. */
export type EnergyPicture = { slug: string; days: readonly EnergyDay[]; dates: readonly string[] };

/** Takes of each day what is drawn. */
export function energyPicture(
  slug: string,
  days: readonly EnergyDay[],
  dates: readonly string[],
): EnergyPicture {
  return {
    slug,
    dates,
    days: days.map(({ date, fromMs, toMs, sharesHeldS, shares }) => ({
      date,
      fromMs,
      toMs,
      sharesHeldS,
      shares,
    })),
  };
}

/** The energies as they live in the browser: each bar leads to its day, or its month. */
export const picture: Picture<EnergyPicture> = {
  option: ({ days, dates }, narrow) => energyByDayOption(days, dates, narrow),
  stops: ({ dates }) => dates.map((_, at) => at),
  readout: ({ days, dates }, at) => {
    const date = dates[Math.round(at)];
    const where = dateName(date);
    const day = days.find((one) => one.date === date);
    if (day === undefined) return { where, what: `${where}: no samples.` };
    const { shares, sharesHeldS } = day;
    const parts = sharesPresent(days).map(
      ({ key, title }) =>
        `${title.toLowerCase()} ${formatKwh(shares[key])}${shares.loadWh > 0 ? ` (${formatPercent(shares[key] / shares.loadWh)})` : ""}`,
    );
    const covered = formatPercent(sharesHeldS / ((day.toMs - day.fromMs) / 1000));
    return {
      where,
      what: `${where}: load ${formatKwh(shares.loadWh)}, of it ${parts.join(", ")}; ${covered} covered.`,
    };
  },
  open: ({ slug, days, dates }, at) => {
    const date = dates[Math.round(at)];
    if (!days.some((day) => day.date === date)) return null;
    return date.length > 7 ? dayHref(slug, date) : `/sites/${slug}/${date}`;
  },
};

function dateName(date: string): string {
  const [year, month, day] = date.split("-").map(Number);
  const name = `${MONTH_NAMES[month - 1]} ${year}`;
  return day === undefined ? name : `${day} ${name}`;
}
