import type { LocalClock } from "./local-clock";
import type { Appliance, Scenario } from "./parse-scenario";
import { randomStream } from "./random-stream";

/** Parts of a second in which starts are followed. */
export const TICKS = 10;

/**
 * Everything that draws power on the site. `second` moves on by one second; afterwards `l1W` and `l2W` are the
 * lasting draw at its end. Where something switched or a start was under way it returned true, and the four
 * W arrays hold the ten tenths of the second: with starts (`tickL1W`) and without (`lastingL1W`); the VAR arrays
 * the reactive power with starts.
 */
export type Appliances = {
  readonly l1W: number;
  readonly l2W: number;
  readonly l1Var: number;
  readonly l2Var: number;
  readonly tickL1W: Float64Array;
  readonly tickL2W: Float64Array;
  readonly lastingL1W: Float64Array;
  readonly lastingL2W: Float64Array;
  readonly tickL1Var: Float64Array;
  readonly tickL2Var: Float64Array;
  /** Draws who begins within the coming minute. `minuteOfDay` and `weekday` (0 = Sunday) are local. */
  minute(instantS: number, minuteOfDay: number, weekday: number): void;
  second(instantS: number): boolean;
  /** What draws more than 100 W on a leg now, largest first, for the note of a true event. */
  drawing(leg: "L1" | "L2" | "total"): string[];
  /** What is in the middle of a start with inrush in the second just lived through. */
  starting(): string[];
};

/** The appliances of a scenario from `beginS` (epoch s) on. Each has its own random stream. */
export function createAppliances(scenario: Scenario, beginS: number, clock: LocalClock): Appliances {
  const all = scenario.appliances.map((one) => createAppliance(one, scenario.seed, beginS, clock));
  const { L1W: baseL1W, L2W: baseL2W } = scenario.baseLoad;
  const drift = randomStream(scenario.seed, "base load");
  let driftL1 = 1;
  let driftL2 = 1;
  let nowS = beginS;
  const tickL1W = new Float64Array(TICKS);
  const tickL2W = new Float64Array(TICKS);
  const lastingL1W = new Float64Array(TICKS);
  const lastingL2W = new Float64Array(TICKS);
  const tickL1Var = new Float64Array(TICKS);
  const tickL2Var = new Float64Array(TICKS);
  const ticks: Ticks = { tickL1W, tickL2W, lastingL1W, lastingL2W, tickL1Var, tickL2Var };

  const sums = {
    l1W: baseL1W,
    l2W: baseL2W,
    l1Var: 0,
    l2Var: 0,
    tickL1W,
    tickL2W,
    lastingL1W,
    lastingL2W,
    tickL1Var,
    tickL2Var,
    minute(instantS: number, minuteOfDay: number, weekday: number) {
      driftL1 += (0.7 + 0.6 * drift() - driftL1) * 0.1;
      driftL2 += (0.7 + 0.6 * drift() - driftL2) * 0.1;
      for (const one of all) one.minute(instantS, minuteOfDay, weekday);
      addUp();
    },
    second(instantS: number) {
      nowS = instantS;
      let busy = false;
      for (const one of all) if (one.nextS <= instantS || one.inrushTicks > 0) busy = true;
      if (!busy) return false;
      tickL1W.fill(sums.l1W);
      tickL2W.fill(sums.l2W);
      lastingL1W.fill(sums.l1W);
      lastingL2W.fill(sums.l2W);
      tickL1Var.fill(sums.l1Var);
      tickL2Var.fill(sums.l2Var);
      for (const one of all) {
        if (one.nextS > instantS && one.inrushTicks === 0) continue;
        one.second(instantS, ticks);
      }
      addUp();
      return true;
    },
    drawing(leg: "L1" | "L2" | "total") {
      return all
        .map((one) => ({ name: one.name, w: leg === "total" ? one.nowW : one.nowW * one.shareOf(leg) }))
        .filter(({ w }) => w > 100)
        .sort((a, b) => b.w - a.w)
        .map(({ name, w }) => `${name} ${Math.round(w)} W`);
    },
    starting: () => all.filter((one) => one.inrushUntilS > nowS).map((one) => one.name),
  };
  addUp();
  return sums;

  function addUp() {
    let l1W = baseL1W * driftL1;
    let l2W = baseL2W * driftL2;
    let l1Var = 0;
    let l2Var = 0;
    for (const one of all) {
      l1W += one.nowW * one.shareL1;
      l2W += one.nowW * one.shareL2;
      l1Var += one.nowW * one.varPerW * one.shareL1;
      l2Var += one.nowW * one.varPerW * one.shareL2;
    }
    sums.l1W = l1W;
    sums.l2W = l2W;
    sums.l1Var = l1Var;
    sums.l2Var = l2Var;
  }
}

