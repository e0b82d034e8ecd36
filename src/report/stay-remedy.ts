import type { LocalClock } from "../analysis/local-time";
import { formatClock, formatLocalTime, formatPower } from "./format";

/** A greatest load in W, when it was reached, and the limit in W that was in force then. */
export type LoadPeak = { loadW: number; atMs: number; limitW: number };

/** The loads of a stay on the utility, each by itself; null where the log hasn't it. */
export type TransferStay = {
  /** Up to when it is known: the return, else the end of what the log shows of it. */
  toMs: number;
  returned: boolean;
  L1: LoadPeak | null;
  L2: LoadPeak | null;
  total: LoadPeak | null;
};

/**
 * What it would have taken to stay on the inverter for what came after a transfer: how much less of the quantity that
 * was at its limit, and whether the other leg had room for it at its own greatest load. Null where that load isn't known.
 *
 * @param limiting the quantity that brought the transfer about
 * @param atMs the transfer, epoch ms
 * @example "To have stayed on the inverter for what came after (up to the return at 20:31), 1.54 kW less on L1: L1 asked …"
 */
export function stayRemedy(
  stay: TransferStay,
  limiting: "L1" | "L2" | "total",
  atMs: number,
  clock: LocalClock,
): string | null {
  const peak = stay[limiting];
  if (peak === null) return null;
  const at = (instantMs: number) =>
    clock.date(instantMs) === clock.date(atMs)
      ? formatClock(instantMs, clock)
      : formatLocalTime(instantMs, clock);
  const until = stay.returned
    ? `(up to the return at ${at(stay.toMs)})`
    : `(up to ${at(stay.toMs)}, where what the log shows of it ends)`;
  const [who, whose] = limiting === "total" ? ["both legs together", "their"] : [limiting, "its"];
  const asked = (most: string) =>
    `${who} asked for ${formatPower(peak.loadW)}${most} at ${at(peak.atMs)}, and ${whose} limit was ${formatPower(peak.limitW)}`;
  const stayed = `To have stayed on the inverter for what came after ${until}`;
  const overW = peak.loadW - peak.limitW;
  if (!(overW > 0)) return `${stayed} nothing more would have had to go: ${asked(" at most,")}.`;
  const where = limiting === "total" ? "in all" : `on ${limiting}`;
  const less = `${stayed}, ${formatPower(overW)} less ${where}: ${asked("")}.`;
  return `${less}${room(stay, limiting, overW, at)}`;
}

function room(
  stay: TransferStay,
  limiting: "L1" | "L2" | "total",
  overW: number,
  at: (instantMs: number) => string,
): string {
  if (limiting === "total") return "";
  const other = limiting === "L1" ? "L2" : "L1";
  const otherPeak = stay[other];
  if (otherPeak === null) return ` What ${other} had left the log doesn't show.`;
  const { total } = stay;
  const leftW = otherPeak.limitW - otherPeak.loadW;
  const greatest = `at its own greatest load then, ${formatPower(otherPeak.loadW)} at ${at(otherPeak.atMs)}`;
  if (leftW < overW) {
    return leftW > 0
      ? ` ${other} had only ${formatPower(leftW)} left ${greatest}, so it would not fit: balance alone isn't enough.`
      : ` ${other} had nothing left ${greatest}, so it would not fit: balance alone isn't enough.`;
  }
  if (total !== null && total.loadW > total.limitW) {
    return ` ${other} had ${formatPower(leftW)} left at least, but both legs together asked for ${formatPower(total.loadW)} at ${at(total.atMs)}, above the ${formatPower(total.limitW)} in all: balance alone isn't enough.`;
  }
  return ` ${other} had ${formatPower(leftW)} left at least (${formatPower(otherPeak.loadW)} at most, at ${at(otherPeak.atMs)}), so it would fit.`;
}
