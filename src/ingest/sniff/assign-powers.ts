import { balanceFit } from "./balance-fit";
import type { PowerRole, PowerSource } from "./power-sources";

/** One way to read a power of the site: from one column, two legs, several strings or two one-way columns. */
export type PowerReading = {
  readonly role: PowerRole;
  readonly form: "one" | "legs" | "strings" | "pair";
  /** In order: L1 and L2; strings by number; plus and minus. */
  readonly sources: readonly PowerSource[];
  /** Which way the columns count up: 1 the canonical way. */
  readonly sign: 1 | -1;
  /** In W, in the canonical sign. */
  readonly values: Float64Array;
  readonly weight: number;
};

/** The likeliest reading of each power, and how far behind the next one is that gives other results. */
export type AssignedPowers = {
  readonly [R in PowerRole]: {
    readonly reading: PowerReading | null;
    /** Lead of the chosen columns over other columns, or none, in nats. */
    readonly lead: number;
    /** Lead of the chosen unit over another one; infinite where there was one only. */
    readonly unitLead: number;
    /** The reading that comes next, of other columns; null for none at all. */
    readonly next: PowerReading | null;
  };
} & {
  /** Part of the turnover that the balance leaves open (`balanceFit`); NaN with fewer than two powers. */
  readonly open: number;
  /** The same over the three quarters of the rows that close best: small where only a power of some hours is missing. */
  readonly openOfMost: number;
  readonly tried: number;
};

/** Weight of the balance: in nats for each factor e by which the open part shrinks. */
const BALANCE_WEIGHT = 15;
const OPEN_FLOOR = 0.015;
/** Weight of the rows that close by themselves: a power may be missing in the others. */
const CLOSED_WEIGHT = 10;
const MOST_BALANCE = BALANCE_WEIGHT * Math.log((1 + OPEN_FLOOR) / OPEN_FLOOR) + CLOSED_WEIGHT;
/** Ways that are further behind than this don't count as alternatives. */
const LEAD_LOOKED_AT = 15;
/** A balance that a few rows show to be wider open than this is not looked at more closely. */
const ROUGHLY = 0.35;
/** Rows times ways to read: what a search may cost. */
const BUDGET = 3_000_000;
const MAX_READINGS = { load: 40, solar: 16, battery: 40, grid: 40 } as const;

/**
 * Searches the ways to read columns as load, sun, battery and grid for the one in which they balance best
 * (sun + battery + grid is the load and small losses), with what names and shapes say as weights. `known.link` gives
 * how a signed power goes with the state of charge (`chargeLink`), NaN where nothing shows it. `conflicts` are pairs of
 * columns, as "1 2", that would balance against each other for another reason; `summed` are pairs of columns of which
 * the log has the sum; `spanMs` is how long the rows go on.
 */
