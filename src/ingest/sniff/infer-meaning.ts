import type { NumericChannel } from "../../analysis/series";
import { type EnergyForm, signOf, type Unit, unitsOf } from "../../site/column-map-schema";
import { type AssignedPowers, assignPowers, type PowerReading } from "./assign-powers";
import { chargeLink } from "./charge-link";
import { type ColumnLinks, columnLinks } from "./column-links";
import { type PowerRole, type PowerSource, powerSources, type SniffColumn } from "./power-sources";
import { type RowPowers, signEvidence } from "./sign-evidence";
import { sniffUnit } from "./units";
import { type VoltageColumns, voltageColumns } from "./voltage-columns";

export type Figures = Readonly<Record<string, number | string>>;

/** What is settled of a choice, and how surely. */
export type Settled<T> = { readonly value: T; readonly confidence: number; readonly figures: Figures };

/** A numeric channel's column as the log's names and figures have it. */
export type ChannelChoice = {
  readonly channel: NumericChannel;
  /** Index of the column, or of the one that counts up and the one that counts down. */
  readonly indices: readonly number[];
  readonly confidence: number;
  readonly figures: Figures;
  readonly unit: Settled<Unit | null>;
  readonly energy: EnergyForm | null;
  /** Null for a channel without a sign; the value is null where nothing shows it. */
  readonly positive: Settled<1 | -1 | null> | null;
  /** Another channel that it could be as well, where the balance can't tell. */
  readonly orElse: NumericChannel | null;
  /** What a person must settle, with why. */
  readonly doubts: readonly {
    readonly about: "column" | "unit" | "positive";
    readonly why: string;
    readonly options: readonly number[];
  }[];
};

/** What the columns of a log mean. */
export type Meaning = {
  readonly choices: readonly ChannelChoice[];
  /** Canonical powers as far as they are known, for what else can be held against them. */
  readonly powers: RowPowers;
  readonly balance: Figures;
  /** Columns that look like powers and were not taken. */
  readonly leftPowers: readonly number[];
  /** A power that a log without telling names may have among those. */
  readonly missing: "grid" | "battery" | "solar" | null;
};

/** Lead in nats under which the choice between columns is a person's. */
const LEAD_WANTED = 3;
/** Part of the turnover that a balance may leave open where nothing but it says what a column is. */
const OPEN_WANTED = 0.15;

/**
 * Settles which column is which numeric channel, in which unit and direction, from names (`readColumnNames`) and from
 * physics: the balance of powers, legs that add up, volts times amperes, charge that integrates the battery's current,
 * the sun's night. `timesMs` are the rows' times in any one zone; `everyRowMs` the usual time between the log's rows.
 */
export function inferMeaning(
  columns: readonly SniffColumn[],
  timesMs: Float64Array,
  everyRowMs: number,
): Meaning {
  const voltages = voltageColumns(columns);
  const steady = new Set(
    [...voltages.legs, ...voltages.packs, ...voltages.grid, ...voltages.frequencies].map((c) => c.index),
  );
  const charges = columns.filter(isChargeByName);
  const slow = columns.filter((c) => !steady.has(c.index) && couldBeCharge(c));
  const candidates = charges.length > 0 ? charges : slow;
  const pool = columns.filter((c) => !steady.has(c.index) && !charges.includes(c));
  const links = columnLinks(
    pool.filter(
      (c) =>
        c.facts.numeric > 0.9 &&
        (c.name.quantity === null || c.name.quantity === "W" || c.name.quantity === "A"),
    ),
    [...voltages.legs, ...voltages.packs],
  );
  const aside = setAside(pool, links);
  const found = powerSources(
    pool.filter((c) => !aside.has(c.index)),
    voltages,
    timesMs,
    everyRowMs,
    hintsOf(links, voltages),
    charges.length > 0,
  );
  // Without times nobody knows which way the log runs.
  const timed = timesMs.some((t) => !Number.isNaN(t));
  const link = (values: Float64Array) => {
    if (!timed) return Number.NaN;
    let strongest = Number.NaN;
    for (const c of candidates.slice(0, 4)) {
      const r = chargeLink(values, c.facts.values, timesMs).correlation;
      if (!Number.isNaN(r) && !(Math.abs(strongest) >= Math.abs(r))) strongest = r;
    }
    return strongest;
  };
  const known = { link, conflicts: conflictsOf(links), summed: summedOf(links), spanMs: spanOf(timesMs) };
  let all = found;
  let assigned = assignPowers(all, known);
  // A sensor of something else may fit a little: what nothing shows to be a power of the site is left alone.
  for (let again = 0; again < 3 && isNamed(assigned.load.reading, "load"); again++) {
    const weak = (["solar", "battery", "grid"] as const).flatMap((role) => {
      const { reading } = assigned[role];
      return reading !== null && !isNamed(reading, role) && !isShown(assigned, role, link)
        ? reading.sources.filter((s) => !s.named)
        : [];
    });
    if (weak.length === 0) break;
    const out = new Set(weak.map((s) => s.indices[0]));
    const rest = all.filter((s) => !out.has(s.indices[0]));
    const without = assignPowers(rest, known);
    // What the balance can't do without is a power of the site, whichever: that is asked.
    if (assigned.open <= OPEN_WANTED && without.open > Math.max(0.25, 2 * assigned.open)) break;
    all = rest;
    assigned = without;
  }
  const powers = powersOf(assigned);
  const closer = closerReading(assigned, all, known);
  const build: Build = {
    columns,
    assigned,
    closer,
    powers,
    link,
    choices: [],
    used: new Set(),
    voltages,
    all,
  };
  for (const role of ["load", "solar", "battery", "grid"] as const) addReading(build, role);
  addLinked(build, links);
  addNamedExtras(build);
  addVoltages(build);
  addCharge(build, charges, slow, timesMs);
  addPlain(build);
  const settled = settledPowers(build);
  const leftPowers = [...new Set(found.filter((s) => s.energy === null).map((s) => s.indices[0]))].filter(
    (i) => !build.used.has(i),
  );
  return {
    choices: build.choices,
    powers: settled,
    balance: { openPct: pct(assigned.open), tried: assigned.tried },
    leftPowers,
    missing: missingOf(build, leftPowers),
  };
}

