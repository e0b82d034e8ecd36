const TURN = 2 * Math.PI;

/**
 * What a cloudless sky gives a panel that faces the equator, as a share of its peak power, 0 at night.
 *
 * Sun's declination and hour angle from the day of the year and the mean solar time (longitude, without the
 * equation of time); beam on the tilted panel weakened by the air it passes, and a tenth of diffuse light.
 * A shape, not a yield forecast. Angles in degrees, the instant in epoch seconds.
 */
export function clearSkyRatio(
  instantS: number,
  latitude: number,
  longitude: number,
  tiltDeg: number,
): number {
  const day = instantS / 86_400 + longitude / 360;
  const sinDeclination = 0.39795 * cosine((day - 171.5) / 365.2422);
  const cosDeclination = Math.sqrt(1 - sinDeclination * sinDeclination);
  const cosHour = -cosine(day - Math.floor(day));
  const sunUp = (at: number) => sine(at / 360) * sinDeclination + cosine(at / 360) * cosDeclination * cosHour;
  const sinElevation = sunUp(latitude);
  if (sinElevation <= 0) return 0;
  const onPanel = Math.max(0, sunUp(latitude >= 0 ? latitude - tiltDeg : latitude + tiltDeg));
  const low = (1 - sinElevation) * (1 - sinElevation);
  return (1 - 0.6 * low * low) * (0.82 * onPanel + 0.1 * sinElevation);
}

/**
 * Cosine of a number of turns, from its power series: additions and products only, which every machine
 * rounds alike. Math.cos may differ in the last digit from one engine to the next.
 */
function cosine(turns: number): number {
  let x = turns - Math.floor(turns);
  if (x > 0.5) x = 1 - x;
  const flip = x > 0.25;
  const angle = (flip ? 0.5 - x : x) * TURN;
  const square = angle * angle;
  let term = 1;
  let sum = 1;
  for (let k = 2; k <= 18; k += 2) {
    term *= -square / (k * (k - 1));
    sum += term;
  }
  return flip ? -sum : sum;
}

function sine(turns: number): number {
  return cosine(turns - 0.25);
}
