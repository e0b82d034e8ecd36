/**
 * What a DC cable drops and turns into heat at a current: V = I · R/1000 · L, with L the loop of both conductors.
 *
 * @param amps A
 * @param oneWayFt length from the battery to the inverter, ft
 * @param ohmPerKft resistance of one conductor, ohm per 1,000 ft
 * @example cableDrop(200, 10, 0.0967) // { dropV: 0.3868, heatW: 77.36 }
 */
export function cableDrop(
  amps: number,
  oneWayFt: number,
  ohmPerKft: number,
): { dropV: number; heatW: number } {
  const dropV = (amps * ohmPerKft * 2 * oneWayFt) / 1000;
  return { dropV, heatW: amps * dropV };
}
