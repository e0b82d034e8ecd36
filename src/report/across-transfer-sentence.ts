import type { LocalClock } from "../analysis/local-time";
import type { Transfer } from "../analysis/results";
import { capital, formatClock, formatDuration, formatPower } from "./format";

/** The loads of one sample in W; null where missing. */
export type SampleLoads = { atMs: number; L1: number | null; L2: number | null; total: number | null };

/** The two samples between which a transfer lies; null where the log has none near enough. */
export type SamplesAcross = {
  /** The last on the inverter. */
  last: SampleLoads | null;
  /** The first on the utility or generator. */
  first: SampleLoads | null;
  /** Interval of the log there, s; null where it isn't known. */
  intervalS: number | null;
};

/**
 * What the samples on either side of a transfer say, and what they can't: the load of the last one on the inverter, of
 * the first one after, the greatest near it, and that the moment itself lies between two values.
 *
 * @returns one or two sentences; none where no load is known on both sides
 * @example ["At 19:11, the last sample on the inverter, L1 was at 3.06 kW; at 19:12, the first on the utility, …"]
 */
export function acrossTransferSentences(
  { last, first, intervalS }: SamplesAcross,
  transfer: Pick<Transfer, "limiting" | "to" | "evidence" | "cause">,
  clock: LocalClock,
): string[] {
  const { limiting } = transfer;
  if (limiting === null || last === null || first === null) return [];
  const [lastW, firstW] = [last[limiting], first[limiting]];
  if (lastW === null || firstW === null) return [];
  const at = (atMs: number) => formatClock(atMs, clock, intervalS === null || intervalS < 60);
  const who = limiting === "total" ? "both legs together were" : `${limiting} was`;
  const sentences = [
    `At ${at(last.atMs)}, the last sample on the inverter, ${who} at ${formatPower(lastW)}; at ${at(first.atMs)}, the first on the ${transfer.to}, at ${formatPower(firstW)}${greatest(transfer, [last.atMs, first.atMs], at)}.`,
  ];
  if (transfer.cause !== "in-gap" && intervalS !== null && intervalS > 0) {
    sentences.push(
      `${capital(oneValue(intervalS))}, and the transfer lies between these two: the load at that moment the log doesn't show.`,
    );
  }
  return sentences;
}

/** The greatest load of the window, where it is another sample's. */
function greatest(
  { evidence, limiting, to }: Pick<Transfer, "evidence" | "limiting" | "to">,
  [lastMs, firstMs]: readonly [number, number],
  at: (atMs: number) => string,
): string {
  const peak = evidence.find(({ code }) => code === "peak-loading");
  if (peak?.code !== "peak-loading") return "";
  const { quantity, loadW, atMs, near } = peak.figures;
  if (quantity !== limiting || loadW === null) return "";
  if (atMs === lastMs || atMs === firstMs)
    return `, ${atMs === lastMs ? "the former" : "the latter"} the greatest near it`;
  const side = atMs < firstMs ? "still on the inverter" : `on the ${to}`;
  return `; the greatest ${near ? "near it" : "of the samples looked at"} was ${formatPower(loadW)} at ${at(atMs)}, ${side}`;
}

function oneValue(intervalS: number): string {
  const every = Number(intervalS.toPrecision(3));
  if (every === 60) return "the log gives one value a minute";
  if (every === 1) return "the log gives one value a second";
  return `the log gives one value every ${every < 1 ? `${every} s` : formatDuration(intervalS)}`;
}
