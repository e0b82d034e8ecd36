import type { Transfer } from "../analysis/results";

/**
 * Whether a transfer counts as avoidable and as nuisance (definitions D7), naming only what holds for this one.
 * Null where this version doesn't tell.
 */
export function avoidableSentence({
  tags,
  avoidable,
  nuisance,
}: Pick<Transfer, "tags" | "avoidable" | "nuisance">): string | null {
  if (avoidable === null) return null;
  const ways = [
    tags?.includes("one-leg") ? "a circuit moved to the other leg" : null,
    tags?.includes("stacked-starts") ? "starts one after the other" : null,
  ].filter((way) => way !== null);
  const counted =
    avoidable && ways.length > 0
      ? `It counts as avoidable: ${ways.join(", or ")}.`
      : "It doesn't count as avoidable: neither the split between the legs nor starts close together account for it.";
  return nuisance
    ? `${counted} It counts as a nuisance transfer: the nameplate says the inverter should have ridden through.`
    : counted;
}
