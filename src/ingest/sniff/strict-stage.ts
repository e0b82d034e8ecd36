import { NUMERIC_CHANNELS } from "../../analysis/series";
import { unitsOf } from "../../site/column-map-schema";
import type { SniffState } from "./sniff-state";
import { unitInHeader } from "./unit-in-header";

/** Stage, in place of all that infer: asks for what isn't given and can't be left out. */
export function askForMissing(state: SniffState): void {
  const { draft, given } = state;
  if (given.time?.column === undefined) {
    state.question(
      "time.column",
      "No time column is given, and nothing is inferred with --strict.",
      state.names,
    );
  }
  const loads = Object.keys(draft.channels).filter((c) => c.startsWith("load"));
  if (loads.length === 0) {
    state.question(
      "channels.loadL1W",
      "No load channel is given, and nothing is inferred with --strict.",
      state.names,
    );
  }
  for (const channel of NUMERIC_CHANNELS) {
    const column = draft.channels[channel];
    if (column === undefined || column.unit !== undefined) continue;
    const stated = unitInHeader(column.column, channel);
    // The header contradicts what the channel's name would make of it.
    if (stated !== null && stated !== unitsOf(channel)[0]) {
      state.question(
        `channels.${channel}.unit`,
        `The header says ${stated}; no unit is given.`,
        unitsOf(channel),
      );
    }
  }
}
