import { NUMERIC_CHANNELS } from "../../analysis/series";
import { DEFAULT_MISSING, type NumericColumn } from "../../site/column-map";
import { isEnergyUnit, signOf, type Unit, unitsOf } from "../../site/column-map-schema";
import { columnFacts } from "./column-facts";
import { type NameReading, readColumnNames } from "./column-names";
import { columnShape } from "./column-shape";
import { type ChannelChoice, inferMeaning } from "./infer-meaning";
import type { SniffColumn } from "./power-sources";
import { sampleTimes } from "./sample-times";
import type { RowPowers } from "./sign-evidence";
import { ASK_BELOW, type SniffState } from "./sniff-state";

/** Stage: which column is which numeric channel, in which unit and direction (`inferMeaning`). */
export function inferChannels(state: SniffState): void {
  const { titles, given } = state;
  if (state.further.length > 0) lookFurther(state);
  const read = sampleTimes(state, state.rows);
  // Newest first turns every difference round: it is looked at oldest first.
  const turned = descends(read);
  const times = turned ? read.slice().reverse() : read;
  const facts = turned ? state.facts.map((f) => ({ ...f, values: f.values.slice().reverse() })) : state.facts;
  const given_ = givenReadings(state);
  const names = readColumnNames(state.head.headerLine === 0 ? titles.map(() => "") : titles);
  const columns: SniffColumn[] = [];
  for (let index = 0; index < facts.length; index++) {
    const own = given_.get(index);
    if (own === undefined && state.taken.has(index)) continue;
    columns.push({
      index,
      name: withUnitOfCells({ ...names[index], ...own }, facts[index].unit),
      facts: facts[index],
      shape: columnShape(facts[index], times),
    });
  }
  const meaning = inferMeaning(columns, times, everyRowMs(state));
  state.powers = turned ? reversed(meaning.powers) : meaning.powers;
  for (const choice of meaning.choices) {
    if (given.channels?.[choice.channel] !== undefined) completeGiven(state, choice);
    else if (choice.indices.every((i) => !given_.has(i))) take(state, choice);
  }
  for (const [index, { otherUnit }] of names.entries()) {
    if (otherUnit !== null && !state.taken.has(index))
      state.tell(`column ${state.names[index]}`, `unit ${otherUnit} not known`, 0, {});
  }
  if (!Number.isNaN(meaning.balance.openPct as number)) {
    const openPct = meaning.balance.openPct as number;
    const confidence = 0.95 * (1 - Math.min(1, openPct / 100)) ** 2;
    state.tell("balance of powers", `closes to ${openPct} %`, confidence, meaning.balance);
  }
  state.leftPowers = meaning.leftPowers;
  if (meaning.missing !== null && state.draft.channels[`${meaning.missing}W`] === undefined) {
    const left = meaning.leftPowers.map((i) => state.names[i]);
    state.question(
      `channels.${meaning.missing}W`,
      `${left.map((n) => `"${n}"`).join(", ")}: it isn't clear what this is, and no column is clearly ${meaning.missing}W.`,
      left,
    );
  }
}

function descends(times: Float64Array): boolean {
  let down = 0;
  let up = 0;
  for (let i = 1; i < times.length; i++) {
    if (times[i] < times[i - 1]) down++;
    else if (times[i] > times[i - 1]) up++;
  }
  return down > up;
}

function reversed(powers: RowPowers): RowPowers {
  const back = (v: Float64Array | null) => (v === null ? null : v.slice().reverse());
  return {
    load: back(powers.load),
    solar: back(powers.solar),
    battery: back(powers.battery),
    grid: back(powers.grid),
  };
}

/** A unit that stands in the cells is the column's, whatever its name says. */
function withUnitOfCells(name: NameReading, unit: Unit | null): NameReading {
  if (unit === null) return name;
  return { ...name, unit, otherUnit: null, quantity: QUANTITY[unit] };
}