export function assignPowers(
  sources: readonly PowerSource[],
  known: {
    readonly link: (values: Float64Array) => number;
    readonly conflicts: ReadonlySet<string>;
    readonly summed: ReadonlySet<string>;
    readonly spanMs: number;
  },
): AssignedPowers {
  const { link, conflicts, summed, spanMs } = known;
  const readings = {
    load: limited(loadReadings(sources, summed), "load"),
    solar: limited(solarReadings(sources), "solar"),
    battery: limited(signedReadings(sources, spanMs, "battery", link), "battery"),
    grid: limited(signedReadings(sources, spanMs, "grid", null), "grid"),
  };
  const length = sources[0]?.values.length ?? 0;
  const options = {
    load: withNone(readings.load),
    solar: withNone(readings.solar),
    battery: withNone(readings.battery),
    grid: withNone(readings.grid),
  };
  const combinations =
    options.load.length * options.solar.length * options.battery.length * options.grid.length;
  const count = Math.max(64, Math.min(1200, Math.floor(BUDGET / combinations)));
  const rows = tellingRows(length, count, [
    ...readings.load,
    ...readings.solar,
    ...readings.battery,
    ...readings.grid,
  ]);
  const pick = (v: Float64Array) => Float64Array.from(rows, (i) => v[i]);
  const n = rows.length;
  const zero = new Float64Array(n);
  const columns = (list: readonly (PowerReading | null)[]) =>
    list.map((r) => (r === null ? zero : pick(r.values)));
  const values = {
    load: columns(options.load),
    solar: columns(options.solar),
    battery: columns(options.battery),
    grid: columns(options.grid),
  };
  const none = {
    load: noneWeight(sources, "load"),
    solar: noneWeight(sources, "solar"),
    battery: noneWeight(sources, "battery"),
    grid: noneWeight(sources, "grid"),
  };
  const weights = (role: PowerRole) => options[role].map((r) => (r === null ? none[role] : r.weight));
  const [wL, wS, wB, wG] = [weights("load"), weights("solar"), weights("battery"), weights("grid")];
  const best = {
    load: new Float64Array(options.load.length).fill(Number.NEGATIVE_INFINITY),
    solar: new Float64Array(options.solar.length).fill(Number.NEGATIVE_INFINITY),
    battery: new Float64Array(options.battery.length).fill(Number.NEGATIVE_INFINITY),
    grid: new Float64Array(options.grid.length).fill(Number.NEGATIVE_INFINITY),
  };
  // The sun doesn't follow the load: what steps with it is no sun. A name that says so weighs more.
  const follows = options.load.map((load) =>
    options.solar.map((sun) =>
      load === null || sun === null || sun.sources.every((s) => s.named)
        ? 0
        : 4 * Math.max(0, stepLink(load.values, sun.values) - 0.1),
    ),
  );
  const clashesOf = (a: readonly (PowerReading | null)[], b: readonly (PowerReading | null)[]) =>
    a.map((x) => b.map((y) => x !== null && y !== null && clash(x, y, conflicts)));
  const clashes = {
    loadSolar: clashesOf(options.load, options.solar),
    loadBattery: clashesOf(options.load, options.battery),
    loadGrid: clashesOf(options.load, options.grid),
    solarBattery: clashesOf(options.solar, options.battery),
    solarGrid: clashesOf(options.solar, options.grid),
    batteryGrid: clashesOf(options.battery, options.grid),
  };
  let top = Number.NEGATIVE_INFINITY;
  let chosen = [0, 0, 0, 0];
  let topOpen = Number.NaN;
  let tried = 0;
  const given = new Float64Array(n);
  const turnover = new Float64Array(n);
  for (let l = 0; l < options.load.length; l++) {
    for (let s = 0; s < options.solar.length; s++) {
      if (clashes.loadSolar[l][s]) continue;
      for (let b = 0; b < options.battery.length; b++) {
        if (clashes.loadBattery[l][b] || clashes.solarBattery[s][b]) continue;
        for (let g = 0; g < options.grid.length; g++) {
          if (clashes.loadGrid[l][g] || clashes.solarGrid[s][g] || clashes.batteryGrid[b][g]) continue;
          const weight = wL[l] + wS[s] + wB[b] + wG[g] - follows[l][s];
          if (weight + MOST_BALANCE < top - LEAD_LOOKED_AT) continue;
          tried++;
          let open = Number.NaN;
          let closed = 0;
          const alone = options.solar[s] === null && options.battery[b] === null && options.grid[g] === null;
          if (options.load[l] !== null && !alone) {
            const L = values.load[l];
            const S = values.solar[s];
            const B = values.battery[b];
            const G = values.grid[g];
            open = roughlyOpen(L, S, B, G);
            if (open < ROUGHLY) {
              for (let i = 0; i < n; i++) {
                const sun = S[i] > 0 || Number.isNaN(S[i]) ? S[i] : 0;
                given[i] = sun + B[i] + G[i];
                turnover[i] = Math.max(Math.abs(L[i]), sun, Math.abs(B[i]), Math.abs(G[i]));
              }
              const fit = balanceFit(given, L, turnover);
              open = fit.open;
              closed = fit.closed;
            }
          }
          const balance = Number.isNaN(open)
            ? 0
            : -BALANCE_WEIGHT * Math.log((open + OPEN_FLOOR) / (1 + OPEN_FLOOR));
          const score = balance + CLOSED_WEIGHT * closed + weight;
          if (score > best.load[l]) best.load[l] = score;
          if (score > best.solar[s]) best.solar[s] = score;
          if (score > best.battery[b]) best.battery[b] = score;
          if (score > best.grid[g]) best.grid[g] = score;
          if (score > top) {
            top = score;
            chosen = [l, s, b, g];
            topOpen = open;
          }
        }
      }
    }
  }
  const assigned = (role: PowerRole, at: number) => {
    const reading = options[role][at];
    let lead = Number.POSITIVE_INFINITY;
    let unitLead = Number.POSITIVE_INFINITY;
    let next: PowerReading | null = null;
    for (let k = 0; k < options[role].length; k++) {
      const other = options[role][k];
      const behind = top - best[role][k];
      if (k === at) continue;
      if (!sameColumns(reading, other)) {
        // A total beside its legs, or a column there twice, gives the same results.
        if (
          reading !== null &&
          other !== null &&
          reading.sign === other.sign &&
          alike(
            values[role][at],
            values[role][k],
            reading.sources.length === other.sources.length ? 0.005 : 0.03,
          )
        )
          continue;
        if (behind < lead) {
          lead = behind;
          next = other;
        }
      } else if (reading !== null && other !== null && !sameUnits(reading, other) && behind < unitLead)
        unitLead = behind;
    }
    return { reading, lead, unitLead, next };
  };
  return {
    load: assigned("load", chosen[0]),
    solar: assigned("solar", chosen[1]),
    battery: assigned("battery", chosen[2]),
    grid: assigned("grid", chosen[3]),
    open: topOpen,
    openOfMost: openOfMost(
      values.load[chosen[0]],
      values.solar[chosen[1]],
      values.battery[chosen[2]],
      values.grid[chosen[3]],
    ),
    tried,
  };
}

