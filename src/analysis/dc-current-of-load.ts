/**
 * Battery current that a load draws through an inverter: (idleW + P / η) / V (definitions D13).
 *
 * @param loadW AC power, W
 * @param model idle power in W and efficiency as a ratio; with 0 and 1 the current is a lower bound
 * @param volts of the battery, above 0
 * @returns A
 * @throws RangeError for a voltage or an efficiency that isn't positive
 * @example dcCurrentOfLoad(6000, { idleW: 0, efficiency: 0.92 }, 51.2) // 127.378
 */
export function dcCurrentOfLoad(
  loadW: number,
  { idleW, efficiency }: { readonly idleW: number; readonly efficiency: number },
  volts: number,
): number {
  if (!(volts > 0)) throw new RangeError(`dcCurrentOfLoad requires volts above 0, got ${volts}`);
  if (!(efficiency > 0))
    throw new RangeError(`dcCurrentOfLoad requires an efficiency above 0, got ${efficiency}`);
  return (idleW + loadW / efficiency) / volts;
}
