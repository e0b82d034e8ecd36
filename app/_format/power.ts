import { formatQuantity } from "./number";

/** Power in W as kW, to 10 W below 10 kW, else to 100 W. */
export function formatKw(powerW: number | null | undefined): string {
  if (powerW === null || powerW === undefined) return formatQuantity(null, "kW");
  return formatQuantity(powerW / 1000, "kW", Math.abs(powerW) < 9995 ? 2 : 1);
}

/** Energy in Wh as kWh, to 0.1 kWh below 1,000 kWh, else to 1 kWh. */
export function formatKwh(energyWh: number | null | undefined): string {
  if (energyWh === null || energyWh === undefined) return formatQuantity(null, "kWh");
  return formatQuantity(energyWh / 1000, "kWh", Math.abs(energyWh) < 999_950 ? 1 : 0);
}