/** Where the load itself has no name, a column left over that moves as powers do may be what isn't there yet. */
function missingOf({ assigned, columns }: Build, left: readonly number[]): Meaning["missing"] {
  if (assigned.load.reading === null || isNamed(assigned.load.reading, "load")) return null;
  const moving = columns.some(
    (c) => left.includes(c.index) && c.shape.roughness > 0.005 && c.shape.high > c.shape.low,
  );
  if (!moving) return null;
  return (["grid", "battery", "solar"] as const).find((role) => assigned[role].reading === null) ?? null;
}

type Build = {
  readonly columns: readonly SniffColumn[];
  readonly assigned: AssignedPowers;
  /** Another way to read the columns, against their names, in which the balance closes; null for none. */
  readonly closer: AssignedPowers | null;
  readonly powers: RowPowers;
  readonly link: (values: Float64Array) => number;
  readonly choices: ChannelChoice[];
  readonly used: Set<number>;
  readonly voltages: VoltageColumns;
  readonly all: readonly PowerSource[];
};

/** Open part from which the names are doubted, and what another way to read them has to close to. */
const OPEN_DOUBTED = 0.1;
const OPEN_CLOSER = 0.04;
const ROLES = ["load", "solar", "battery", "grid"] as const;

/** Where the balance stays open by the names, the way to read the columns without them that closes it. */
function closerReading(
  assigned: AssignedPowers,
  all: readonly PowerSource[],
  known: Parameters<typeof assignPowers>[1],
): AssignedPowers | null {
  if (!(assigned.open > OPEN_DOUBTED) || assigned.openOfMost <= OPEN_OF_MOST) return null;
  // Columns that share a name, as of two batteries, are asked about already, and leave the balance open.
  if (ROLES.some((role) => hasRivals(assigned[role]))) return null;
  const loose = all
    .filter((s) => s.energy === null && s.make === "W" && s.unitWeight > -2)
    .map((s) => ({
      ...s,
      roles: Object.fromEntries(ROLES.map((role) => [role, loosened(s.roles[role])])),
    }));
  const other = assignPowers(loose, known);
  const shown = ROLES.filter((role) => other[role].reading !== null).length >= 3;
  return shown && other.open <= OPEN_CLOSER && other.open < assigned.open / 4 ? other : null;
}

function hasRivals({ next, lead }: AssignedPowers[PowerRole]): boolean {
  return next !== null && lead < LEAD_WANTED && next.sources.every((s) => s.named);
}

/** What a name says counts a little, and no longer that it must be so. */
function loosened(weight: number | undefined): number {
  return weight === undefined ? -2.5 : Math.min(weight, -0.7);
}

function columnOf(build: Build, index: number): SniffColumn {
  return build.columns.find((c) => c.index === index) as SniffColumn;
}

/** Columns without a telling name that say again what others say: they may not balance against themselves. */
function setAside(pool: readonly SniffColumn[], links: ColumnLinks): Set<number> {
  const aside = new Set<number>();
  const of = (i: number) => pool.find((c) => c.index === i);
  const open = (i: number) => {
    const c = of(i);
    return c !== undefined && !c.name.telling;
  };
  for (const { copy, original } of links.copies) if (open(copy) && open(original)) aside.add(copy);
  for (const { total, parts } of links.sums) {
    if (open(total) && !parts.some((p) => aside.has(p))) aside.add(total);
  }
  for (const { power, current } of links.products) {
    const c = of(current);
    if (
      c !== undefined &&
      (c.name.quantity === null || c.name.quantity === "A") &&
      open(current) &&
      !aside.has(power)
    ) {
      aside.add(current);
    }
  }
  return aside;
}

/** What a current times a voltage shows: at a pack's volts it is the battery, at a leg's the load. */
function hintsOf(links: ColumnLinks, voltages: VoltageColumns): Map<number, PowerRole> {
  const hints = new Map<number, PowerRole>();
  for (const { power, voltage } of links.products) {
    if (hints.has(power)) continue;
    if (voltages.packs.some((c) => c.index === voltage)) hints.set(power, "battery");
    else hints.set(power, "load");
  }
  return hints;
}

function spanOf(timesMs: Float64Array): number {
  let first = Number.POSITIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  for (const t of timesMs) {
    if (t < first) first = t;
    if (t > last) last = t;
  }
  return last > first ? last - first : 0;
}

function summedOf(links: ColumnLinks): Set<string> {
  return new Set(links.sums.flatMap(({ parts: [a, b] }) => [`${a} ${b}`, `${b} ${a}`]));
}

function conflictsOf(links: ColumnLinks): Set<string> {
  const conflicts = new Set<string>();
  for (const { total, parts } of links.sums) {
    for (const part of parts) conflicts.add(`${part} ${total}`).add(`${total} ${part}`);
  }
  for (const { original, copy } of links.copies)
    conflicts.add(`${original} ${copy}`).add(`${copy} ${original}`);
  return conflicts;
}

