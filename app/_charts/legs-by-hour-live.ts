import type { LegHour } from "../../src/analysis/demand";
import { formatKw } from "../_format/power";
import { legsByHourOption } from "./legs-by-hour";
import type { Picture } from "./picture";

/** Mean loads of the legs by hour as they live in the browser. */
export const picture: Picture<readonly LegHour[]> = {
  option: (hours, narrow) => legsByHourOption(hours, narrow),
  stops: (hours) => hours.map((_, at) => at),
  readout: (hours, at) => {
    const { hour, l1W, l2W } = hours[Math.round(at)];
    const where = `${String(hour).padStart(2, "0")}:00 to ${String(hour + 1).padStart(2, "0")}:00`;
    if (l1W === null && l2W === null) return { where, what: `${where}: no samples.` };
    const apart =
      l1W === null || l2W === null
        ? ""
        : `; ${l1W >= l2W ? "L1" : "L2"} carries ${formatKw(Math.abs(l1W - l2W))} more`;
    return { where, what: `${where}, in the mean: L1 ${formatKw(l1W)}, L2 ${formatKw(l2W)}${apart}.` };
  },
};
