import { NUMERIC_CHANNELS, type NumericChannel } from "../analysis/series";
import type { ColumnMap, NumericColumn } from "../site/column-map";
import {
  type ColumnRef,
  type EnergyForm,
  isEnergyUnit,
  signOf,
  type Unit,
  unitsOf,
} from "../site/column-map-schema";
import { CHANNEL_BOUNDS } from "./channel-bounds";
import { ERROR_CATALOGUE } from "./error-catalogue";
import type { EnergyChannel } from "./power-from-energy";
import type { Refusal } from "./refusal";

/** A numeric channel's place in the rows of one log, and how its cells become values. */
type ChannelColumn = {
  readonly channel: NumericChannel;
  /** Index from 0 of the column, or of the one that counts up in a one-way pair. */
  readonly index: number;
  /** Index of the column that counts down; -1 where there is none. */
  readonly minusIndex: number;
  /** The unit of cells that don't state their own. */
  readonly unit: Unit;
  /** value = (cell · multiply / divide) + add, then times sign. */
  readonly multiply: number;
  readonly divide: number;
  readonly add: number;
  readonly sign: 1 | -1;
  readonly min: number;
  readonly max: number;
  /** Whether its cells are energies, which become power later on; `multiply` then makes Wh of them. */
  readonly energy: EnergyForm | null;
};

/** A column of energy readings. */
export type EnergyColumn = {
  /** Index of the column. */
  readonly index: number;
  /** The unit of cells that don't state their own. */
  readonly unit: Unit;
  /** Wh of one unit of its cells. */
  readonly multiply: number;
  /** The channel's place among the channels. */
  readonly channel: number;
};

/** A column map held against one log's header. */
export type LogColumns = {
  readonly names: readonly string[];
  readonly time: readonly number[];
  /** In NUMERIC_CHANNELS order. */
  readonly channels: readonly ChannelColumn[];
  /** Columns of the channels that are logged as energy. */
  readonly energies: readonly EnergyColumn[];
  /** What becomes of them. */
  readonly energyChannels: readonly EnergyChannel[];
  /** -1 where there is none. */
  readonly source: number;
  readonly fault: number;
};

/** Finds every column that the map names; refuses a name that isn't there, or is there twice. */
export function logColumns(
  name: string,
  map: ColumnMap,
  names: readonly string[],
  headerLine: number,
): { ok: true; columns: LogColumns } | { ok: false; refusal: Refusal } {
  let refusal: Refusal | null = null;

  function find(ref: ColumnRef, meant: string): number {
    const index = typeof ref === "number" ? byNumber(ref, names) : byName(ref, names);
    if (index >= 0 || refusal !== null) return index;
    const code =
      index === -2 ? "header.duplicate-name" : meant === "time" ? "header.no-time" : "header.no-column";
    refusal = {
      code,
      what:
        index === -2
          ? `The column map takes ${meant} from "${ref}", and the header has that name more than once.`
          : `The column map takes ${meant} from ${typeof ref === "number" ? `column ${ref}` : `"${ref}"`}, which the log doesn't have. Its columns: ${list(names)}.`,
      where: headerLine > 0 ? `${name}, line ${headerLine}` : name,
      hint: ERROR_CATALOGUE[code].hint,
    };
    return index;
  }

  const timeRefs = Array.isArray(map.time.column)
    ? (map.time.column as ColumnRef[])
    : [map.time.column as ColumnRef];
  const time = timeRefs.map((ref) => find(ref, "time"));
  const channels: ChannelColumn[] = [];
  for (const channel of NUMERIC_CHANNELS) {
    const column = map.channels[channel];
    if (column === undefined) continue;
    const pair = oneWayPair(column.column);
    const [min, max] = CHANNEL_BOUNDS[channel];
    const { unit } = column;
    if (!unitsOf(channel).includes(unit)) {
      return {
        ok: false,
        refusal: {
          code: "header.unit-unknown",
          what: `${channel} can't be in ${unit}; it can be in ${unitsOf(channel).join(" or ")}.`,
          where: name,
          hint: ERROR_CATALOGUE["header.unit-unknown"].hint,
        },
      };
    }
    channels.push({
      channel,
      index: find(pair.plus, channel),
      minusIndex: pair.minus === null ? -1 : find(pair.minus, channel),
      unit,
      ...conversion(unit),
      sign: signOfColumn(channel, column),
      min,
      max,
      energy: isEnergyUnit(unit) ? (column.energy ?? "counter") : null,
    });
  }
  const source = map.channels.source === undefined ? -1 : find(map.channels.source.column, "source");
  const fault = map.channels.faultCode === undefined ? -1 : find(map.channels.faultCode.column, "faultCode");
  if (refusal !== null) return { ok: false, refusal };
  const columns = { names, time, channels, ...energiesOf(channels), source, fault };
  const twice = columnTwice(columns);
  if (twice === null) return { ok: true, columns };
  const code = "header.column-twice";
  const { index, one, other } = twice;
  return {
    ok: false,
    refusal: {
      code,
      what: `The column map takes ${one} and ${other} from the same column, "${names[index]}".`,
      where: `${name}, column ${index + 1}`,
      hint: ERROR_CATALOGUE[code].hint,
    },
  };
}

