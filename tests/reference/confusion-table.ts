import { TRANSFER_CAUSES } from "../../src/analysis/series";
import { type Confusion, recallOf, rightOf, shownOf, TRUE_CAUSES } from "./confusion";
import type { SimulatedReview } from "./simulated-review";

/** One log's confusion over all seeds. */
export type Measured = { log: SimulatedReview["log"]; confusion: Confusion };

/** A confusion matrix as a Markdown table, true causes down, found causes across, and what else it counts. */
export function confusionTable({ log, confusion }: Measured): string {
  const across = [...TRANSFER_CAUSES, "none found" as const].filter((found) =>
    TRUE_CAUSES.some((truth) => confusion.counts[truth][found] > 0),
  );
  const rows = TRUE_CAUSES.filter((truth) => shownOf(confusion, truth) > 0).map((truth) => [
    truth,
    ...across.map((found) => String(confusion.counts[truth][found] || "")),
    recallOf(confusion, truth, log.intervalS).toFixed(3),
  ]);
  const { seen, seenWrong, hidden, spurious, inrush, inrushUnseen } = confusion;
  return [
    `**${nameOf(log)}**: right ${rightOf(confusion, log.intervalS).toFixed(3)}; "seen" and wrong ${seenWrong} of ${seen}; ` +
      `without samples on both sides ${hidden}; found with no true one near ${spurious}; ` +
      `motor starts in which no sample is above a rating ${inrushUnseen} of ${inrush}`,
    "",
    ...markdown(["true", ...across, "right"], rows),
  ].join("\n");
}

/** What is found right in each log, as a Markdown table: true causes down, logs across. */
export function recallTable(measured: readonly Measured[]): string {
  const rows = TRUE_CAUSES.map((truth) => [
    truth,
    ...measured.map(({ log, confusion }) => recallOf(confusion, truth, log.intervalS).toFixed(3)),
  ]);
  rows.push(["all", ...measured.map(({ log, confusion }) => rightOf(confusion, log.intervalS).toFixed(3))]);
  const wrong = ({ confusion: { seen, seenWrong } }: Measured) =>
    `${((100 * seenWrong) / seen).toFixed(2)} %`;
  rows.push(['"seen" and wrong', ...measured.map(wrong)]);
  return markdown(["true cause", ...measured.map(({ log }) => nameOf(log))], rows).join("\n");
}

function nameOf({ intervalS, sampling }: SimulatedReview["log"]): string {
  return `${intervalS} s ${sampling}`;
}

function markdown(header: readonly string[], rows: readonly (readonly string[])[]): string[] {
  const line = (cells: readonly string[]) => `| ${cells.join(" | ")} |`;
  return [line(header), line(header.map(() => "---")), ...rows.map(line)];
}
