import { createAppliances, TICKS } from "./appliances";
import { createBatteryBank } from "./battery-bank";
import { clearSkyRatio } from "./clear-sky";
import { createClouds } from "./clouds";
import { localClock } from "./local-clock";
import { createLogSampler, type LogSampling, type RowBatch, SAMPLED } from "./log-sampler";
import { createOverloadGuard, type GUARDED } from "./overload-guard";
import type { Scenario } from "./parse-scenario";
import { randomStream } from "./random-stream";

/**
 * What opened the relay of the simulated inverter: it knows, the log may not show it. `motor-start` is an inrush
 * above the allowance or above the surge current, whatever ran beside it; `overload` a lasting load above the
 * allowance; `by-hand` somebody's finger, which no channel tells of.
 */
export type TrueCause =
  | "fault"
  | "overload"
  | "motor-start"
  | "dc-limit"
  | "over-temperature"
  | "low-battery"
  | "scheduled"
  | "by-hand";

/** A transfer as it really happened. Instants in epoch seconds. */
export type TrueEvent = {
  at: number;
  cause: TrueCause;
  /** Null where the log ends before it. */
  returnedAt: number | null;
  /** What was at its limit, where the cause has one. */
  leg: (typeof GUARDED)[number] | null;
  /** What drew the power, what failed, or what rule it was. */
  note: string;
  /** The log has no samples at that moment. */
  inGap: boolean;
};

/** What to take instead of the scenario's own figures. */
export type SimulationOptions = {
  seed?: number;
  intervalS?: number;
  fromLocalDate?: string;
  days?: number;
  sampling?: "mean" | "instant";
  /** Several logs of the one life, instead of the scenario's one. */
  logs?: readonly LogSampling[];
};

/** A simulation under way: `events` and `faultCodes` are complete once `batches` has run to its end. */
export type Simulation = {
  readonly batches: AsyncGenerator<RowBatch, void, void>;
  readonly events: readonly TrueEvent[];
  readonly faultCodes: readonly string[];
  /** Rows that will come in all logs, gaps not taken off. */
  readonly expectedRows: number;
};

const STEP_S = 1;

/**
 * Lives through the days of a scenario second by second (tenths of a second while something starts) and
 * samples them at the log's interval, as means or as values at the stamp's instant.
 *
 * The inverter carries the loads until its guard against overload, the battery's current limit, the state of
 * charge, a fault or the owner's schedule opens its relay; it comes back when all of that is over and the load
 * has been under the rating for the return delay. Where there are several logs, the batches of all come as they fill;
 * `inGap` is then that of the coarsest. The same scenario and seed give the same rows; the interval
 * changes only how they are sampled, not what happens.
 */
export function simulate(scenario: Scenario, options: SimulationOptions = {}): Simulation {
  const taken: Scenario = {
    ...scenario,
    seed: options.seed ?? scenario.seed,
    from: options.fromLocalDate ?? scenario.from,
    days: options.days ?? scenario.days,
  };
  const { intervalS = scenario.log.intervalS, sampling = scenario.log.sampling } = options;
  const logs = options.logs ?? [{ intervalS, sampling }];
  const clock = localClock(taken.site.timezone);
  const fromS = clock.dayBeginS(taken.from);
  const toS = clock.dayBeginS(taken.from, taken.days);
  const events: TrueEvent[] = [];
  const faultCodes: string[] = [];
  return {
    batches: live(taken, logs, clock, fromS, toS, events, faultCodes),
    events,
    faultCodes,
    expectedRows: logs.reduce((sum, log) => sum + Math.floor((toS - fromS) / log.intervalS), 0),
  };
}