function isChargeByName({ name, facts }: SniffColumn): boolean {
  const { concepts, quantity, canonical } = name;
  if (canonical !== null) return canonical === "batterySocPct";
  if (facts.numeric < 0.9 || concepts.has("health") || concepts.has("limit") || concepts.has("aside"))
    return false;
  if (concepts.has("peak") || concepts.has("elsewhere")) return false;
  if (concepts.has("soc")) return quantity === "%" || quantity === null;
  const about = concepts.has("battery") || concepts.has("charge") || concepts.has("chargeOrLoad");
  if (quantity === "%") return about || (concepts.has("level") && !concepts.has("load"));
  return quantity === null && concepts.has("battery") && concepts.has("level");
}

/** Moves slowly between 0 and 100: by its shape it could be a state of charge. */
function couldBeCharge({ name, facts, shape }: SniffColumn): boolean {
  if (facts.numeric < 0.9 || name.canonical !== null) return false;
  if (name.quantity !== null && name.quantity !== "%") return false;
  const { concepts } = name;
  // "Charge" and "Nivel" may be the state of charge: the battery's power shows it.
  const level = concepts.has("chargeOrLoad") || concepts.has("charge") || concepts.has("level");
  if (name.telling && name.quantity === null && !level) return false;
  return (
    shape.low >= 0 &&
    shape.high <= 100.5 &&
    shape.high - shape.low >= 0.5 &&
    shape.high > 5 &&
    shape.roughness < 0.05
  );
}

/** Powers that are sure, in the direction that the evidence shows; a grid of which it doesn't in its size only. */
function settledPowers({ assigned, powers, choices, link }: Build): RowPowers {
  const of = (role: PowerRole): Float64Array | null => {
    const { reading } = assigned[role];
    const values = powers[role];
    if (reading === null || values === null) return null;
    if (!isNamed(reading, role) && !isShown(assigned, role, link)) return null;
    if (role === "load" || role === "solar") return values;
    const shown =
      choices.find((c) => c.indices.includes(reading.sources[0].indices[0]))?.positive?.value ?? null;
    if (shown === null) return role === "grid" ? values.map(Math.abs) : null;
    return shown === reading.sign ? values : values.map((v) => -v);
  };
  return { load: of("load"), solar: of("solar"), battery: of("battery"), grid: of("grid") };
}

function powersOf({ load, solar, battery, grid }: AssignedPowers): RowPowers {
  return {
    load: load.reading?.values ?? null,
    solar: solar.reading?.values ?? null,
    battery: battery.reading?.values ?? null,
    grid: grid.reading?.values ?? null,
  };
}

/** Whether the names of a reading's columns say what it is. */
function isNamed(reading: PowerReading | null, role: PowerRole): boolean {
  return reading?.sources.every((s) => (s.roles[role] ?? -9) >= -0.6) ?? false;
}

/** Where a power is missing, the grid's or a generator's, the other rows close this well. */
const OPEN_OF_MOST = 0.05;

/** Whether the balance shows what the names don't: it closes, and with no other columns as well. */
function isShown(assigned: AssignedPowers, role: PowerRole, link: (values: Float64Array) => number): boolean {
  const { reading, lead, next } = assigned[role];
  // One signed power beside a sun and a load is a grid's or a battery's: only the charge, or a pack's volts, tell.
  if (reading !== null && (role === "battery" || role === "grid")) {
    const other = role === "battery" ? assigned.grid.reading : assigned.battery.reading;
    const pack = reading.sources.every((s) => s.make === "A" || Object.keys(s.roles).length === 1);
    if (other === null && !pack && !(role === "battery" && link(reading.values) > 0.8)) return false;
  }
  // Two powers that are alike may be anything: a meter and its copy, a grid and its load.
  const powers = [assigned.load, assigned.solar, assigned.battery, assigned.grid].filter(
    (a) => a.reading !== null,
  );
  if (powers.length < 3) return false;
  if (reading === null) return false;
  // What is rarely there hardly counts in the whole balance, and all the more in its own rows.
  if (next === null && lead < LEAD_WANTED && (role === "battery" || role === "grid")) {
    const own = signEvidence(powersOf(assigned), role, Number.NaN);
    return own.sign === 1 && Number(own.figures.closesToPct) < 10;
  }
  const wanted = reading?.sources.every((s) => s.named) ? 0.5 : OPEN_WANTED;
  return (
    reading !== null &&
    lead >= LEAD_WANTED &&
    (assigned.open <= wanted || assigned.openOfMost <= OPEN_OF_MOST)
  );
}