/** The columns of energy, each channel's one after the other. */
function energiesOf(channels: readonly ChannelColumn[]): Pick<LogColumns, "energies" | "energyChannels"> {
  const energies: EnergyColumn[] = [];
  const energyChannels: EnergyChannel[] = [];
  for (const [k, one] of channels.entries()) {
    if (one.energy === null) continue;
    const { channel, energy: form, sign, min, max, multiply, unit } = one;
    const plus = energies.push({ index: one.index, unit, multiply, channel: k }) - 1;
    const minus =
      one.minusIndex < 0 ? -1 : energies.push({ index: one.minusIndex, unit, multiply, channel: k }) - 1;
    energyChannels.push({ channel, values: k, form, plus, minus, sign, min, max });
  }
  return { energies, energyChannels };
}

/** A column that two things are taken from. Source and fault may share one: a state can be either. */
function columnTwice({
  time,
  channels,
  source,
  fault,
}: LogColumns): { index: number; one: string; other: string } | null {
  const meant = new Map<number, string>(time.map((index) => [index, "time"]));
  const uses: [number, string][] = channels.flatMap((c) => [
    [c.index, c.channel],
    ...(c.minusIndex < 0 ? [] : ([[c.minusIndex, `${c.channel}.minus`]] as [number, string][])),
  ]);
  if (source >= 0) uses.push([source, "source"]);
  if (fault >= 0 && fault !== source) uses.push([fault, "faultCode"]);
  for (const [index, other] of uses) {
    const one = meant.get(index);
    if (one !== undefined) return { index, one, other };
    meant.set(index, other);
  }
  return null;
}

/** -1: not there; -2: there more than once. */
function byName(ref: string, names: readonly string[]): number {
  for (const same of [(a: string) => a, (a: string) => a.trim(), fold]) {
    const wanted = same(ref);
    const first = names.findIndex((n) => same(n) === wanted);
    if (first === -1) continue;
    return names.findLastIndex((n) => same(n) === wanted) === first ? first : -2;
  }
  return -1;
}

function fold(name: string): string {
  return name.trim().replace(/\s+/g, " ").toLowerCase();
}

function byNumber(ref: number, names: readonly string[]): number {
  return ref <= names.length ? ref - 1 : -1;
}

function oneWayPair(column: NumericColumn["column"]): { plus: ColumnRef; minus: ColumnRef | null } {
  return typeof column === "object" ? column : { plus: column, minus: null };
}

function conversion(unit: Unit): { multiply: number; divide: number; add: number } {
  if (unit === "MWh") return { multiply: 1_000_000, divide: 1, add: 0 };
  if (unit === "kW" || unit === "kVA" || unit === "kWh") return { multiply: 1000, divide: 1, add: 0 };
  if (unit === "share") return { multiply: 100, divide: 1, add: 0 };
  if (unit === "mA" || unit === "mV") return { multiply: 1, divide: 1000, add: 0 };
  if (unit === "F") return { multiply: 5, divide: 9, add: -160 / 9 };
  return { multiply: 1, divide: 1, add: 0 };
}

function signOfColumn(channel: NumericChannel, column: NumericColumn): 1 | -1 {
  const directions = signOf(channel);
  return directions !== null && column.positive === directions[1] ? -1 : 1;
}

function list(names: readonly string[]): string {
  const shown = names.slice(0, 30).map((n) => `"${n.slice(0, 60)}"`);
  return shown.join(", ") + (names.length > 30 ? ` and ${names.length - 30} more` : "");
}
