import type { CurrentStep } from "../../src/analysis/current-duration";
import { formatDuration } from "../_format/duration";
import { formatQuantity } from "../_format/number";
import { type CurrentLimit, currentDurationOption } from "./current-duration";
import type { Picture } from "./picture";

/** What the time at each battery current is drawn from. */
export type CurrentPicture = { steps: readonly CurrentStep[]; limits: readonly CurrentLimit[] };

/** The time at each battery current as it lives in the browser. */
export const picture: Picture<CurrentPicture> = {
  option: ({ steps, limits }, narrow) => currentDurationOption(steps, limits, narrow),
  stops: ({ steps }) => steps.map(({ fromA }) => fromA),
  readout: ({ steps, limits }, at) => {
    const step = steps.reduce((best, one) =>
      Math.abs(one.fromA - at) < Math.abs(best.fromA - at) ? one : best,
    );
    const where = formatQuantity(step.fromA, "A");
    const time = (seconds: number) => (seconds > 0 ? `for ${formatDuration(seconds)}` : "never");
    const above = limits.filter(({ amps }) => step.fromA >= amps).map(({ name }) => name);
    return {
      where,
      what: `${where} or more: discharging ${time(step.dischargeAtLeastS)}, charging ${time(step.chargeAtLeastS)}${above.length === 0 ? "" : `; at or above: ${above.join(", ")}`}.`,
    };
  },
};