function addReading(build: Build, role: PowerRole): void {
  const { assigned } = build;
  const { reading, lead, unitLead, next } = assigned[role];
  if (reading === null) return;
  const signed = role === "battery" || role === "grid";
  const surest = Math.min(...reading.sources.map((s) => s.roles[role] ?? -9));
  const byName = surest >= -0.6;
  const doubts: ChannelChoice["doubts"][number][] = [];
  const open = assigned.open;
  let confidence = confidenceOfLead(lead);
  if (byName && (next === null || lead >= 12)) confidence = Math.max(confidence, surest === 0 ? 0.93 : 0.85);
  const rivals = hasRivals(assigned[role]);
  const mine = reading.sources.map((s) => s.indices[0]);
  if (rivals) {
    const options = [...new Set([...mine, ...(next as PowerReading).sources.map((s) => s.indices[0])])];
    doubts.push({ about: "column", why: "Several columns could be it", options });
  } else if (!byName && !isShown(assigned, role, build.link)) {
    doubts.push({
      about: "column",
      why: "The name doesn't say what it is, and the balance of powers doesn't either",
      options: mine,
    });
  }
  if (doubts.length > 0) confidence = Math.min(confidence, 0.6);
  else if (!byName) confidence = Math.max(confidence, 0.7);
  // What the balance leaves open speaks against all that stand in it, if less than a name speaks for them.
  if (doubts.length === 0 && confidence > 0.7 && open > 0.1)
    confidence = Math.max(0.7, confidence - 0.3 * open);
  // The mains of a panel are the grid's or the loads': only a balance that closes tells.
  const either = reading.sources.some((s) => (s.roles.load ?? -9) >= -0.6 && (s.roles.grid ?? -9) >= -0.6);
  if (either && doubts.length === 0 && !(open <= OPEN_WANTED)) {
    doubts.push({
      about: "column",
      why: "The name may mean the loads or the grid, and the balance of powers doesn't show which",
      options: mine,
    });
  }
  const half = signed ? lostHalf(build, role, reading) : null;
  if (half !== null) {
    doubts.push({
      about: "column",
      why: "Of two one-way columns one counts below zero, and a pair is plus less minus, both counted up: neither both nor one of them is the power",
      options: [...mine, half],
    });
  }
  const instead = role === "load" ? takesTurns(build, reading) : null;
  if (instead !== null) {
    doubts.push({
      about: "column",
      why: "They take turns: one is at 0 while the other isn't, and no channel is the sum of columns",
      options: [...mine, ...instead],
    });
    confidence = Math.min(confidence, 0.6);
  }
  const closer = build.closer === null ? [] : differing(reading, build.closer[role].reading, mine);
  if (closer.length > 0 && instead === null) {
    doubts.push({
      about: "column",
      why: `The names say so, and the balance of powers stays ${pct(open)} % open; read otherwise it closes to ${pct(build.closer?.open ?? 0)} %`,
      options: [...new Set([...mine, ...closer])],
    });
    confidence = Math.min(confidence, 0.6);
  }
  const figures: Record<string, number | string> = { min: least(reading), max: greatest(reading) };
  if (!Number.isNaN(open)) figures.closesToPct = pct(open);
  // Legs that no name tells apart are taken in their order, which no balance shows.
  if (reading.form === "legs" && reading.sources.every((s) => s.leg === null)) {
    confidence = Math.min(confidence, 0.75);
    figures.legs = "by their order";
  }
  if (!byName && !Number.isNaN(open) && Number.isFinite(lead)) figures.leadOverNext = round(lead);
  const evidence = signed ? signOfReading(build, role, reading) : null;
  const stated = reading.sources[0].stated;
  for (const [names, sources] of channelsOf(reading)) {
    const unit = unitOf(build, sources[0], unitLead, doubts);
    const own = [...doubts];
    let positive: Settled<1 | -1 | null> | null = null;
    if (evidence !== null) {
      positive = { value: evidence.value, confidence: evidence.confidence, figures: evidence.figures };
      if (evidence.doubt !== null) own.push({ about: "positive", why: evidence.doubt, options: [] });
    } else if (reading.sign === -1 || sources[0].turned) {
      positive = {
        value: -1,
        confidence: 0.85,
        figures: { belowZeroPct: pct(sources[0].shape.negativeShare) },
      };
    }
    if (role === "load" && reading.form === "legs" && sources[0].turned && !(open <= OPEN_WANTED))
      own.push({
        about: "positive",
        why: "It is below zero all the time, as by a clamp turned round, and the balance of powers doesn't show it",
        options: [],
      });
    if (unit.doubt !== null) own.push({ about: "unit", why: unit.doubt, options: [] });
    const other = role === "battery" ? "grid" : "battery";
    const orOther = !byName && signed && doubts.length > 0 && assigned[other].reading === null;
    build.choices.push({
      orElse: orOther ? (`${other}W` as NumericChannel) : null,
      channel: names,
      indices: sources.map((s) => s.indices[0]),
      confidence: round(confidence),
      figures,
      unit: unit.settled,
      energy: sources[0].energy,
      positive:
        positive !== null && stated !== null && positive.value === stated
          ? { ...positive, confidence: Math.max(positive.confidence, 0.95) }
          : positive,
      doubts: own,
    });
    for (const s of sources) build.used.add(s.indices[0]);
    if (sources[0].make === "A" && sources[0].indices.length > 1)
      addVoltageOf(build, names, reading, sources[0], confidence);
  }
}

/** Columns that another way to read a power takes, where it isn't those that are taken. */
function differing(reading: PowerReading, other: PowerReading | null, mine: readonly number[]): number[] {
  const theirs = other?.sources.map((s) => s.indices[0]) ?? [];
  if (reading.sources.length === theirs.length && theirs.every((i) => mine.includes(i))) return [];
  return theirs.length === 0 ? [...mine] : theirs;
}

/** The other half of a one-way column, where it can't be its pair since it counts below zero. */
function lostHalf({ all }: Build, role: PowerRole, reading: PowerReading): number | null {
  const [own] = reading.sources;
  if (reading.form !== "one" || own.part === null) return null;
  const other = all.find(
    (s) =>
      s.part !== null &&
      s.part !== own.part &&
      s.make === own.make &&
      s.energy === null &&
      (s.roles[role] ?? -9) >= -0.6 &&
      (s.shape.negativeShare > 0.02 || own.shape.negativeShare > 0.02),
  );
  return other?.indices[0] ?? null;
}

/** Legs beside the load's that are at rest while those aren't, and the other way round: an inverter's and a bypass's. */
function takesTurns({ all }: Build, reading: PowerReading): number[] | null {
  if (reading.form !== "legs" || reading.sources[0].make !== "W") return null;
  const mine = new Set(reading.sources.map((s) => s.indices[0]));
  const rest = all.filter(
    (s) =>
      s.leg !== null && s.make === "W" && s.energy === null && s.roles.load === 0 && !mine.has(s.indices[0]),
  );
  const one = rest.find((s) => s.leg === "L1");
  const two = rest.find((s) => s.leg === "L2" && s.unit === one?.unit);
  if (one === undefined || two === undefined) return null;
  const other = one.values.map((v, i) => v + two.values[i]);
  const turns = stillWhile(reading.values, other) > 0.005 && stillWhile(other, reading.values) > 0.005;
  return turns ? [one.indices[0], two.indices[0]] : null;
}

