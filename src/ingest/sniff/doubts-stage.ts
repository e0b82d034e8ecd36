import { NUMERIC_CHANNELS } from "../../analysis/series";
import { powersOf } from "./powers-of";
import { closesBalance, type PowerColumns } from "./signs";
import { ASK_BELOW, type ChosenColumn, type SniffState } from "./sniff-state";

/** Stage: asks where no load was found, and about channels by weak names; tells which columns are left. */
export function askDoubtful(state: SniffState): void {
  const { draft, names, taken, chosen } = state;
  const loads = NUMERIC_CHANNELS.filter(
    (c) => /^load(L[12])?(W|A|Va)$/.test(c) && draft.channels[c] !== undefined,
  );
  if (loads.length === 0) {
    state.question("channels.loadL1W", "No column is clearly a load; name at least one load channel.", names);
  }
  askWeakNames(state, chosen, powersOf(state));
  const unused = names.filter((_, i) => !taken.has(i) && !chosen.some((c) => c.indices.includes(i)));
  if (unused.length > 0)
    state.tell("columns not used", unused.join(", ").slice(0, 300), 0.5, { columns: unused.length });
}

/** Channels by a name that doesn't say them: asked about, with what the balance of powers says for it. */
function askWeakNames(state: SniffState, chosen: readonly ChosenColumn[], powers: PowerColumns | null): void {
  for (const c of chosen) {
    if (c.confidence >= ASK_BELOW) continue;
    const share = powers === null ? Number.NaN : closedShare(powers);
    const header = state.names[c.indices[0]];
    const balance = Number.isNaN(share)
      ? ""
      : ` With it the powers of ${Math.round(share * 100)} % of the rows balance.`;
    state.question(
      `channels.${c.channel}`,
      `"${header}" doesn't say what it is; it could be ${c.channel}.${balance}`,
      [header],
    );
  }
}

function closedShare(powers: PowerColumns): number {
  let rows = 0;
  let closed = 0;
  for (let i = 0; i < powers.load.length; i++) {
    const sun = powers.solar === null ? 0 : Math.max(0, powers.solar[i]);
    const pack = powers.battery === null ? 0 : powers.battery[i];
    const mains = powers.grid === null ? 0 : powers.grid[i];
    if (Number.isNaN(powers.load[i] + sun + pack + mains)) continue;
    rows++;
    if (closesBalance(powers.load[i], sun, pack, mains)) closed++;
  }
  return rows === 0 ? Number.NaN : closed / rows;
}