/** Correlation of the steps from row to row of two columns. */
function stepLink(a: Float64Array, b: Float64Array): number {
  let ab = 0;
  let aa = 0;
  let bb = 0;
  for (let i = 1; i < a.length; i++) {
    const x = a[i] - a[i - 1];
    const y = b[i] - b[i - 1];
    if (Number.isNaN(x) || Number.isNaN(y)) continue;
    ab += x * y;
    aa += x * x;
    bb += y * y;
  }
  return aa === 0 || bb === 0 ? 0 : Math.abs(ab) / Math.sqrt(aa * bb);
}

function alike(a: Float64Array, b: Float64Array, share: number): boolean {
  let distance = 0;
  let size = 0;
  for (let i = 0; i < a.length; i++) {
    const d = Math.abs(a[i] - b[i]);
    if (Number.isNaN(d)) continue;
    distance += d;
    size += Math.abs(a[i]);
  }
  return distance <= share * size;
}

function openOfMost(
  load: Float64Array,
  solar: Float64Array,
  battery: Float64Array,
  grid: Float64Array,
): number {
  const given = load.map((_, i) => Math.max(0, solar[i]) + battery[i] + grid[i]);
  const turnover = load.map((l, i) =>
    Math.max(Math.abs(l), solar[i], Math.abs(battery[i]), Math.abs(grid[i])),
  );
  const off = (i: number) => Math.abs(given[i] - load[i]) / Math.max(1, turnover[i]);
  const rows = Array.from(load, (_, i) => i).filter((i) => !Number.isNaN(off(i)));
  rows.sort((a, b) => off(a) - off(b));
  return balanceFit(given, load, turnover, rows.slice(0, Math.ceil(0.75 * rows.length))).open;
}

function withNone(list: readonly PowerReading[]): (PowerReading | null)[] {
  return [...list, null];
}

