import { NUMERIC_CHANNELS, type NumericChannel } from "../../analysis/series";
import { type Unit, unitsOf } from "../../site/column-map-schema";
import { ASK_BELOW, type ChosenColumn, type SniffState } from "./sniff-state";
import { unitInHeader } from "./unit-in-header";
import { sniffUnit } from "./units";

/** Stage: the unit of each channel, by its header, else by its figures. */
export function inferUnits(state: SniffState): void {
  settleGivenUnits(state);
  settleUnits(state, state.chosen);
}

function settleUnits(state: SniffState, chosen: readonly ChosenColumn[]): void {
  const { draft, names, facts } = state;
  const others: Unit[] = [];
  const numeric = chosen.filter((c) => c.channel !== "source" && c.channel !== "faultCode");
  for (const c of numeric) if (c.unit !== null) others.push(c.unit);
  // Columns whose own figures settle the unit come first: they speak for those that are zero in the head.
  const size = (c: ChosenColumn) =>
    Math.max(Math.abs(facts[c.indices[0]].max), Math.abs(facts[c.indices[0]].min)) || 0;
  for (const c of [...numeric].sort((a, b) => size(b) - size(a))) {
    const channel = c.channel as NumericChannel;
    const refs = c.indices.map((i) => state.refOf(i));
    const column = c.direction === "pair" ? { plus: refs[0], minus: refs[1] } : refs[0];
    const sniffed = c.unit === null ? sniffUnit(channel, facts[c.indices[0]], others) : null;
    const unit = c.unit ?? sniffed?.unit ?? null;
    const confidence = c.unit !== null ? 0.95 : (sniffed?.confidence ?? 0);
    draft.channels[channel] = unit === null ? { column } : { column, unit };
    state.guessed.add(channel);
    state.tell(`channels.${channel}`, c.indices.map((i) => names[i]).join(" − "), c.confidence, {
      min: facts[c.indices[0]].min,
      max: facts[c.indices[0]].max,
    });
    if (unit === null || confidence < ASK_BELOW) {
      state.question(
        `channels.${channel}.unit`,
        `"${names[c.indices[0]]}" says no unit, and its figures don't show it.`,
        unitsOf(channel),
      );
    } else {
      if (unitsOf(channel).length > 1)
        state.tell(`channels.${channel}.unit`, unit, confidence, { header: names[c.indices[0]] });
      if (sniffed !== null) others.push(unit);
    }
  }
}

/** Units of given channels that the given map leaves out: from the header, else from the figures. */
function settleGivenUnits(state: SniffState): void {
  const { given } = state;
  for (const channel of NUMERIC_CHANNELS) {
    const column = given.channels?.[channel];
    if (column === undefined || column.unit !== undefined) continue;
    const ref = typeof column.column === "object" ? column.column.plus : column.column;
    const facts = state.factsOf(ref);
    const header = typeof ref === "number" ? (state.names[ref - 1] ?? "") : ref;
    const stated = unitInHeader(header, channel);
    const sniffed = facts === undefined ? null : sniffUnit(channel, facts, []);
    const unit = stated ?? (sniffed !== null && sniffed.confidence >= ASK_BELOW ? sniffed.unit : null);
    if (unit === null) {
      state.question(
        `channels.${channel}.unit`,
        `"${header}" says no unit, and its figures don't show it.`,
        unitsOf(channel),
      );
      continue;
    }
    state.setChannel(channel, { ...column, unit });
    state.tell(`channels.${channel}.unit`, unit, stated !== null ? 0.95 : (sniffed?.confidence ?? 0), {
      header,
    });
  }
}
