import type { SocHour } from "../../src/analysis/soc-by-hour";
import { formatQuantity } from "../_format/number";
import type { Picture } from "./picture";
import { socByHourOption } from "./soc-by-hour";

/** What the state of charge over the day is drawn from. */
export type SocPicture = { hours: readonly SocHour[]; lowSocPct: number | null };

/** The state of charge over the day as it lives in the browser. */
export const picture: Picture<SocPicture> = {
  option: ({ hours, lowSocPct }, narrow) => socByHourOption(hours, lowSocPct, narrow),
  stops: () => Array.from({ length: 24 }, (_, hour) => hour),
  readout: ({ hours }, at) => {
    const hour = Math.round(at);
    const where = `${String(hour).padStart(2, "0")}:00`;
    const found = hours.find((one) => one.hour === hour);
    if (found === undefined) return { where, what: `Hour from ${where}: no samples.` };
    const pct = (value: number) => formatQuantity(value, "%", 1);
    const half = found.days > 1 ? `, half of the days from ${pct(found.q1Pct)} to ${pct(found.q3Pct)}` : "";
    return {
      where,
      what: `Hour from ${where}: ${pct(found.medianPct)} in the middle of ${found.days} ${found.days === 1 ? "day" : "days"}${half}; least ${pct(found.leastPct)}, greatest ${pct(found.greatestPct)}.`,
    };
  },
};
