import type { EnergyForm } from "../../site/column-map-schema";

/**
 * Mean power (per hour of the energy's unit) that a column of energy stands for, row by row: of a running total the
 * rise to the next row over the time to it, of interval energies each over the usual time between rows. NaN where
 * the total starts again or stands before a hole. `timesMs` are the times of the rows; `everyRow` is the time
 * between the log's rows in ms, since the rows here may be some of them.
 */
export function energyPower(
  values: Float64Array,
  timesMs: Float64Array,
  form: EnergyForm,
  everyRowMs: number,
): Float64Array {
  const power = new Float64Array(values.length).fill(Number.NaN);
  if (form === "interval") {
    for (let i = 0; i < values.length; i++) power[i] = values[i] / (everyRowMs / 3_600_000);
    return power;
  }
  for (let i = 0; i + 1 < values.length; i++) {
    const rise = values[i + 1] - values[i];
    const hours = (timesMs[i + 1] - timesMs[i]) / 3_600_000;
    if (rise >= 0 && hours > 0) power[i] = rise / hours;
    else if (rise <= 0 && hours < 0) power[i] = rise / hours;
  }
  return power;
}
