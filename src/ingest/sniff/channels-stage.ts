import { type ChannelGuess, sniffChannels } from "./channels";
import type { ChosenColumn, SniffState } from "./sniff-state";

/** Stage: which column is which channel, by names and figures. */
export function inferChannels(state: SniffState): void {
  const { names, titles, facts, taken } = state;
  const { guesses, unknownUnits } = sniffChannels(titles, facts, taken);
  for (const { index, unit } of unknownUnits) {
    const guess = guesses.find((g) => g.index === index);
    state.tell(`column ${names[index]}`, `unit ${unit} not known`, 0, {});
    if (guess !== undefined) {
      state.question(
        `channels.${guess.channel}.unit`,
        `The header gives "${names[index]}" the unit ${unit}, which is not known.`,
        [],
      );
    }
  }
  state.chosen = choosePerChannel(state, guesses);
}

/** One column, or one-way pair, per channel; two columns that seem the same are asked about. */
function choosePerChannel(state: SniffState, guesses: readonly ChannelGuess[]): ChosenColumn[] {
  const chosen: ChosenColumn[] = [];
  for (const channel of new Set(guesses.map((g) => g.channel))) {
    if (state.draft.channels[channel] !== undefined) continue;
    const all = guesses.filter((g) => g.channel === channel).sort((a, b) => b.confidence - a.confidence);
    const whole = all.filter((g) => g.part === null);
    const plus = all.filter((g) => g.part === "plus");
    const minus = all.filter((g) => g.part === "minus");
    if (whole.length === 1 || (whole.length > 1 && whole[0].confidence - whole[1].confidence >= 0.2)) {
      chosen.push({
        channel,
        indices: [whole[0].index],
        unit: whole[0].unit,
        confidence: whole[0].confidence,
        direction: null,
      });
    } else if (whole.length > 1 || plus.length > 1 || minus.length > 1) {
      const names = (whole.length > 1 ? whole : [...plus, ...minus]).map((g) => state.names[g.index]);
      state.question(
        `channels.${channel}`,
        `Several columns could be ${channel}: ${names.map((n) => `"${n}"`).join(", ")}.`,
        names,
      );
    } else if (plus.length === 1 && minus.length === 1) {
      chosen.push({
        channel,
        indices: [plus[0].index, minus[0].index],
        unit: plus[0].unit,
        confidence: plus[0].confidence,
        direction: "pair",
      });
    } else if (plus.length === 1) {
      chosen.push({
        channel,
        indices: [plus[0].index],
        unit: plus[0].unit,
        confidence: plus[0].confidence,
        direction: "plus",
      });
    } else {
      chosen.push({
        channel,
        indices: [minus[0].index],
        unit: minus[0].unit,
        confidence: minus[0].confidence,
        direction: "minus",
      });
    }
  }
  // With the legs measured, the total is one figure more; without them it is all there is.
  return chosen;
}
