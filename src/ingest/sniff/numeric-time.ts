/** A form of times that are written as one number. */
export type NumericTime = {
  readonly format: "epoch-s" | "epoch-ms" | "epoch-us" | "spreadsheet-day";
  readonly share: number;
  /** Most decimals. */
  readonly decimals: number;
  /** Whether the numbers run one way, as times do: hardly any goes back. */
  readonly runs: boolean;
  /** Whether they are cut so short (1.7776E+09) that several rows have the same. */
  readonly cut: boolean;
};

/** Years 2000 to 2099 in seconds, and in a spreadsheet's days. */
const FROM_S = 946_684_800;
const UNTIL_S = 4_102_444_800;
const FROM_DAY = 36_526;
const UNTIL_DAY = 73_050;
const MIN_SHARE = 0.8;
const NUMBER = /^\d{1,17}(?:[.,]\d*)?(?:[eE]\+?\d{1,2})?$/;

/**
 * Settles whether texts, in the order of the log, are seconds, milliseconds or microseconds of the Unix epoch or a
 * spreadsheet's days, by their size: the four don't overlap between 2000 and 2099. Day numbers must have decimals
 * and run one way, since powers and counters can be as large. Null for anything else.
 */
export function numericTime(texts: readonly string[]): NumericTime | null {
  const values: number[] = [];
  let decimals = 0;
  let scientific = 0;
  for (const text of texts) {
    if (!NUMBER.test(text)) continue;
    const plain = text.replace(",", ".");
    values.push(Number(plain));
    const mark = plain.indexOf(".");
    if (/e/i.test(plain)) scientific++;
    else if (mark >= 0) decimals = Math.max(decimals, plain.length - mark - 1);
  }
  const share = values.length / Math.max(1, texts.length);
  if (values.length === 0 || share < MIN_SHARE) return null;
  const within = (from: number, until: number) => values.every((v) => v >= from && v <= until);
  const format = within(FROM_S, UNTIL_S)
    ? "epoch-s"
    : within(FROM_S * 1e3, UNTIL_S * 1e3)
      ? "epoch-ms"
      : within(FROM_S * 1e6, UNTIL_S * 1e6)
        ? "epoch-us"
        : within(FROM_DAY, UNTIL_DAY) && decimals > 0
          ? "spreadsheet-day"
          : null;
  if (format === null) return null;
  let up = 0;
  let down = 0;
  for (let i = 1; i < values.length; i++) {
    if (values[i] > values[i - 1]) up++;
    else if (values[i] < values[i - 1]) down++;
  }
  const runs = Math.min(up, down) <= 0.1 * (up + down);
  const still = values.length - 1 - up - down;
  const cut = scientific > 0 && still > 0.2 * values.length;
  if (format === "spreadsheet-day" && (!runs || up + down < 0.5 * (values.length - 1))) return null;
  return { format, share, decimals, runs, cut };
}