const QUANTITY: { readonly [U in Unit]: NameReading["quantity"] } = {
  W: "W",
  kW: "W",
  Wh: "W",
  kWh: "W",
  MWh: "W",
  VA: "VA",
  kVA: "VA",
  A: "A",
  mA: "A",
  V: "V",
  mV: "V",
  "%": "%",
  share: "%",
  C: "C",
  F: "C",
  Hz: "Hz",
};

/** What a given map says of its columns, as if their names said it. */
function givenReadings(state: SniffState): Map<number, Partial<NameReading>> {
  const out = new Map<number, Partial<NameReading>>();
  for (const channel of NUMERIC_CHANNELS) {
    const column = state.given.channels?.[channel];
    if (column === undefined) continue;
    const pair = typeof column.column === "object" ? column.column : { plus: column.column, minus: null };
    const leg = /L[12]/.exec(channel)?.[0] as "L1" | "L2" | undefined;
    const isGrid = channel.startsWith("grid");
    const base: Partial<NameReading> = {
      canonical: channel,
      leg: leg ?? null,
      number: Number(/^solar(\d)W$/.exec(channel)?.[1] ?? Number.NaN) || null,
      quantity: channel.endsWith("Va")
        ? "VA"
        : channel.endsWith("A")
          ? "A"
          : channel.endsWith("W")
            ? "W"
            : null,
      otherUnit: null,
      stated:
        column.positive === undefined || column.positive === "generation" || column.positive === "consumption"
          ? null
          : column.positive,
      telling: true,
      known: true,
      ...(column.unit === undefined ? {} : { unit: column.unit }),
    };
    const half = (which: "plus" | "minus"): Partial<NameReading> => ({
      ...base,
      stated: null,
      concepts: new Set([
        which === "plus" ? (isGrid ? "import" : "discharge") : isGrid ? "export" : "charge",
      ] as const),
    });
    const plus = state.indexOf(pair.plus);
    if (plus >= 0) out.set(plus, pair.minus === null ? { ...base, concepts: new Set() } : half("plus"));
    if (pair.minus !== null && state.indexOf(pair.minus) >= 0)
      out.set(state.indexOf(pair.minus), half("minus"));
  }
  return out;
}

/** Usual time between neighbouring rows of the log. */
function everyRowMs(state: SniffState): number {
  const times = sampleTimes(state, state.head.rows.slice(0, STEPS_LOOKED_AT));
  const steps: number[] = [];
  for (let i = 1; i < times.length; i++) {
    const step = Math.abs(times[i] - times[i - 1]);
    if (step > 0) steps.push(step);
  }
  steps.sort((a, b) => a - b);
  return steps[steps.length >> 1] ?? 3_600_000;
}

const STEPS_LOOKED_AT = 300;
const SAMPLED_ROWS = 4000;

/** Takes the rows from further into the log among those that are looked at: they show the sun, and the grid. */
function lookFurther(state: SniffState): void {
  const all = [...state.rows, ...state.further];
  const wanted = Math.min(all.length, SAMPLED_ROWS);
  state.rows = Array.from({ length: wanted }, (_, i) => all[Math.floor((i * all.length) / wanted)]);
  const missing = state.given.missing ?? DEFAULT_MISSING;
  state.facts = state.names.map((_, i) =>
    columnFacts(state.rows, i, state.head.dialect.decimalMark, missing),
  );
}