/** A power that a name says must be there; one that nothing names may as well not be. */
function noneWeight(sources: readonly PowerSource[], role: PowerRole): number {
  const either = ({ roles }: PowerSource) => (roles.load ?? -9) >= -0.6 && (roles.grid ?? -9) >= -0.6;
  return sources.some((s) => s.named && s.energy === null && (s.roles[role] ?? -9) >= -0.6 && !either(s))
    ? -30
    : role === "load"
      ? -2
      : 0;
}

function limited(list: PowerReading[], role: PowerRole): PowerReading[] {
  return list.sort((a, b) => b.weight - a.weight).slice(0, MAX_READINGS[role]);
}

/** Rows evenly over the log, and those in which each column is greatest: a grid that is rarely used shows there. */
function tellingRows(length: number, count: number, readings: readonly PowerReading[]): number[] {
  if (length <= count) return Array.from({ length }, (_, i) => i);
  const rows = new Set<number>();
  const even = Math.ceil(count * 0.6);
  for (let k = 0; k < even; k++) rows.add(Math.floor((k * length) / even));
  const sources = new Set(readings.flatMap((r) => r.sources));
  const each = Math.max(2, Math.floor((count - even) / Math.max(1, sources.size)));
  for (const { values } of sources) {
    let greatest = 0;
    for (const v of values) if (Math.abs(v) > greatest) greatest = Math.abs(v);
    const large: number[] = [];
    for (let i = 0; i < length; i++) if (Math.abs(values[i]) > 0.3 * greatest) large.push(i);
    for (let k = 0; k < Math.min(each, large.length); k++)
      rows.add(large[Math.floor((k * large.length) / each)] ?? 0);
  }
  return [...rows].sort((a, b) => a - b);
}

/** What a balance leaves open over a few of the rows, any usual losses forgiven. */
function roughlyOpen(
  load: Float64Array,
  solar: Float64Array,
  battery: Float64Array,
  grid: Float64Array,
): number {
  const step = Math.max(1, Math.floor(load.length / 20));
  let open = 0;
  let all = 0;
  for (let i = 0; i < load.length; i += step) {
    const sun = solar[i] > 0 || Number.isNaN(solar[i]) ? solar[i] : 0;
    const turnover = Math.max(Math.abs(load[i]), sun, Math.abs(battery[i]), Math.abs(grid[i]));
    const off = sun + battery[i] + grid[i] - load[i];
    if (Number.isNaN(off)) continue;
    const wrong = off < 0 ? -off : Math.max(0, off - 100 - 0.12 * turnover);
    open += Math.min(wrong, turnover);
    all += turnover;
  }
  return all === 0 ? 0 : open / all;
}

function clash(one: PowerReading, other: PowerReading, conflicts: ReadonlySet<string>): boolean {
  for (const a of one.sources) {
    for (const b of other.sources) {
      if (a.indices[0] === b.indices[0]) return true;
      // A total closes against its own parts whatever they are.
      if (conflicts.has(`${a.indices[0]} ${b.indices[0]}`) && !(sure(one, a) && sure(other, b))) return true;
    }
  }
  return false;
}

function sure(of: PowerReading, source: PowerSource): boolean {
  return (source.roles[of.role] ?? -9) >= -0.6;
}

/** Same columns of powers and currents, legs or halves swapped or not; which voltage goes with a current changes little. */
function sameColumns(a: PowerReading | null, b: PowerReading | null): boolean {
  if (a === null || b === null) return a === b;
  const columns = (r: PowerReading) =>
    r.sources
      .map((s) => s.indices[0])
      .sort((x, y) => x - y)
      .join();
  return columns(a) === columns(b);
}

function sameUnits(a: PowerReading, b: PowerReading): boolean {
  const units = (r: PowerReading) =>
    r.sources
      .map((s) => `${s.indices[0]} ${s.unit}`)
      .sort()
      .join();
  return units(a) === units(b);
}

