/** Float64 arithmetic on the way from a load to its loading stays within this part. */
const ROUNDING = 1e-9;

/**
 * What a loading shows, held against the load in W and its limit: the W themselves; VA where the loading is
 * greater, since their limit was the tighter one or the W aren't known; the inverter's part of the load where
 * it is less, as with blending (definitions D3).
 *
 * @example shownIn(1.1, 4000, 4000) // "VA"
 */
export function shownIn(loading: number, loadW: number, limitW: number): "W" | "VA" | "part" {
  const byW = loadW / limitW;
  if (Number.isNaN(byW)) return "VA";
  const allowance = ROUNDING * Math.max(1, Math.abs(byW));
  if (loading > byW + allowance) return "VA";
  return loading < byW - allowance ? "part" : "W";
}
