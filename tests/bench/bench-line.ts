/** One measured figure held against its limit. */
export type BenchLine = {
  name: string;
  /** What is held against the limit. */
  value: number;
  limit: number;
  unit: "×" | "MB";
  /** The figures that it comes from, for whoever reads the log. */
  from: string;
};

/** Median of an odd or even number of figures. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}