function reading(
  role: PowerRole,
  form: PowerReading["form"],
  sources: readonly PowerSource[],
  sign: 1 | -1,
  extra: number,
): PowerReading {
  const length = sources[0].values.length;
  const values = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    let v = sources[0].values[i];
    for (let k = 1; k < sources.length; k++) {
      const other = sources[k].values[i];
      if (form !== "pair") v += other;
      // Some logs leave the idle half empty.
      else if (Number.isNaN(v)) v = -other;
      else if (!Number.isNaN(other)) v -= other;
    }
    values[i] = sign * v;
  }
  let weight = extra;
  for (const s of sources) {
    weight += (s.roles[role] ?? -9) + s.unitWeight;
    if (s.energy !== null) weight -= 3;
    // A column more that is explained.
    if (!s.named) weight += 0.8;
  }
  return { role, form, sources, sign, values, weight };
}

function couldBe(sources: readonly PowerSource[], role: PowerRole): PowerSource[] {
  return sources.filter((s) => s.roles[role] !== undefined);
}

function loadReadings(sources: readonly PowerSource[], summed: ReadonlySet<string>): PowerReading[] {
  const out: PowerReading[] = [];
  const all = couldBe(sources, "load");
  // Apparent power is more than what the load takes: it stands for it only where nothing else does.
  const real = all.some((s) => s.make !== "VA" && s.named && s.energy === null);
  const can = real ? all.filter((s) => s.make !== "VA") : all;
  const shapeOf = (s: PowerSource) =>
    (s.shape.negativeShare > 0.03 ? -6 * Math.min(1, s.shape.negativeShare * 3) : 0) +
    (!s.named && s.shape.positiveShare < 0.9 ? (s.shape.zeroShare > 0.25 ? -7 : -3) : 0) +
    (!s.named && s.shape.sunny === 1 ? -2 : 0);
  for (const a of can) {
    const turned = a.shape.negativeShare > 0.9;
    // A current, or volts times amperes, is a channel of one leg only.
    const alone =
      a.leg === null
        ? a.make === "W"
        : !can.some((b) => b.leg !== null && b.leg !== a.leg && b.make === a.make);
    if (alone) {
      out.push(
        reading("load", "one", [a], turned ? -1 : 1, turned ? -1 : shapeOf(a) - (a.leg === null ? 0 : 1)),
      );
    }
    for (const b of can) {
      if (a === b || a.make !== b.make || a.energy !== b.energy || a.unit !== b.unit) continue;
      if (shares(a, b)) continue;
      const legs = a.leg === "L1" && b.leg === "L2";
      const nameless =
        a.leg === null && b.leg === null && !a.named && !b.named && a.indices[0] < b.indices[0];
      if (!legs && !nameless) continue;
      const flip = turned && b.shape.negativeShare > 0.9;
      const together = summed.has(`${a.indices[0]} ${b.indices[0]}`) ? 3 : 0;
      // One clamp of two turned round: each leg has its own sign.
      const clamp = !flip && legs && a.named && b.named;
      const one = clamp ? turnedLeg(a) : a;
      const two = clamp ? turnedLeg(b) : b;
      const shapes = (s: PowerSource) => (s.turned ? -1 : shapeOf(s));
      out.push(
        reading(
          "load",
          "legs",
          [one, two],
          flip ? -1 : 1,
          together + (flip ? -1 : shapes(one) + shapes(two) + (legs ? 1 : -0.5)),
        ),
      );
    }
  }
  return out;
}

function turnedLeg(s: PowerSource): PowerSource {
  return s.shape.negativeShare > 0.9 ? { ...s, turned: true, values: s.values.map((v) => -v) } : s;
}

function shares(a: PowerSource, b: PowerSource): boolean {
  return a.indices[0] === b.indices[0];
}

