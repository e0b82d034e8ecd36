import { type EnergyForm, isEnergyUnit, type Unit } from "../../site/column-map-schema";
import type { ColumnFacts } from "./column-facts";
import type { NameReading } from "./column-names";
import type { ColumnShape } from "./column-shape";
import { energyPower } from "./energy-power";

/** What powers a site has. */
export type PowerRole = "load" | "solar" | "battery" | "grid";

/** A column of the log with all that is known of it. */
export type SniffColumn = {
  readonly index: number;
  readonly name: NameReading;
  readonly facts: ColumnFacts;
  readonly shape: ColumnShape;
};

/** A column, or a current with its voltage, read as a power in W under one reading of its unit. */
export type PowerSource = {
  /** The column; of a current the current's, then the voltage's where there is one. */
  readonly indices: readonly number[];
  readonly make: "W" | "VA" | "A";
  readonly unit: Unit;
  readonly energy: EnergyForm | null;
  /** Per sampled row, in the column's own sign. */
  readonly values: Float64Array;
  /** What it can be, with a weight (in nats; 0 is what the name says). */
  readonly roles: Readonly<Partial<Record<PowerRole, number>>>;
  readonly leg: "L1" | "L2" | null;
  readonly number: number | null;
  /** Which half of a one-way pair the name says it is. */
  readonly part: "plus" | "minus" | null;
  /** The direction that the name states for positive values: 1 canonical (discharge, import). */
  readonly stated: 1 | -1 | null;
  /** Whether its name says what it is, so that it must be used. */
  readonly named: boolean;
  /** A leg that is read with its sign turned round, since it is below zero all the time. */
  readonly turned?: boolean;
  readonly shape: ColumnShape;
  /** Weight of the reading of the unit. */
  readonly unitWeight: number;
};

/** Nominal voltages for currents whose voltage isn't logged. */
const LEG_NOMINAL_V = 120;
const PACK_NOMINAL_V = 51.2;

/**
 * Reads the columns of a log as powers, under each reading of the unit that the name and the size of the figures
 * leave open. Columns that are no power, nor a current, by name or shape give none. `voltages` are the voltage columns;
 * `hints` say what figures show a column to be, where its name doesn't; `hasCharge` whether the log has a state of charge.
 */
export function powerSources(
  columns: readonly SniffColumn[],
  voltages: { readonly legs: readonly SniffColumn[]; readonly packs: readonly SniffColumn[] },
  timesMs: Float64Array,
  everyRowMs: number,
  hints: ReadonlyMap<number, PowerRole> = new Map(),
  hasCharge = false,
): PowerSource[] {
  const sources: PowerSource[] = [];
  const common = commonPowerUnit(columns);
  const forms = columns.filter((c) => isEnergyUnit(c.name.unit ?? undefined)).map((c) => energyForm(c.shape));
  const usualForm =
    forms.filter((f) => f === "interval").length > forms.filter((f) => f === "counter").length
      ? "interval"
      : "counter";
  const hours = hoursOf(timesMs);
  const aboutBattery =
    hasCharge ||
    columns.some(({ name }) => ["battery", "discharge", "soc"].some((c) => name.concepts.has(c as "soc")));
  for (const column of columns) {
    const { name, facts, shape } = column;
    if (facts.numeric < 0.9 || facts.present === 0) continue;
    const byName = rolesOf(name, aboutBattery);
    if (byName === null) continue;
    const roles = hinted(byName, hints.get(column.index));
    if (!couldBePower(column)) continue;
    const named = Object.values(roles).some((w) => w >= -0.6) && saysSubject(name);
    const base = {
      leg: name.leg,
      number: name.number,
      part: partOf(name, shape),
      stated:
        name.stated === null
          ? null
          : name.stated === "discharge" || name.stated === "import"
            ? (1 as const)
            : (-1 as const),
      named,
      shape,
    };
    const quantity = name.quantity;
    if (quantity === "W" || quantity === "VA" || quantity === null) {
      for (const [unit, unitWeight, energy] of unitReadings(column, common, usualForm, hours)) {
        const scale = SCALE[unit] ?? 1;
        const raw = energy === null ? facts.values : energyPower(facts.values, timesMs, energy, everyRowMs);
        const apparent = unit === "VA" || unit === "kVA";
        sources.push({
          ...base,
          indices: [column.index],
          make: apparent ? "VA" : "W",
          unit,
          energy,
          values: raw.map((v) => v * scale),
          roles: apparent ? onlyLoad(roles) : roles,
          unitWeight,
        });
      }
    }
    if (
      quantity === "A" ||
      (quantity === null && !saysSubject(name) && shape.size < 400 && shape.size > 0 && facts.decimals > 0)
    ) {
      sources.push(...currents(column, base, roles, voltages, quantity === null ? -1.5 : 0));
    }
  }
  return withoutDoubles(sources);
}

