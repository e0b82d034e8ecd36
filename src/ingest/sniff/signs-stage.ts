import { NUMERIC_CHANNELS } from "../../analysis/series";
import type { NumericColumn } from "../../site/column-map";
import { signOf } from "../../site/column-map-schema";
import { powersOf } from "./powers-of";
import { type SniffedSigns, sniffSigns } from "./signs";
import type { ChosenColumn, SniffState } from "./sniff-state";

/** Stage: which way signed columns count up, by header and by the balance of powers. */
export function inferSigns(state: SniffState): void {
  const powers = powersOf(state);
  state.signs = powers === null ? null : sniffSigns(powers);
  settleSigns(state, state.chosen, state.signs);
  checkGivenSigns(state, state.signs);
}

function settleSigns(state: SniffState, chosen: readonly ChosenColumn[], signs: SniffedSigns | null): void {
  const { draft, names } = state;
  for (const c of chosen) {
    if (c.channel === "source" || c.channel === "faultCode") continue;
    const directions = signOf(c.channel);
    const column = draft.channels[c.channel] as NumericColumn | undefined;
    if (directions === null || column === undefined) continue;
    const choice = `channels.${c.channel}.positive`;
    const header = names[c.indices[0]];
    const explicit =
      c.direction === "minus" ? -1 : c.direction !== null || c.confidence === 1 ? 1 : signInHeader(header);
    const shown = signs === null ? null : directions[0] === "discharge" ? signs.battery : signs.grid;
    const sign = explicit ?? shown;
    // A pair is canonical by its names; the balance speaks of single signed columns only.
    if (
      sign === null ||
      (c.direction !== "pair" && explicit !== null && shown !== null && shown !== explicit)
    ) {
      const why =
        sign === null
          ? `The log's first rows don't show which way "${header}" counts up.`
          : `"${header}" says one direction and the balance of powers says the other.`;
      state.question(choice, why, directions);
      continue;
    }
    const positive = sign === 1 ? directions[0] : directions[1];
    state.setChannel(c.channel, { ...column, positive });
    state.tell(choice, positive, explicit !== null ? 0.95 : 0.9, signs?.figures ?? {});
  }
}

/** "Battery A (+ = charge)", "grid W, export positive": the direction that a header states; null for none. */
function signInHeader(header: string): 1 | -1 | null {
  const match =
    /(?:\+|positive|pos\.?)\W{0,4}(discharg|charg|import|export)/i.exec(header) ??
    /(discharg|charg|import|export)\w*\W{0,4}(?:\+|positive|pos\b)/i.exec(header);
  if (match === null) return null;
  return /^(discharg|import)/i.test(match[1]) ? 1 : -1;
}

/** A given column without a direction counts up the canonical way, unless the rows clearly show the other. */
function checkGivenSigns(state: SniffState, signs: SniffedSigns | null): void {
  if (signs === null) return;
  for (const channel of NUMERIC_CHANNELS) {
    const column = state.given.channels?.[channel];
    const directions = signOf(channel);
    if (column === undefined || directions === null || column.positive !== undefined) continue;
    if ((directions[0] === "discharge" ? signs.battery : signs.grid) !== -1) continue;
    state.question(
      `channels.${channel}.positive`,
      `No direction is given, which means ${directions[0]}, and the balance of powers says ${directions[1]}.`,
      directions,
    );
  }
}