function solarReadings(sources: readonly PowerSource[]): PowerReading[] {
  const out: PowerReading[] = [];
  const can = couldBe(sources, "solar").filter((s) => s.make === "W");
  const shapeOf = (s: PowerSource) => {
    const turned = s.shape.negativeShare > 0.2 && s.shape.positiveShare < 0.02;
    const below = turned ? 0 : s.shape.negativeShare > 0.05 ? -8 * Math.min(1, 2 * s.shape.negativeShare) : 0;
    return below + (turned ? -1 : s.named ? 0 : 5 * (s.shape.sunny - 0.5));
  };
  const signOf = (s: PowerSource): 1 | -1 =>
    s.shape.negativeShare > 0.2 && s.shape.positiveShare < 0.02 ? -1 : 1;
  const numbered = new Map<string, PowerSource[]>();
  for (const s of can) {
    const lone =
      s.number !== null &&
      s.number <= 4 &&
      can.some((o) => o !== s && o.number !== null && o.number !== s.number && o.unit === s.unit);
    out.push(reading("solar", "one", [s], signOf(s), shapeOf(s) - (lone && s.named ? 4 : 0)));
    if (s.number !== null && s.number <= 4) {
      const key = `${s.unit} ${s.energy} ${s.named}`;
      numbered.set(key, [...(numbered.get(key) ?? []), s]);
    }
    if (!s.named && s.shape.sunny === 1) {
      for (const o of can) {
        if (
          !o.named &&
          o.shape.sunny === 1 &&
          o.indices[0] > s.indices[0] &&
          o.unit === s.unit &&
          o.energy === s.energy
        ) {
          out.push(reading("solar", "strings", [s, o], 1, shapeOf(s) + shapeOf(o) - 3));
        }
      }
    }
  }
  for (const strings of numbered.values()) {
    const first = strings.filter((s, i) => strings.findIndex((o) => o.number === s.number) === i);
    if (first.length < 2) continue;
    first.sort((a, b) => (a.number ?? 0) - (b.number ?? 0));
    out.push(
      reading("solar", "strings", first, signOf(first[0]), first.reduce((w, s) => w + shapeOf(s), 0) + 1),
    );
  }
  return out;
}

/**
 * What the run of a power says for and against its being a battery's or a grid's where no name does: a battery gives
 * back what it takes, and can't do either for days; a grid is fed only while something is left over.
 */
function likelyFlow(role: "battery" | "grid", values: Float64Array, sign: 1 | -1, spanMs: number): number {
  let out = 0;
  let into = 0;
  let sum = 0;
  let least = 0;
  let most = 0;
  let zero = 0;
  let n = 0;
  let greatest = 0;
  for (const v of values) if (Math.abs(v) > greatest) greatest = Math.abs(v);
  for (const v of values) {
    if (Number.isNaN(v)) continue;
    n++;
    if (Math.abs(v) < 0.01 * greatest) zero++;
    if (v * sign > 0) out += v * sign;
    else into -= v * sign;
    sum += v;
    least = Math.min(least, sum);
    most = Math.max(most, sum);
  }
  const all = out + into;
  if (all === 0 || n === 0) return 0;
  const oneWay = Math.min(out, into) < 0.02 * all;
  if (role === "grid") {
    // Only given to, and nearly all the time: rather a load, or the charging half of a battery.
    if (oneWay && into > out) return zero < 0.3 * n && spanMs > 60_000_000 ? -5 : -1;
    return oneWay && zero > 0.6 * n ? 1.5 : 0;
  }
  const days = spanMs / 86_400_000;
  const drift = (most - least) / all;
  let weight = 0;
  if (oneWay && days > 0.8) weight -= 4;
  if (oneWay && zero > 0.6 * n) weight -= 2;
  if (days >= 1.7) weight += drift > 0.6 ? -4 : 0;
  return weight;
}