/** Hours that the rows span; NaN without times. */
function hoursOf(timesMs: Float64Array): number {
  let first = Number.NaN;
  let last = Number.NaN;
  for (const t of timesMs) {
    if (Number.isNaN(t)) continue;
    if (Number.isNaN(first)) first = t;
    last = t;
  }
  return Math.abs(last - first) / 3_600_000;
}

/** A log that has a power and its energy is read by the power. */
function withoutDoubles(sources: readonly PowerSource[]): PowerSource[] {
  const isPower = (s: PowerSource, role: PowerRole) =>
    s.energy === null && s.make !== "VA" && s.named && (s.roles[role] ?? -9) >= -0.6;
  return sources.filter((s) => {
    if (s.energy === null) return true;
    const [role] = Object.keys(s.roles) as PowerRole[];
    return role === undefined || Object.keys(s.roles).length > 1 || !sources.some((o) => isPower(o, role));
  });
}

/** Where figures show what a column without a telling name is, it is that. */
function hinted(roles: PowerSource["roles"], hint: PowerRole | undefined): PowerSource["roles"] {
  const weight = hint === undefined ? undefined : roles[hint];
  return hint === undefined || weight === undefined || weight >= -0.6 ? roles : { [hint]: -0.9 };
}

const SCALE: { readonly [unit: string]: number } = {
  W: 1,
  kW: 1000,
  VA: 1,
  kVA: 1000,
  Wh: 1,
  kWh: 1000,
  MWh: 1_000_000,
  A: 1,
  mA: 0.001,
};

function onlyLoad(roles: PowerSource["roles"]): PowerSource["roles"] {
  return roles.load === undefined ? {} : { load: roles.load - 3 };
}

function saysSubject({ concepts, leg, canonical }: NameReading): boolean {
  if (canonical !== null || leg !== null) return true;
  for (const c of SUBJECTS) if (concepts.has(c)) return true;
  return false;
}
const SUBJECTS = [
  "load",
  "solar",
  "battery",
  "grid",
  "main",
  "import",
  "export",
  "charge",
  "discharge",
  "chargeOrLoad",
  "string",
  "dc",
  "output",
  "input",
  "inverter",
] as const;

/** What a power of this name could be; null for what is no power of the site as a whole. */
function rolesOf(
  { concepts, leg, canonical, quantity, otherUnit }: NameReading,
  aboutBattery: boolean,
): PowerSource["roles"] | null {
  const has = (c: Parameters<typeof concepts.has>[0]) => concepts.has(c);
  if (canonical !== null) {
    if (/^load.*(W|A|Va)$/.test(canonical) && !canonical.includes("Peak")) return { load: 0 };
    if (canonical.startsWith("solar")) return { solar: 0 };
    if (/^battery[WA]$/.test(canonical)) return { battery: 0 };
    if (/^grid.*[WA]$/.test(canonical)) return { grid: 0 };
    return null;
  }
  if (otherUnit !== null || (quantity !== null && quantity !== "W" && quantity !== "A" && quantity !== "VA"))
    return null;
  if (has("reactive") || has("circuit") || has("limit") || has("health") || has("aside") || has("elsewhere"))
    return null;
  if (has("time") || has("fault") || has("soc") || has("peak") || has("generator")) return null;
  if (has("temperature") || has("frequency") || has("voltage")) return null;
  const subjects = (["solar", "battery", "grid", "load"] as const).filter((s) => has(s));
  // From one to another is a part of a power, not a power of the site.
  if (subjects.length >= 2 && (has("into") || has("outOf"))) return null;
  if (has("battery")) return { battery: subjects.length > 1 ? -0.5 : 0 };
  if (has("grid")) return { grid: 0 };
  if (has("solar") && has("export")) return { solar: -0.5, grid: -0.5 };
  if (has("solar") || has("string")) return { solar: 0 };
  if (has("load")) return { load: 0 };
  if (has("chargeOrLoad")) {
    if (leg !== null) return { load: 0 };
    if (quantity === "A") return { battery: 0 };
    // Where nothing else speaks of a battery it is the load.
    return aboutBattery && !has("total") ? { load: -0.2, battery: -0.2 } : { load: -0.1 };
  }
  if (has("charge") || has("discharge")) return { battery: 0 };
  if (has("import") || has("export")) return { grid: 0 };
  // The mains of the main panel: the grid's where it feeds the panel, the loads' where the inverter does.
  if (has("main")) return { load: -0.3, grid: -0.3 };
  // What goes into the inverter on a leg is the grid's, or a generator's.
  if (leg !== null && has("input") && !has("output")) return { grid: -0.3, load: -1.5 };
  if (leg !== null) return { load: 0 };
  if (has("dc")) return { battery: -0.3, solar: -1.5 };
  if (has("output")) return { load: -0.5, solar: -3 };
  if (has("input")) return { grid: -1, solar: -2, battery: -3 };
  if (has("inverter") || has("ac")) return { load: -1, solar: -2, grid: -3 };
  if (has("total")) return { load: -1, grid: -2, solar: -2, battery: -3 };
  if (has("source")) return null;
  if (has("power") || quantity === "W") return { load: -1, grid: -1.5, solar: -1.5, battery: -1.5 };
  return { load: -1.5, grid: -1.5, solar: -1.5, battery: -1.5 };
}