/** Without another way to read it the lead has no end. */
function confidenceOfLead(lead: number): number {
  const ahead = Math.max(0, lead);
  return ahead === Number.POSITIVE_INFINITY ? 0.99 : Math.min(0.99, ahead / (ahead + 1.3));
}

/** The channels that a reading fills, each with its column or its two one-way columns. */
function channelsOf(reading: PowerReading): [NumericChannel, PowerSource[]][] {
  const { role, form, sources } = reading;
  const quantity = sources[0].make === "A" ? "A" : sources[0].make === "VA" ? "Va" : "W";
  const name = (rest: string) => rest as NumericChannel;
  if (form === "pair") return [[name(`${role}${quantity}`), [...sources]]];
  if (form === "legs") {
    return sources.map((s, i) => [name(`${role}L${i + 1}${quantity}`), [s]]);
  }
  if (form === "strings") {
    return sources.map((s, i) => [name(`solar${s.number ?? i + 1}W`), [s]]);
  }
  const [s] = sources;
  if (role === "load" || role === "grid")
    return [[name(s.leg === null ? `${role}W` : `${role}${s.leg}${quantity}`), [s]]];
  if (role === "solar")
    return [[name(s.number !== null && s.number <= 4 && s.named ? `solar${s.number}W` : "solarW"), [s]]];
  return [[name(`battery${quantity}`), [s]]];
}

/** The voltage that goes with a current: legs take theirs in order. */
function addVoltageOf(
  build: Build,
  channel: NumericChannel,
  reading: PowerReading,
  source: PowerSource,
  confidence: number,
): void {
  if (channel === "batteryA") {
    addSimple(build, "batteryV", columnOf(build, source.indices[1]), Math.max(0.8, confidence), {
      with: "current",
    });
    return;
  }
  const leg = /L[12]/.exec(channel)?.[0];
  if (leg === undefined || reading.role !== "load") return;
  const used = reading.sources.map((s) => s.indices[1]).filter((i) => i !== undefined);
  const own = [...new Set(used)].map((i) => columnOf(build, i)).sort((a, b) => a.index - b.index);
  const named = own.find((c) => c.name.leg === leg);
  const legs =
    named !== undefined
      ? [named]
      : build.voltages.legs.length >= 2
        ? [...build.voltages.legs].sort((a, b) => a.index - b.index)
        : own;
  const voltage = named ?? legs[leg === "L1" ? 0 : 1];
  if (voltage !== undefined)
    addSimple(build, `load${leg}V` as NumericChannel, voltage, confidence, { with: "current" });
}

function signOfReading(
  build: Build,
  role: "battery" | "grid",
  reading: PowerReading,
): Settled<1 | -1 | null> & { doubt: string | null } {
  const { powers, link } = build;
  const first = reading.sources[0];
  const linked = role === "battery" ? link(reading.values) : Number.NaN;
  const evidence = signEvidence(powers, role, linked);
  // What the evidence says of the column itself, not of the reading.
  const shown = evidence.sign === null ? null : ((evidence.sign * reading.sign) as 1 | -1);
  const told =
    reading.form === "pair"
      ? pairSign(reading)
      : first.part !== null
        ? first.part === "plus"
          ? 1
          : -1
        : first.stated;
  const figures = evidence.figures;
  if (told !== null && shown !== null && told !== shown) {
    return {
      value: null,
      confidence: 0,
      figures,
      doubt: "The name says one direction and the balance of powers says the other",
    };
  }
  if (shown !== null)
    return {
      value: shown,
      confidence: told !== null ? Math.max(0.95, evidence.confidence) : evidence.confidence,
      figures,
      doubt: null,
    };
  if (told !== null) return { value: told, confidence: 0.85, figures, doubt: null };
  return {
    value: null,
    confidence: 0,
    figures,
    doubt: "The rows looked at don't show which way it counts up",
  };
}

function pairSign(reading: PowerReading): 1 | -1 | null {
  const [a, b] = reading.sources;
  if (a.part !== null) return a.part === "plus" ? 1 : -1;
  if (b.part !== null) return b.part === "minus" ? 1 : -1;
  return null;
}

function unitOf(
  build: Build,
  source: PowerSource,
  unitLead: number,
  doubts: readonly unknown[],
): { settled: Settled<Unit | null>; doubt: string | null } {
  const column = columnOf(build, source.indices[0]);
  const header = column.name.unit;
  if (header === source.unit)
    return {
      settled: { value: source.unit, confidence: 0.95, figures: { header: source.unit } },
      doubt: null,
    };
  if (column.name.canonical !== null)
    return {
      settled: { value: source.unit, confidence: 0.95, figures: { header: column.name.canonical } },
      doubt: null,
    };
  const figures: Record<string, number | string> = {
    min: round(column.shape.low),
    max: round(column.shape.size),
  };
  if (Number.isFinite(unitLead)) figures.leadOverNext = round(unitLead);
  if (header !== null) {
    const figuresOfBoth = { ...figures, header };
    return unitLead >= 6
      ? { settled: { value: source.unit, confidence: 0.8, figures: figuresOfBoth }, doubt: null }
      : {
          settled: { value: null, confidence: 0, figures: figuresOfBoth },
          doubt: `The name says ${header}, and by its size and the balance of powers it is ${source.unit}`,
        };
  }
  if (unitLead < 1.2 && doubts.length === 0) {
    return {
      settled: { value: null, confidence: 0, figures },
      doubt: "The name says no unit, and the figures don't show it",
    };
  }
  return {
    settled: { value: source.unit, confidence: Math.min(0.95, 0.7 + unitLead / 20), figures },
    doubt: null,
  };
}

