import { NUMERIC_CHANNELS } from "../../analysis/series";
import type { SniffState } from "./sniff-state";

/** Stage: asks where no load was found and a column could be one; tells which columns are left. */
export function askDoubtful(state: SniffState): void {
  const { draft, names, taken } = state;
  const found = NUMERIC_CHANNELS.filter((c) => draft.channels[c] !== undefined);
  const loads = found.filter((c) => /^load(L[12])?(W|A|Va)$/.test(c));
  // A meter's log may have the grid, or the sun, and nothing else.
  const other = found.some((c) => /^(grid|solar|battery)/.test(c));
  if (loads.length === 0 && (!other || state.leftPowers.length > 0)) {
    state.question("channels.loadL1W", "No column is clearly a load; name at least one load channel.", names);
  }
  const unused = names.filter((_, i) => !taken.has(i));
  if (unused.length > 0)
    state.tell("columns not used", unused.join(", ").slice(0, 300), 0.5, { columns: unused.length });
}
