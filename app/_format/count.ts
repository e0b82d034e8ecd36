import { formatNumber, UNIT_SPACE } from "./number";

/** A count with its noun: "1 transfer", "12 transfers". */
export function formatCount(count: number, noun: string, plural = `${noun}s`): string {
  return `${formatNumber(count)}${UNIT_SPACE}${count === 1 ? noun : plural}`;
}

/** A size in bytes as kB or MB (powers of 1,000). */
export function formatBytes(bytes: number): string {
  if (bytes < 1000) return formatCount(bytes, "byte");
  const [value, unit] =
    bytes < 1e6 ? [bytes / 1e3, "kB"] : bytes < 1e9 ? [bytes / 1e6, "MB"] : [bytes / 1e9, "GB"];
  return `${formatNumber(value, value < 10 ? 1 : 0)}${UNIT_SPACE}${unit}`;
}