function partOf({ concepts, stated, leg }: NameReading, shape: ColumnShape): "plus" | "minus" | null {
  // "+ = charge" states the sign of a signed column, not one way of two.
  if (stated !== null) return null;
  const has = (c: Parameters<typeof concepts.has>[0]) => concepts.has(c);
  const plus = has("discharge") || has("import") || (has("grid") && has("load"));
  const minus = has("charge") || has("export") || (has("chargeOrLoad") && !has("load") && leg === null);
  if (plus === minus) return null;
  // What counts both ways is a signed column, whichever way its name says first.
  if (shape.negativeShare > 0.02 && shape.positiveShare > 0.02) return null;
  return plus ? "plus" : "minus";
}

/** By its shape alone a column without a telling name is no power where it hardly moves. */
function couldBePower({ name, facts, shape }: SniffColumn): boolean {
  if (name.quantity === "W" || name.quantity === "A" || name.quantity === "VA") return true;
  if (saysSubject(name)) {
    // Two or three whole words, 0 and 1 at most: a state, not a power.
    if (
      facts.words !== null &&
      facts.words.length >= 2 &&
      facts.words.length <= 4 &&
      facts.decimals === 0 &&
      shape.size <= 10
    )
      return false;
    return !(name.quantity === null && isSteady(shape) && facts.median > 90 && facts.median < 280);
  }
  if (facts.words !== null && facts.words.length <= 6 && facts.decimals === 0) return false;
  if (shape.numbers) return false;
  if (shape.counts) return shape.size > 0;
  return !isSteady(shape);
}

function isSteady({ low, high }: ColumnShape): boolean {
  return low > 0 && high - low < 0.25 * high;
}

/** The unit that most names of powers state; null for none. */
function commonPowerUnit(columns: readonly SniffColumn[]): "W" | "kW" | null {
  let plain = 0;
  let kilo = 0;
  for (const { name, shape, facts } of columns) {
    if (name.unit === "W") plain++;
    else if (name.unit === "kW") kilo++;
    else if (
      name.unit === null &&
      (name.quantity === "W" || name.quantity === null) &&
      saysSubject(name) &&
      !shape.counts
    ) {
      if (shape.size > 250) plain += 0.5;
      else if (shape.size < 25 && shape.size > 0.3 && facts.decimals >= 2) kilo += 0.5;
    }
  }
  return plain === kilo ? null : plain > kilo ? "W" : "kW";
}

/** A running total, or energies of intervals; null for a column of nothing but zeros. */
function energyForm({ counts, size, high, low }: ColumnShape): EnergyForm | null {
  if (size === 0) return null;
  return counts || high === low ? "counter" : "interval";
}

/** Rises without a fall from which a column is taken for a running total, whatever its name says. */
const RISES_OF_A_TOTAL = 20;

