/**
 * Equation of time at an instant, minutes: how far the sun is ahead of the mean sun.
 *
 * Spencer's series, J. W. Spencer, "Fourier series representation of the position of the sun", Search 2 (1971) 172,
 * in the form printed by Iqbal, An Introduction to Solar Radiation (1983), eq. 1.4.1; coefficients from memory.
 *
 * @example equationOfTimeMin(Date.UTC(2026, 10, 3, 12)) // about 16.4, the greatest of the year
 */
export function equationOfTimeMin(atMs: number): number {
  const year = new Date(atMs).getUTCFullYear();
  const dayOfYear = (atMs - Date.UTC(year, 0, 1)) / 86_400_000;
  const angle = (2 * Math.PI * dayOfYear) / 365.2422;
  return (
    229.18 *
    (0.000075 +
      0.001868 * Math.cos(angle) -
      0.032077 * Math.sin(angle) -
      0.014615 * Math.cos(2 * angle) -
      0.04089 * Math.sin(2 * angle))
  );
}
