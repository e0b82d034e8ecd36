/** Between a figure and its unit: a space at which no line breaks. */
export const UNIT_SPACE = "\u00a0";

/** Shown where the log can't tell. */
export const UNKNOWN = "–";

/** A figure with thousands separated and so many decimals; a dash where it isn't known. */
export function formatNumber(value: number | null | undefined, decimals = 0): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return UNKNOWN;
  const text = value.toLocaleString("en-US", {
    minimumFractionDigits: decimals,
    maximumFractionDigits: decimals,
  });
  return text.replace(/^-(0(?:\.0+)?)$/, "$1").replace("-", "−");
}

/** A figure with its unit. */
export function formatQuantity(value: number | null | undefined, unit: string, decimals = 0): string {
  const text = formatNumber(value, decimals);
  return text === UNKNOWN ? text : `${text}${UNIT_SPACE}${unit}`;
}