function unitReadings(
  { name, facts, shape }: SniffColumn,
  common: "W" | "kW" | null,
  usualForm: EnergyForm,
  hours: number,
): [Unit, number, EnergyForm | null][] {
  const { unit, quantity } = name;
  const { size } = shape;
  if (unit === "Wh" || unit === "kWh" || unit === "MWh") {
    return [[unit, 0, energyForm(shape) ?? usualForm]];
  }
  if (unit === "VA" || unit === "kVA") return [[unit, 0, null]];
  if (quantity === "VA") {
    const readings: [Unit, number, EnergyForm | null][] = [
      ["kVA", (common === "kW" ? 0.7 : 0) - (size < 30 ? 0 : 3), null],
      ["VA", (common === "W" ? 0.7 : 0) - (size < 30 && facts.decimals >= 2 ? 2.5 : 0.3), null],
    ];
    return size > 250 ? [["VA", 0, null]] : readings.sort((x, y) => y[1] - x[1]);
  }
  const small = size < 30 && facts.decimals >= 2;
  if (unit === "W")
    return small && size > 0.3
      ? [
          ["W", 0, null],
          ["kW", -2.5, null],
        ]
      : [["W", 0, null]];
  if (unit === "kW")
    return size > 250
      ? [
          ["kW", 0, null],
          ["W", -2.5, null],
        ]
      : [["kW", 0, null]];
  if (name.canonical !== null && !shape.counts) return [["W", 0, null]];
  // No power rises so often and never falls.
  if (
    shape.counts &&
    (name.concepts.has("energy") || !saysSubject(name) || shape.rises >= RISES_OF_A_TOTAL)
  ) {
    const weight = saysSubject(name) ? 0 : -2;
    const perHour = shape.risen / hours;
    return [
      ["kWh", weight - (perHour > 0.02 && perHour <= 20 ? 0 : 3), "counter"],
      ["Wh", weight - (perHour > 20 && perHour < 20_000 ? 0 : 3), "counter"],
    ];
  }
  if (name.concepts.has("energy"))
    return [
      ["kWh", size < 50 ? 0 : -3, "interval"],
      ["Wh", size > 5 ? 0 : -3, "interval"],
    ];
  const kilo = common === "kW" ? 0.7 : 0;
  const plain = common === "W" ? 0.7 : 0;
  if (size > 250) return [["W", 0, null]];
  if (size === 0) return common === "kW" ? [["kW", 0, null]] : [["W", common === null ? -1 : 0, null]];
  if (small)
    return [
      ["kW", kilo, null],
      ["W", plain - 2.5, null],
    ];
  if (size < 30)
    return [
      ["W", plain - 0.3, null],
      ["kW", kilo - 0.3, null],
    ];
  return [
    ["W", plain, null],
    ["kW", kilo - 2.5, null],
  ];
}

/** A current times its leg's or its pack's voltage. */
function currents(
  column: SniffColumn,
  base: Pick<PowerSource, "leg" | "number" | "part" | "stated" | "named" | "shape">,
  roles: PowerSource["roles"],
  voltages: { readonly legs: readonly SniffColumn[]; readonly packs: readonly SniffColumn[] },
  weight: number,
): PowerSource[] {
  const unit: Unit =
    column.name.unit === "mA" || (column.name.unit === null && column.shape.size > 2000) ? "mA" : "A";
  const scale = SCALE[unit];
  const { values } = column.facts;
  const made = (voltage: SniffColumn | null, nominal: number, of: PowerSource["roles"]): PowerSource => {
    const volts = voltage !== null && (voltage.name.unit === "mV" || voltage.facts.median > 2000) ? 0.001 : 1;
    return {
      ...base,
      indices: voltage === null ? [column.index] : [column.index, voltage.index],
      make: "A",
      unit,
      energy: null,
      values: values.map(
        (v, i) => v * scale * (voltage === null ? nominal : volts * voltage.facts.values[i]),
      ),
      roles: of,
      unitWeight: weight,
    };
  };
  const out: PowerSource[] = [];
  const { load, grid, battery } = roles;
  if (battery !== undefined) {
    const pack = voltages.packs.slice(0, 2);
    if (pack.length === 0 && weight === 0 && battery >= -0.6)
      out.push(made(null, PACK_NOMINAL_V, { battery: battery - 0.5 }));
    for (const v of pack) out.push(made(v, 0, { battery }));
  }
  if (load !== undefined || grid !== undefined) {
    const own = voltages.legs.filter((v) => v.name.leg !== null && v.name.leg === base.leg);
    const near = own.length > 0 ? own.slice(0, 1) : nearest(column.index, voltages.legs);
    const ac = {
      ...(load === undefined ? {} : { load }),
      ...(grid === undefined ? {} : { grid: grid - (base.leg === null ? 1 : 0) }),
    };
    for (const v of near) out.push(made(v, 0, ac));
    if (near.length === 0 && base.leg !== null && weight === 0) out.push(made(null, LEG_NOMINAL_V, ac));
  }
  return out;
}

function nearest(index: number, columns: readonly SniffColumn[]): SniffColumn[] {
  return [...columns].sort((a, b) => Math.abs(a.index - index) - Math.abs(b.index - index)).slice(0, 2);
}