/** Currents and totals without a telling name, by the columns that they go with. */
function addLinked(build: Build, links: ColumnLinks): void {
  for (const { power, current, voltage, open } of links.products) {
    if (build.used.has(current)) continue;
    const of = build.choices.find((c) => c.indices.length === 1 && c.indices[0] === power);
    if (of === undefined || !/^(loadL[12]|gridL[12]|battery)W$/.test(of.channel)) continue;
    const column = columnOf(build, current);
    if (column.name.telling && column.name.quantity !== null && column.name.quantity !== "A") continue;
    const channel = of.channel.replace(/W$/, "A") as NumericChannel;
    if (has(build, channel)) continue;
    const same = followsSign(column.facts.values, columnOf(build, power).facts.values);
    const positive =
      signOf(channel) === null
        ? null
        : {
            value: of.positive?.value == null ? null : ((of.positive.value * same) as 1 | -1),
            confidence: of.positive?.confidence ?? 0,
            figures: {},
          };
    build.choices.push({
      orElse: null,
      channel,
      indices: [current],
      confidence: 0.8,
      figures: { timesVoltageOpenPct: pct(open) },
      unit: { value: "A", confidence: 0.85, figures: {} },
      energy: null,
      positive,
      doubts: [],
    });
    build.used.add(current);
    const volts = columnOf(build, voltage);
    if (channel === "batteryA") addSimple(build, "batteryV", volts, 0.85, { timesCurrentOpenPct: pct(open) });
  }
  for (const { total, parts, open } of links.sums) {
    if (build.used.has(total) || has(build, "loadW")) continue;
    const [a, b] = parts.map((p) => build.choices.find((c) => c.indices[0] === p));
    if (a === undefined || b === undefined) continue;
    if (
      new Set([a.channel, b.channel]).size !== 2 ||
      !/^loadL[12]W$/.test(a.channel) ||
      !/^loadL[12]W$/.test(b.channel)
    )
      continue;
    build.choices.push({
      ...a,
      channel: "loadW",
      indices: [total],
      confidence: 0.85,
      figures: { sumOfLegsOpenPct: pct(open) },
      doubts: [],
    });
    build.used.add(total);
  }
}

/** Columns whose name says a channel that the balance didn't need: a total beside legs, amperes beside watts. */
function addNamedExtras(build: Build): void {
  const { all, assigned } = build;
  const named = all.filter((s) => s.named && !build.used.has(s.indices[0]));
  for (const s of named) {
    if (build.used.has(s.indices[0])) continue;
    const roles = Object.entries(s.roles).sort((a, b) => b[1] - a[1]) as [PowerRole, number][];
    const role = roles[0]?.[0];
    if (role === undefined || roles[0][1] < (s.make === "VA" ? -3.6 : -0.6)) continue;
    const channel = extraChannel(role, s);
    if (channel === null || has(build, channel)) continue;
    const column = columnOf(build, s.indices[0]);
    const main = assigned[role].reading;
    // A half beside the whole, or energy beside power, says nothing more.
    if (main !== null && (s.part !== null || s.energy !== null)) continue;
    const doubts: ChannelChoice["doubts"][number][] = [];
    let positive: ChannelChoice["positive"] = null;
    if (signOf(channel) !== null && (role === "battery" || role === "grid")) {
      const directed = s.part !== null ? (s.part === "plus" ? 1 : -1) : s.stated;
      const r = main === null ? 0 : correlation(s.values, main.values);
      const unsigned = s.shape.negativeShare < 0.005 && (channel === "gridL1A" || channel === "gridL2A");
      const value = directed ?? (Math.abs(r) > 0.6 ? (r > 0 ? 1 : -1) : unsigned ? 1 : null);
      positive = {
        value,
        confidence: directed !== null ? 0.85 : Math.abs(r),
        figures: { correlation: round(r) },
      };
      if (value === null)
        doubts.push({
          about: "positive",
          why: "The rows looked at don't show which way it counts up",
          options: [],
        });
    }
    if (channel === "loadW" && main !== null && main.form === "legs" && main.sources[0].make === "W") {
      const disagrees = disagreement(main.values, s.values);
      // A name that says less than load and figures that say otherwise: it is something else.
      if (disagrees !== null && roles[0][1] < -0.3) continue;
      if (disagrees !== null)
        doubts.push({
          about: "column",
          why: `It is named a load, and is ${disagrees} the sum of the legs`,
          options: [s.indices[0]],
        });
    }
    if (role === "load" && s.leg !== null && s.make === "W" && main !== null && main.form === "one") {
      const partner = all.find(
        (o) => o.leg !== null && o.leg !== s.leg && o.make === "W" && o.energy === null,
      );
      const disagrees =
        partner === undefined || main.sources[0].make !== "W"
          ? null
          : disagreement(
              main.values,
              s.values.map((v, i) => v + partner.values[i]),
            );
      if (disagrees !== null)
        doubts.push({
          about: "column",
          why: `The sum of the legs is ${disagrees} "load"`,
          options: [s.indices[0], main.sources[0].indices[0]],
        });
    }
    const same = all.filter((o) => o.indices[0] === s.indices[0]);
    const best = same.reduce((x, y) => (y.unitWeight > x.unitWeight ? y : x));
    const second = same
      .filter((o) => o.unit !== best.unit)
      .reduce((x, y) => Math.max(x, y.unitWeight), Number.NEGATIVE_INFINITY);
    const unit = unitOf(build, best, best.unitWeight - second, []);
    if (unit.doubt !== null) doubts.push({ about: "unit", why: unit.doubt, options: [] });
    build.choices.push({
      orElse: null,
      channel,
      indices: [s.indices[0]],
      confidence: 0.88,
      figures: { min: column.facts.min, max: column.facts.max },
      unit: unit.settled,
      energy: s.energy,
      positive,
      doubts,
    });
    build.used.add(s.indices[0]);
  }
}