async function* live(
  scenario: Scenario,
  logs: readonly LogSampling[],
  clock: ReturnType<typeof localClock>,
  fromS: number,
  toS: number,
  events: TrueEvent[],
  faultCodes: string[],
): AsyncGenerator<RowBatch, void, void> {
  const { inverter, battery, sun, place, seed } = scenario;
  const coarsestS = Math.max(...logs.map(({ intervalS }) => intervalS));
  // A minute before the first row, so that its values at an instant have a second before them.
  const beginS = clock.dayBeginS(scenario.from, -scenario.warmUpDays) - 60;

  const appliances = createAppliances(scenario, beginS, clock);
  const bank = createBatteryBank(battery);
  const guard = createOverloadGuard(inverter);
  const clouds = createClouds(sun, seed);
  const noise = randomStream(seed, "meters");
  const faultDraw = randomStream(seed, "faults");
  const gaps = scenario.log.gaps.map(({ from, minutes }) => {
    const gapFromS = clock.instantS(from);
    return { fromS: gapFromS, toS: gapFromS + minutes * 60 };
  });
  const samplers = logs.map((log, i) => createLogSampler(i, log, fromS, gaps));
  const finger = randomStream(seed, "by hand");
  const presses = scenario.byHand.map(({ from, to, runs, minutes }) => {
    const fromMinute = minuteOf(from);
    const lengthMinutes = ((minuteOf(to) - fromMinute + 1439) % 1440) + 1;
    return { fromMinute, lengthMinutes, chance: runs / lengthMinutes, minutes };
  });
  const toldFaults = scenario.faults.at.map(({ at, code, minutes }) => ({
    atS: clock.instantS(at),
    code,
    minutes,
  }));

  let onUtility = false;
  let open: TrueEvent | null = null;
  let underRatingS = 0;
  let batteryLow = false;
  let sagS = 0;
  let dcOverS = 0;
  let scheduledUntilS = 0;
  let byHandUntilS = 0;
  let pressAtS = Number.POSITIVE_INFINITY;
  let pressForS = 0;
  let surged = false;
  let faultUntilS = 0;
  let faultIndex = 0;

  let date = "";
  let clearNow = 0;
  let clearNext = 0;
  let utilityV = 121;
  let ambientC = place.nightC + 3;
  let tempC = 28;
  let solarW = 0;
  let gridW = 0;
  let l1W = 0;
  let l2W = 0;
  let l1V = 120;
  let l2V = 120;

  const now = new Float64Array(SAMPLED.length);

  function transfer(atS: number, cause: TrueCause, leg: TrueEvent["leg"], note: string) {
    onUtility = true;
    underRatingS = 0;
    open = { at: atS, cause, returnedAt: null, leg, note, inGap: isHidden(atS) };
    if (atS >= fromS && atS < toS) events.push(open);
  }

  function isHidden(atS: number) {
    for (const gap of gaps) if (atS >= gap.fromS - coarsestS && atS < gap.toS) return true;
    return false;
  }

  function faultAt(atS: number, code: string, minutes: number) {
    faultUntilS = atS + Math.max(1, Math.round(minutes * 60));
    if (!faultCodes.includes(code)) faultCodes.push(code);
    faultIndex = faultCodes.indexOf(code) + 1;
    if (!onUtility) transfer(atS, "fault", null, `fault ${code}`);
  }

  function minuteBegins(s: number) {
    const localS = s + clock.offsetS(s);
    const minuteOfDay = Math.floor(localS / 60) % 1440;
    const weekday = (Math.floor(localS / 86_400) + 4) % 7;
    const today = new Date(localS * 1000).toISOString().slice(0, 10);
    if (today !== date) {
      date = today;
      clouds.beginDay(date);
    }
    appliances.minute(s, minuteOfDay, weekday);
    clearNow = clearSkyRatio(s, place.latitude, place.longitude, sun.tiltDeg);
    clearNext = clearSkyRatio(s + 60, place.latitude, place.longitude, sun.tiltDeg);
    utilityV += (121 + 3 * (noise() - 0.5) - utilityV) * 0.02;
    ambientC += ((minuteOfDay > 540 && minuteOfDay < 1140 ? place.dayC : place.nightC) - ambientC) / 240;

    for (const rule of scenario.scheduled) {
      if (minuteOf(rule.at) !== minuteOfDay) continue;
      if (rule.days !== undefined && !rule.days.includes(DAYS[weekday])) continue;
      if ((rule.from !== undefined && date < rule.from) || (rule.to !== undefined && date > rule.to))
        continue;
      scheduledUntilS = s + rule.minutes * 60;
      if (!onUtility)
        transfer(s, "scheduled", null, `the owner's rule: utility from ${rule.at} for ${rule.minutes} min`);
    }
    if (faultDraw() < scenario.faults.perDay / 1440) {
      const { codes, minutes } = scenario.faults;
      const code = codes[Math.floor(faultDraw() * codes.length)];
      faultAt(s, code, minutes[0] + (minutes[1] - minutes[0]) * faultDraw());
    }
    for (const { fromMinute, lengthMinutes, chance, minutes } of presses) {
      if ((minuteOfDay - fromMinute + 1440) % 1440 >= lengthMinutes || finger() >= chance) continue;
      pressAtS = s + Math.floor(60 * finger());
      pressForS = Math.round(60 * (minutes[0] + (minutes[1] - minutes[0]) * finger()));
    }
    for (const told of toldFaults) {
      if (told.atS >= s && told.atS < s + 60) faultAt(told.atS - (told.atS % 60), told.code, told.minutes);
    }
  }

  /** Load on the guard for one stretch of the second; opens the relay where it trips. */
  function carry(
    s: number,
    dtS: number,
    legs: readonly [number, number],
    lasting: readonly [number, number],
    reactive: readonly [number, number],
  ) {
    if (onUtility) {
      guard.rest(dtS);
      const over =
        legs[0] > inverter.legLimitW ||
        legs[1] > inverter.legLimitW ||
        legs[0] + legs[1] > inverter.totalLimitW;
      underRatingS = over ? 0 : underRatingS + dtS;
      return;
    }
    if (inverter.surgeA !== undefined) {
      for (const leg of [0, 1]) {
        const legA = Math.hypot(legs[leg], reactive[leg]) / LEG_V;
        if (legA > inverter.surgeA) {
          surge(s, leg === 0 ? "L1" : "L2", legA);
          return;
        }
      }
    }
    const trip = guard.carry(dtS, legs[0], legs[1]);
    if (trip === null) return;
    const { quantity } = trip;
    const lastingW =
      quantity === "L1" ? lasting[0] : quantity === "L2" ? lasting[1] : lasting[0] + lasting[1];
    const atW = quantity === "L1" ? legs[0] : quantity === "L2" ? legs[1] : legs[0] + legs[1];
    const limitW = guard.limitW(quantity);
    const at = `${quantity} at ${Math.round((100 * atW) / limitW)} % of its rating`;
    const starting = appliances.starting();
    // Without the start the load would still be within what tripped: then it was the start.
    if (starting.length > 0 && lastingW <= trip.aboveRatio * limitW) {
      const base = `on top of ${Math.round(lastingW)} W`;
      transfer(s, "motor-start", quantity, `${at} as it started: ${starting.join(", ")}, ${base}`);
    } else {
      transfer(s, "overload", quantity, `${at}: ${appliances.drawing(quantity).join(", ")}`);
    }
  }

  function surge(s: number, leg: "L1" | "L2", legA: number) {
    surged = true;
    const starting = appliances.starting();
    const at = `${leg} at ${Math.round(legA)} A`;
    if (starting.length > 0) transfer(s, "motor-start", leg, `${at} as it started: ${starting.join(", ")}`);
    else transfer(s, "overload", leg, `${at}: ${appliances.drawing(leg).join(", ")}`);
  }

  /** Sun, battery and utility for the second, by the state at its end. */
  function flow(s: number) {
    const clear = clearNow + ((clearNext - clearNow) * (((s % 60) + 60) % 60)) / 60;
    const offeredW = sun.peakW * clear * clouds.second();
    const loadW = l1W + l2W;
    const mayTakeW = bank.mayTakeW();
    if (onUtility) {
      solarW = Math.min(offeredW, mayTakeW);
      const wantsCharge = inverter.utilityChargeA > 0 && bank.socPct < inverter.utilityChargeToSocPct;
      const fromUtilityW = wantsCharge ? Math.min(inverter.utilityChargeA * bank.v, mayTakeW - solarW) : 0;
      gridW = loadW + inverter.idleW + fromUtilityW / inverter.efficiency;
      bank.step(-(solarW + fromUtilityW));
    } else {
      const needW = inverter.idleW + loadW / inverter.efficiency;
      solarW = Math.min(offeredW, needW + mayTakeW);
      gridW = 0;
      bank.step(needW - solarW);
    }
    l1V = (onUtility ? utilityV - 0.0005 * l1W : 120.3 - 0.00035 * l1W) + 0.2 * (noise() - 0.5);
    l2V = (onUtility ? utilityV - 0.0005 * l2W : 120.3 - 0.00035 * l2W) + 0.2 * (noise() - 0.5);
    const warmC = ambientC + 8 + (onUtility ? 0.001 : inverter.warmCPerW) * loadW;
    tempC += (warmC - tempC) / 1500;
  }

  /** What the second before `s` brings about: limits of battery and temperature, and the way back. */
  function judge(s: number) {
    if (bank.socPct <= battery.lowSocPct) batteryLow = true;
    sagS = !onUtility && bank.v <= battery.lowV ? sagS + 1 : 0;
    if (sagS >= 10) batteryLow = true;
    if (batteryLow && bank.socPct >= battery.resumeSocPct) batteryLow = false;
    dcOverS = bank.a > battery.maxDischargeA ? dcOverS + 1 : 0;
    if (!onUtility) {
      if (dcOverS >= battery.dcHoldS) {
        transfer(
          s,
          "dc-limit",
          null,
          `battery at ${Math.round(bank.a)} A: ${appliances.drawing("total").join(", ")}`,
        );
      } else if (batteryLow) {
        transfer(s, "low-battery", null, `battery at ${bank.socPct.toFixed(1)} %, ${bank.v.toFixed(1)} V`);
      } else if (inverter.maxTempC !== undefined && tempC >= inverter.maxTempC) {
        transfer(s, "over-temperature", null, `inverter at ${tempC.toFixed(0)} °C`);
      }
      return;
    }
    if (underRatingS < inverter.returnDelayS || batteryLow) return;
    if (s < scheduledUntilS || s < faultUntilS || s < byHandUntilS) return;
    if (inverter.maxTempC !== undefined && tempC > inverter.maxTempC - 5) return;
    onUtility = false;
    if (open !== null) open.returnedAt = s;
    open = null;
  }

  for (let s = beginS; s < toS; s += STEP_S) {
    const utilityBefore = onUtility;
    const faultBefore = faultIndex;
    if (s % 60 === 0) minuteBegins(s);
    if (s >= faultUntilS) faultIndex = 0;
    if (s >= pressAtS) {
      pressAtS = Number.POSITIVE_INFINITY;
      if (!onUtility) {
        byHandUntilS = s + pressForS;
        transfer(s, "by-hand", null, `put on the utility by hand for ${Math.round(pressForS / 60)} min`);
      }
    }

    const wobbleL1 = 1 + 0.008 * (noise() - 0.5);
    const wobbleL2 = 1 + 0.008 * (noise() - 0.5);
    let firstL1W: number;
    let firstL2W: number;
    let utilityAtFirst = utilityBefore;
    surged = false;
    if (appliances.second(s)) {
      const { tickL1W, tickL2W, lastingL1W, lastingL2W, tickL1Var, tickL2Var } = appliances;
      let sumL1 = 0;
      let sumL2 = 0;
      for (let i = 0; i < TICKS; i++) {
        const tickL1 = tickL1W[i] * wobbleL1;
        const tickL2 = tickL2W[i] * wobbleL2;
        const lasting = [lastingL1W[i], lastingL2W[i]] as const;
        carry(s, STEP_S / TICKS, [tickL1, tickL2], lasting, [tickL1Var[i], tickL2Var[i]]);
        // A relay quicker than a tick is over where a sample at this instant shows the start.
        if (i === 0 && surged && inverter.surgeTransferS < STEP_S / TICKS) utilityAtFirst = true;
        sumL1 += tickL1;
        sumL2 += tickL2;
      }
      firstL1W = tickL1W[0] * wobbleL1;
      firstL2W = tickL2W[0] * wobbleL2;
      l1W = sumL1 / TICKS;
      l2W = sumL2 / TICKS;
    } else {
      l1W = firstL1W = appliances.l1W * wobbleL1;
      l2W = firstL2W = appliances.l2W * wobbleL2;
      const { l1W: lastingL1W, l2W: lastingL2W, l1Var, l2Var } = appliances;
      carry(s, STEP_S, [l1W, l2W], [lastingL1W, lastingL2W], [l1Var, l2Var]);
    }

    // Battery, sun and utility at this instant are as the second before left them.
    setRow(firstL1W, firstL2W);
    for (const one of samplers)
      if (one.sampling === "instant") one.instant(s, now, utilityAtFirst, faultBefore);
    flow(s);
    const utilityNow = onUtility;
    judge(s + STEP_S);
    setRow(l1W, l2W);
    for (const one of samplers) {
      if (one.sampling === "mean") one.second(s, now, utilityNow, faultIndex);
      const batch = one.take(false);
      if (batch !== null) yield batch;
    }
  }
  for (const one of samplers) {
    const batch = one.take(true);
    if (batch !== null) yield batch;
  }

  function setRow(rowL1W: number, rowL2W: number) {
    now[0] = rowL1W;
    now[1] = rowL2W;
    now[2] = l1V;
    now[3] = l2V;
    now[4] = solarW;
    now[5] = bank.a;
    now[6] = bank.v;
    now[7] = bank.socPct;
    now[8] = gridW;
    now[9] = tempC;
  }
}

const DAYS = ["sun", "mon", "tue", "wed", "thu", "fri", "sat"] as const;

/** Volts of a leg by which its amperes are reckoned. */
const LEG_V = 120;

function minuteOf(clock: string): number {
  return Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3, 5));
}
