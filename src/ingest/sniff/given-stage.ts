import { columnMap } from "../../site/column-map";
import { logColumns } from "../log-columns";
import type { Refusal } from "../refusal";
import type { SniffState } from "./sniff-state";

/** Stage: marks the columns of the given map as spoken for; refuses names that the log doesn't have. */
export function takeGiven(state: SniffState): Refusal | null {
  const { given, names, head, name } = state;
  const whole = columnMap({ ...given, time: { column: 1, ...given.time } });
  if (whole === null) return null;
  const found = logColumns(name, whole, names, head.headerLine);
  if (!found.ok) return found.refusal;
  const { time, channels, source, fault } = found.columns;
  if (given.time?.column !== undefined) {
    for (const index of time) state.taken.add(index);
    state.tell("time.column", names.filter((_, i) => time.includes(i)).join(" + "), 1, {}, "given");
  }
  for (const c of channels) {
    state.taken.add(c.index);
    if (c.minusIndex >= 0) state.taken.add(c.minusIndex);
    state.tell(`channels.${c.channel}`, names[c.index], 1, {}, "given");
  }
  for (const [choice, index] of [
    ["channels.source", source],
    ["channels.faultCode", fault],
  ] as const) {
    if (index < 0) continue;
    state.taken.add(index);
    state.tell(choice, names[index], 1, {}, "given");
  }
  return null;
}