type Ticks = Pick<
  Appliances,
  "tickL1W" | "tickL2W" | "lastingL1W" | "lastingL2W" | "tickL1Var" | "tickL2Var"
>;

/** One appliance: idle, or in a run; within a run on, or off by its cycle; after each switching on, a start. */
function createAppliance(one: Appliance, seed: number, beginS: number, clock: LocalClock) {
  const random = randomStream(seed, `appliance ${one.name}`);
  const between = ([low, high]: readonly [number, number]) => low + (high - low) * random();
  const told = one.runs
    .map(({ at, minutes }) => ({ atS: clock.instantS(at), lengthS: Math.round(minutes * 60) }))
    .filter(({ atS }) => atS >= beginS)
    .sort((a, b) => a.atS - b.atS);
  const windows = one.habits.map((habit) => {
    const fromMinute = minuteOf(habit.from);
    const toMinute = minuteOf(habit.to);
    const lengthMinutes = toMinute > fromMinute ? toMinute - fromMinute : toMinute + 1440 - fromMinute;
    return {
      fromMinute,
      lengthMinutes,
      chance: habit.runs / lengthMinutes,
      days: habit.days,
      minutes: habit.minutes,
    };
  });
  const shareL1 = one.leg === "L1" ? 1 : one.leg === "both" ? 0.5 : 0;
  const shareL2 = 1 - shareL1;
  const varPerW = varPerWattAt(one.powerFactor);

  let running = false;
  let on = false;
  let runW = one.powerW;
  let runBeginS = 0;
  let runEndS = Number.POSITIVE_INFINITY;
  let toggleS = Number.POSITIVE_INFINITY;
  let pending: { atS: number; lengthS: number } | null = null;

  const state = {
    name: one.name,
    shareL1,
    shareL2,
    varPerW,
    nowW: 0,
    inrushTicks: 0,
    /** End of the last inrush, rounded up to whole seconds. */
    inrushUntilS: Number.NEGATIVE_INFINITY,
    /** The next second in which it switches. */
    nextS: Number.POSITIVE_INFINITY,
    shareOf: (leg: "L1" | "L2") => (leg === "L1" ? shareL1 : shareL2),

    minute(instantS: number, minuteOfDay: number, weekday: number) {
      if (pending !== null || one.always) return;
      if (told.length > 0 && told[0].atS < instantS + 60) {
        pending = told.shift() ?? null;
      } else if (!running) {
        for (const window of windows) {
          const since = (minuteOfDay - window.fromMinute + 1440) % 1440;
          if (since >= window.lengthMinutes) continue;
          const day = since > minuteOfDay ? (weekday + 6) % 7 : weekday;
          if (window.days !== undefined && !window.days.includes(DAYS[day])) continue;
          if (random() >= window.chance) continue;
          pending = { atS: instantS + Math.floor(60 * random()), lengthS: lengthOf(window.minutes) };
          break;
        }
      }
      plan();
    },

    second(instantS: number, { tickL1W, tickL2W, lastingL1W, lastingL2W, tickL1Var, tickL2Var }: Ticks) {
      let fromTick = 0;
      if (state.nextS <= instantS) {
        const beforeW = state.nowW;
        const wasOn = on;
        fromTick = Math.floor(random() * TICKS);
        switchAt(instantS);
        state.nowW = on ? runW : 0;
        const changeW = state.nowW - beforeW;
        for (let i = fromTick; i < TICKS; i++) {
          tickL1W[i] += changeW * shareL1;
          tickL2W[i] += changeW * shareL2;
          lastingL1W[i] += changeW * shareL1;
          lastingL2W[i] += changeW * shareL2;
          tickL1Var[i] += changeW * varPerW * shareL1;
          tickL2Var[i] += changeW * varPerW * shareL2;
        }
        if (!on) state.inrushTicks = 0;
        else if (!wasOn) {
          if (one.inrush) state.inrushTicks = Math.max(1, Math.round(between(one.inrush.durationS) * TICKS));
        }
      }
      if (one.inrush !== undefined && state.inrushTicks > 0) {
        const { extraW, extraVar } = inrushOf(one.inrush);
        const toTick = Math.min(TICKS, fromTick + state.inrushTicks);
        for (let i = fromTick; i < toTick; i++) {
          tickL1W[i] += extraW * shareL1;
          tickL2W[i] += extraW * shareL2;
          tickL1Var[i] += extraVar * shareL1;
          tickL2Var[i] += extraVar * shareL2;
        }
        state.inrushTicks -= toTick - fromTick;
        state.inrushUntilS = instantS + 1;
      }
    },
  };

  if (one.always) {
    running = true;
    runBeginS = beginS;
    on = one.cycle === undefined || random() < one.cycle.duty[0];
    state.nowW = on ? runW : 0;
    if (one.cycle) toggleS = beginS + 1 + Math.floor(random() * one.cycle.periodS[0] * 0.5);
    plan();
  }
  return state;

  function plan() {
    const startS = pending === null ? Number.POSITIVE_INFINITY : pending.atS;
    state.nextS = Math.min(startS, running ? Math.min(runEndS, toggleS) : Number.POSITIVE_INFINITY);
  }

  function switchAt(instantS: number) {
    if (pending !== null && pending.atS <= instantS) {
      const fresh = !running;
      runEndS = instantS + pending.lengthS;
      pending = null;
      if (fresh) {
        running = true;
        runBeginS = instantS;
        runW = one.powerW * (1 + one.spread * (2 * random() - 1));
        on = true;
        toggleS = nextToggleS(instantS);
      }
    } else if (instantS >= runEndS) {
      running = false;
      on = false;
      runEndS = Number.POSITIVE_INFINITY;
      toggleS = Number.POSITIVE_INFINITY;
    } else if (instantS >= toggleS) {
      on = !on;
      toggleS = nextToggleS(instantS);
    }
    plan();
  }

  function nextToggleS(instantS: number) {
    if (one.cycle === undefined) return Number.POSITIVE_INFINITY;
    const [atBegin, atEnd] = one.cycle.duty;
    const share = Number.isFinite(runEndS) ? (instantS - runBeginS) / Math.max(1, runEndS - runBeginS) : 0;
    const duty = atBegin + (atEnd - atBegin) * share;
    const part = between(one.cycle.periodS) * (on ? duty : 1 - duty);
    return instantS + Math.max(1, Math.round(part));
  }

  /** What a start draws on top of the running power. Locked-rotor current goes by the nameplate, not by the run. */
  function inrushOf({ multiple, powerFactor }: NonNullable<Appliance["inrush"]>) {
    if (powerFactor === undefined) return { extraW: runW * (multiple - 1), extraVar: 0 };
    const startW = ((multiple * one.powerW) / one.powerFactor) * powerFactor;
    return { extraW: startW - runW, extraVar: startW * varPerWattAt(powerFactor) - runW * varPerW };
  }

  /** Shortest, usual, longest: the mean of two draws over each side leans to the usual. */
  function lengthOf([low, usual, high]: readonly [number, number, number]) {
    const lean = (random() + random()) / 2;
    const minutes = lean < 0.5 ? low + (usual - low) * 2 * lean : usual + (high - usual) * (2 * lean - 1);
    return Math.max(1, Math.round(minutes * 60));
  }
}

function varPerWattAt(powerFactor: number): number {
  return Math.sqrt(1 - powerFactor * powerFactor) / powerFactor;
}

const DAYS = ["sun", "mon", "tue", "wed", "thu", "fri", "sat"] as const;

function minuteOf(clock: string): number {
  return Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3, 5));
}
