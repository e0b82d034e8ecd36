import type { LocalClock } from "../analysis/local-time";
import type { Transfer } from "../analysis/results";
import type { TransferCause } from "../analysis/series";
import { causeName } from "./cause-words";
import { formatCount, formatDuration } from "./format";

/**
 * Why the loads keep going over, in a sentence or two: the most frequent cause, the leg that is full, the
 * hour of the day that has most of them, and how many could have been avoided.
 *
 * @param transfers those that are shown; at least one
 */
export function transfersHeadline(transfers: readonly Transfer[], clock: LocalClock): string {
  const [first, second] = transfersByCause(transfers);
  const share = (count: number) => `${count} of ${formatCount(transfers.length, "transfer")}`;
  const sentences: string[] = [];
  if (second === undefined) {
    sentences.push(
      `${formatCount(transfers.length, "transfer")}, all with the cause ${causeName(first.cause)}.`,
    );
  } else {
    sentences.push(
      `Most often because: ${causeName(first.cause)} (${share(first.count)}), then ${causeName(second.cause)} (${second.count}).`,
    );
  }
  const avoidable = transfers.filter((one) => one.avoidable === true);
  if (avoidable.length > 0) {
    const onL1 = avoidable.filter((one) => one.limiting === "L1").length;
    const onL2 = avoidable.filter((one) => one.limiting === "L2").length;
    const leg =
      onL1 === 0 && onL2 === 0
        ? ""
        : onL1 >= onL2
          ? `, ${onL1} of them with L1 full`
          : `, ${onL2} of them with L2 full`;
    sentences.push(`${avoidable.length === 1 ? "One" : avoidable.length} could have been avoided${leg}.`);
  }
  const hour = busiestHour(transfers, clock);
  if (hour !== null) sentences.push(`${hour.count} began between ${hour.from}:00 and ${hour.from + 1}:00.`);
  let onUtilityS = 0;
  for (const transfer of transfers) onUtilityS += transfer.onUtilityS;
  sentences.push(`Time on the utility in all: ${formatDuration(onUtilityS)}.`);
  return sentences.join(" ");
}

/** How many transfers each cause has, most frequent first. */
function transfersByCause(transfers: readonly Transfer[]): { cause: TransferCause; count: number }[] {
  const counts = new Map<TransferCause, number>();
  for (const transfer of transfers) counts.set(transfer.cause, (counts.get(transfer.cause) ?? 0) + 1);
  return [...counts].map(([cause, count]) => ({ cause, count })).sort((a, b) => b.count - a.count);
}

/** The hour of the day with most transfers, if it stands out: three at least, and a quarter of all. */
function busiestHour(
  transfers: readonly Transfer[],
  clock: LocalClock,
): { from: number; count: number } | null {
  const counts = new Array<number>(24).fill(0);
  for (const { atMs } of transfers) counts[Math.floor(clock.clockS(atMs) / 3600)]++;
  const count = Math.max(...counts);
  return count >= 3 && count * 4 >= transfers.length ? { from: counts.indexOf(count), count } : null;
}