function extraChannel(role: PowerRole, s: PowerSource): NumericChannel | null {
  const quantity = s.make === "A" ? "A" : s.make === "VA" ? "Va" : "W";
  if (role === "solar")
    return quantity !== "W"
      ? null
      : s.number !== null && s.number <= 4
        ? (`solar${s.number}W` as NumericChannel)
        : "solarW";
  if (role === "battery") return quantity === "Va" ? null : (`battery${quantity}` as NumericChannel);
  if (s.leg === null) return quantity === "W" ? (`${role}W` as NumericChannel) : null;
  return role === "grid" && quantity === "Va" ? null : (`${role}${s.leg}${quantity}` as NumericChannel);
}

function addVoltages(build: Build): void {
  const { voltages } = build;
  const load = build.assigned.load.reading;
  const open = voltages.legs.filter((c) => !build.used.has(c.index));
  const named = open.filter((c) => c.name.leg !== null);
  for (const c of named) addSimple(build, `load${c.name.leg}V` as NumericChannel, c, 0.9, {});
  const nameless = open.filter((c) => c.name.leg === null && !c.name.concepts.has("grid"));
  if (nameless.length === 2 && !has(build, "loadL1V") && !has(build, "loadL2V") && load !== null) {
    addSimple(build, "loadL1V", nameless[0], 0.75, { order: "first" });
    addSimple(build, "loadL2V", nameless[1], 0.75, { order: "second" });
  }
  const [pack] = [...voltages.packs].sort(
    (a, b) => Number(b.name.concepts.has("battery")) - Number(a.name.concepts.has("battery")),
  );
  if (pack !== undefined && !build.used.has(pack.index)) {
    const told =
      pack.name.concepts.has("battery") || pack.name.concepts.has("dc") || pack.name.canonical !== null;
    // A band that a pack has may be another thing's, unless it falls as the pack gives.
    const r =
      build.powers.battery === null ? Number.NaN : correlation(pack.facts.values, build.powers.battery);
    if (told || (voltages.packs.length === 1 && r < -0.85)) {
      addSimple(
        build,
        "batteryV",
        pack,
        told ? 0.9 : 0.75,
        Number.isNaN(r) ? {} : { correlationWithDischarge: round(r) },
      );
    }
  }
  const [grid] = [...voltages.grid].sort(
    (a, b) => Number(b.name.concepts.has("grid")) - Number(a.name.concepts.has("grid")),
  );
  if (grid !== undefined && (grid.name.concepts.has("grid") || grid.name.canonical !== null))
    addSimple(build, "gridV", grid, 0.88, {});
  const [frequency] = voltages.frequencies;
  if (frequency !== undefined)
    addSimple(build, "frequencyHz", frequency, frequency.name.quantity === "Hz" ? 0.9 : 0.75, {});
}

function addCharge(
  build: Build,
  named: readonly SniffColumn[],
  slow: readonly SniffColumn[],
  timesMs: Float64Array,
): void {
  const { battery } = build.powers;
  const scored = (named.length > 0 ? named : slow.filter((c) => !build.used.has(c.index)))
    .map((column) => ({
      column,
      r: battery === null ? Number.NaN : chargeLink(battery, column.facts.values, timesMs).correlation,
    }))
    .sort((a, b) => (b.r || 0) - (a.r || 0));
  if (named.length > 0) {
    const inPct = scored.filter(
      ({ column }) => column.shape.size > 1.01 || column.shape.size === 0 || column.name.unit === "%",
    );
    const [best] = inPct;
    if (best === undefined) {
      addShare(build, scored);
      return;
    }
    const figures: Record<string, number> = Number.isNaN(best.r) ? {} : { socCorrelation: round(best.r) };
    addSimple(build, "batterySocPct", best.column, 0.93, {
      ...figures,
      min: best.column.facts.min,
      max: best.column.facts.max,
    });
    return;
  }
  const [best, second] = scored;
  if (best === undefined || !(best.r > 0.8) || (second !== undefined && second.r > best.r - 0.1)) return;
  addSimple(build, "batterySocPct", best.column, Math.min(0.9, best.r), { socCorrelation: round(best.r) });
}

/** A share of 0 to 1 goes with what the battery gives and takes at least so well. */
const SHARE_CORRELATION = 0.6;

/**
 * A state of charge that never leaves 0 to 1: a share, where the battery's power shows that it moves as one does.
 * Otherwise it could as well be a battery that is empty all the time, and is asked about.
 */
function addShare(build: Build, scored: readonly { column: SniffColumn; r: number }[]): void {
  const [best] = scored.filter(({ column: { facts } }) => facts.min >= 0 && facts.max <= 1);
  if (best === undefined || has(build, "batterySocPct") || build.used.has(best.column.index)) return;
  const { column, r } = best;
  const { min, max, decimals } = column.facts;
  const isShare = r >= SHARE_CORRELATION && decimals >= 2;
  build.choices.push({
    orElse: null,
    channel: "batterySocPct",
    indices: [column.index],
    confidence: 0.9,
    figures: Number.isNaN(r) ? {} : { socCorrelation: round(r) },
    unit: {
      value: isShare ? "share" : null,
      confidence: isShare ? round(Math.min(0.95, r)) : 0,
      figures: { min, max, ...(Number.isNaN(r) ? {} : { socCorrelation: round(r) }) },
    },
    energy: null,
    positive: null,
    doubts: isShare
      ? []
      : [
          {
            about: "unit",
            why: "From 0 to 1 it can be a share or percent, and no battery power shows which",
            options: [],
          },
        ],
  });
  build.used.add(column.index);
}