function signedReadings(
  sources: readonly PowerSource[],
  spanMs: number,
  role: "battery" | "grid",
  link: ((values: Float64Array) => number) | null,
): PowerReading[] {
  const out: PowerReading[] = [];
  const can = couldBe(sources, role).filter((s) => s.make !== "VA");
  const push = (form: PowerReading["form"], of: readonly PowerSource[], extra: number) => {
    const plain = reading(role, form, of, 1, extra);
    const nameless = of.every((s) => !s.named);
    const r = link === null || form === "legs" ? Number.NaN : link(plain.values);
    for (const sign of [1, -1] as const) {
      const s = of[0];
      let weight = plain.weight;
      if (!Number.isNaN(r)) weight += sign * Math.sign(r) * (6 * r * r + 60 * Math.max(0, Math.abs(r) - 0.9));
      if (form === "one" || form === "legs") {
        if (s.stated !== null) weight += s.stated === sign ? 3 : -3;
        if (s.part !== null) weight += (s.part === "plus") === (sign === 1) ? 4 : -4;
      } else if (form === "pair") {
        const told = s.part ?? (of[1].part === null ? null : of[1].part === "minus" ? "plus" : "minus");
        if (told !== null) weight += (told === "plus") === (sign === 1) ? 5 : -5;
      }
      if (nameless) weight += likelyFlow(role, plain.values, sign, spanMs);
      out.push({ ...plain, sign, weight, values: sign === 1 ? plain.values : plain.values.map((v) => -v) });
    }
  };
  const shapeOf = (s: PowerSource) => (!s.named && s.shape.sunny > 0.5 ? -5 * (s.shape.sunny - 0.5) : 0);
  for (const s of can) {
    const hasOther = can.some(
      (o) =>
        o !== s &&
        o.part !== null &&
        o.part !== s.part &&
        o.unit === s.unit &&
        o.make === s.make &&
        !shares(o, s),
    );
    if (role === "battery" || (s.leg === null && s.make === "W"))
      push("one", [s], shapeOf(s) - (s.part !== null && hasOther ? 5 : 0));
    for (const o of can) {
      if (o === s || o.make !== s.make || o.unit !== s.unit || o.energy !== s.energy || shares(s, o))
        continue;
      if (role === "grid" && s.leg === "L1" && o.leg === "L2" && s.part === o.part) push("legs", [s, o], 0.5);
      if (s.leg !== null || o.leg !== null || (role === "grid" && s.make !== "W")) continue;
      const named = s.part === "plus" && o.part === "minus";
      const nameless =
        s.part === null && o.part === null && !s.named && !o.named && s.indices[0] < o.indices[0];
      const half =
        !named && (s.part === null) !== (o.part === null) && s.part !== "minus" && o.part !== "plus";
      if (!(named || nameless || half)) continue;
      if (s.energy === null && !oneWay(s, o)) continue;
      // Two columns that take turns, and both do: hardly by chance.
      const turns = s.shape.positiveShare > 0.08 && o.shape.positiveShare > 0.08;
      push("pair", [s, o], shapeOf(s) + shapeOf(o) + (named ? 1 : turns ? 2 : -1.5));
    }
  }
  return out;
}

/** Two columns of which never both are above zero: what overlaps of them is little of what they show. */
function oneWay(a: PowerSource, b: PowerSource): boolean {
  if (a.shape.negativeShare > 0.02 || b.shape.negativeShare > 0.02) return false;
  const named = a.named && b.named;
  // Of two that take turns each is at rest while the other isn't.
  if (
    !named &&
    (Math.min(a.shape.zeroShare, b.shape.zeroShare) < 0.1 ||
      a.shape.zeroShare + b.shape.zeroShare < 0.7 ||
      a.shape.size === 0 ||
      b.shape.size === 0)
  )
    return false;
  let both = 0;
  let all = 0;
  for (let i = 0; i < a.values.length; i++) {
    const x = Number.isNaN(a.values[i]) ? 0 : Math.abs(a.values[i]);
    const y = Number.isNaN(b.values[i]) ? 0 : Math.abs(b.values[i]);
    both += 2 * Math.min(x, y);
    all += x + y;
  }
  // Named halves may both be still; a mean over minutes may have both now and then.
  return all === 0 ? named : both <= (named ? 0.6 : 0.1) * all;
}