function take(state: SniffState, choice: ChannelChoice): void {
  const { names } = state;
  const { channel, indices, unit, positive, energy } = choice;
  const refs = indices.map((i) => state.refOf(i));
  const directions = signOf(channel);
  const pair = indices.length === 2;
  const turned = pair && positive?.value === -1;
  const column: Record<string, unknown> = {
    column: pair ? { plus: refs[turned ? 1 : 0], minus: refs[turned ? 0 : 1] } : refs[0],
  };
  if (unit.value !== null) column.unit = unit.value;
  if (energy !== null && isEnergyUnit(unit.value ?? undefined)) column.energy = energy;
  if (directions !== null && positive !== null && positive.value !== null) {
    column.positive = pair || positive.value === 1 ? directions[0] : directions[1];
  }
  state.setChannel(channel, column);
  state.guessed.add(channel);
  for (const i of indices) state.taken.add(i);
  const shown = indices.map((i) => `"${names[i]}"`).join(" and ");
  state.tell(
    `channels.${channel}`,
    indices.map((i) => names[i]).join(" − "),
    choice.confidence,
    choice.figures,
  );
  if (unitsOf(channel).length > 1 && unit.value !== null) {
    state.tell(`channels.${channel}.unit`, unit.value, unit.confidence, unit.figures);
  }
  if (energy !== null) state.tell(`channels.${channel}.energy`, energy, 0.9, {});
  if (directions !== null && positive !== null && positive.value !== null) {
    state.tell(
      `channels.${channel}.positive`,
      String(column.positive),
      positive.confidence,
      positive.figures,
    );
  }
  let asked = false;
  for (const doubt of choice.doubts) {
    asked = true;
    if (doubt.about === "column") {
      const options = doubt.options.map((i) => names[i]);
      state.question(
        `channels.${channel}`,
        `${doubt.why}: ${options.map((o) => `"${o}"`).join(", ")} for ${channel}.`,
        options,
      );
      if (choice.orElse !== null) {
        state.question(
          `channels.${choice.orElse}`,
          `${shown} may be ${choice.orElse} as well as ${channel}: the balance of powers is the same.`,
          options,
        );
      }
    } else if (doubt.about === "unit") {
      state.question(`channels.${channel}.unit`, `${shown}: ${lowered(doubt.why)}.`, unitsOf(channel));
    } else {
      state.question(
        `channels.${channel}.positive`,
        `${shown}: ${lowered(doubt.why)}${figuresText(positive?.figures)}.`,
        directions ?? [],
      );
    }
  }
  if (!asked && choice.confidence < ASK_BELOW) {
    state.question(
      `channels.${channel}`,
      `${shown} isn't surely ${channel}.`,
      indices.map((i) => names[i]),
    );
  }
}

function lowered(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}

function figuresText(figures: ChannelChoice["figures"] | undefined): string {
  const closes = figures?.closesToPct;
  return typeof closes === "number" && typeof figures?.otherwiseToPct === "number" && figures.rows !== 0
    ? ` (over ${figures.rows} rows the balance closes to ${closes} % one way, to ${figures.otherwiseToPct} % the other)`
    : "";
}

/** A given channel that leaves out its unit gets it; one without a direction is checked against the rows. */
function completeGiven(state: SniffState, choice: ChannelChoice): void {
  const { channel, unit, positive } = choice;
  const column = state.given.channels?.[channel] as Partial<NumericColumn> & {
    column: NumericColumn["column"];
  };
  const next: Record<string, unknown> = { ...column };
  const ref = typeof column.column === "object" ? column.column.plus : column.column;
  if (column.unit === undefined) {
    if (unit.value === null || unit.confidence < ASK_BELOW) {
      state.question(
        `channels.${channel}.unit`,
        `"${ref}" says no unit, and its figures don't show it.`,
        unitsOf(channel),
      );
    } else {
      next.unit = unit.value;
      if (choice.energy !== null) next.energy = choice.energy;
      state.tell(`channels.${channel}.unit`, unit.value, unit.confidence, unit.figures);
      state.setChannel(channel, next);
    }
  }
  const directions = signOf(channel);
  if (directions === null || column.positive !== undefined || typeof column.column === "object") return;
  if (positive === null || positive.value !== -1) return;
  state.question(
    `channels.${channel}.positive`,
    `No direction is given, which means ${directions[0]}, and the balance of powers says ${directions[1]}${figuresText(positive.figures)}.`,
    directions,
  );
}