/** Temperature and peaks, by name only. */
function addPlain(build: Build): void {
  for (const column of build.columns) {
    const { name, facts } = column;
    if (build.used.has(column.index) || facts.numeric < 0.9 || facts.present === 0) continue;
    const { concepts, canonical } = name;
    if (canonical === "inverterTempC" || canonical === "loadL1PeakW" || canonical === "loadL2PeakW") {
      addSimple(build, canonical, column, 0.99, {});
      continue;
    }
    if (canonical !== null) continue;
    if (
      concepts.has("peak") &&
      name.leg !== null &&
      (name.quantity === "W" || name.quantity === null) &&
      !concepts.has("grid") &&
      !concepts.has("solar") &&
      !concepts.has("battery")
    ) {
      addSimple(build, `load${name.leg}PeakW` as NumericChannel, column, 0.85, {});
    }
    const elsewhere = ["elsewhere", "battery", "solar", "grid", "limit", "aside", "peak"] as const;
    if (!name.known && !concepts.has("inverter")) continue;
    if (
      name.quantity === "C" &&
      (concepts.has("temperature") || concepts.has("inverter")) &&
      !elsewhere.some((c) => concepts.has(c))
    ) {
      addSimple(build, "inverterTempC", column, 0.8, {});
    }
  }
}

function has(build: Build, channel: NumericChannel): boolean {
  return build.choices.some((c) => c.channel === channel);
}

function addSimple(
  build: Build,
  channel: NumericChannel,
  column: SniffColumn,
  confidence: number,
  figures: Figures,
): void {
  if (has(build, channel) || build.used.has(column.index)) return;
  const stated =
    column.name.unit !== null && unitsOf(channel).includes(column.name.unit) ? column.name.unit : null;
  const sniffed = stated === null ? sniffUnit(channel, column.facts, []) : null;
  const unit = stated ?? sniffed?.unit ?? null;
  build.choices.push({
    orElse: null,
    channel,
    indices: [column.index],
    confidence: round(confidence),
    figures,
    unit: {
      value: unit,
      confidence: stated !== null ? 0.95 : (sniffed?.confidence ?? 0),
      figures: stated !== null ? { header: stated } : { min: column.facts.min, max: column.facts.max },
    },
    energy: null,
    positive: null,
    doubts:
      unit === null
        ? [{ about: "unit", why: "The name says no unit, and the figures don't show it", options: [] }]
        : [],
  });
  build.used.add(column.index);
}

function followsSign(a: Float64Array, b: Float64Array): 1 | -1 {
  return correlation(a, b) < 0 ? -1 : 1;
}

function correlation(a: Float64Array, b: Float64Array): number {
  let n = 0;
  let ma = 0;
  let mb = 0;
  for (let i = 0; i < a.length; i++) {
    if (Number.isNaN(a[i]) || Number.isNaN(b[i])) continue;
    n++;
    ma += a[i];
    mb += b[i];
  }
  ma /= n;
  mb /= n;
  let ab = 0;
  let aa = 0;
  let bb = 0;
  for (let i = 0; i < a.length; i++) {
    if (Number.isNaN(a[i]) || Number.isNaN(b[i])) continue;
    ab += (a[i] - ma) * (b[i] - mb);
    aa += (a[i] - ma) ** 2;
    bb += (b[i] - mb) ** 2;
  }
  return aa === 0 || bb === 0 ? 0 : ab / Math.sqrt(aa * bb);
}

/** How far a total and the sum of its legs may lie apart, and in how many rows one may be still and the other not. */
const TOTAL_APART = 0.05;
const TOTAL_STILL = 0.01;

/** How a total disagrees with what it should be, in words that go before "the sum of the legs"; null where it doesn't. */
function disagreement(sum: Float64Array, total: Float64Array): string | null {
  const off = apart(sum, total);
  if (off > TOTAL_APART) return `${pct(off)} % away from`;
  const still = stillWhile(total, sum);
  return still > TOTAL_STILL ? `0 in ${pct(still)} % of the rows, and so not` : null;
}

/** Part of the rows in which `a` is as good as 0 while `b` is of a usual size. */
function stillWhile(a: Float64Array, b: Float64Array): number {
  const sorted = b
    .map(Math.abs)
    .filter((v) => v > 20)
    .sort();
  const usual = sorted[sorted.length >> 1] ?? Number.NaN;
  let still = 0;
  let rows = 0;
  for (let i = 0; i < a.length; i++) {
    if (Number.isNaN(a[i]) || Number.isNaN(b[i])) continue;
    rows++;
    if (Math.abs(a[i]) < 0.02 * usual && Math.abs(b[i]) > 0.2 * usual) still++;
  }
  return rows === 0 ? 0 : still / rows;
}

/** Mean distance of two powers over the size of the first. */
function apart(a: Float64Array, b: Float64Array): number {
  let distance = 0;
  let size = 0;
  for (let i = 0; i < a.length; i++) {
    const d = Math.abs(a[i] - b[i]);
    if (Number.isNaN(d)) continue;
    distance += d;
    size += Math.abs(a[i]);
  }
  return size === 0 ? 0 : distance / size;
}

function least({ sources }: PowerReading): number {
  return round(Math.min(...sources.map((s) => s.shape.low)));
}

function greatest({ sources }: PowerReading): number {
  return round(Math.max(...sources.map((s) => s.shape.size)));
}

function pct(share: number): number {
  return Math.round(share * 1000) / 10;
}

function round(value: number): number {
  return Math.round(value * 1000) / 1000;
}
