import type { Battery } from "../analysis/battery";
import type { BatteryCurrent } from "../analysis/battery-current";
import type { BatteryCapacity } from "../analysis/battery-discharges";
import type { BatteryPower, DaySpread, InverterModel } from "../analysis/battery-power";
import type { BatteryResistance } from "../analysis/battery-resistance";
import { cableDrop } from "../analysis/cable-drop";
import { copperCable } from "../analysis/copper-cable";
import { dcCurrentOfLoad } from "../analysis/dc-current-of-load";
import type { Demand } from "../analysis/demand";
import type { Evidence } from "../analysis/evidence";
import type { LoadDuration } from "../analysis/load-duration";
import type { LocalClock } from "../analysis/local-time";
import type { Ratings } from "../analysis/ratings";
import type { Transfer } from "../analysis/results";
import type { SocHour } from "../analysis/soc-by-hour";
import {
  formatAmps,
  formatCount,
  formatDuration,
  formatEnergy,
  formatLocalTime,
  formatNumber,
  formatPct,
  formatPower,
  formatShare,
  formatVolts,
  howOften,
} from "./format";

/** The parts of the battery in words, in the order in which they are read. */
export const BATTERY_SECTIONS = ["current", "rated-load", "low", "use", "inverter", "ageing"] as const;

export type BatterySection = (typeof BATTERY_SECTIONS)[number];

/** What stands over each part. */
export const BATTERY_SECTION_TITLES: { readonly [S in BatterySection]: string } = {
  current: "Battery, fuse and cable against the current",
  "rated-load": "What the rated load would draw",
  low: "Where the battery was the limit",
  use: "How hard the battery works",
  inverter: "What the inverter takes for itself",
  ageing: "Signs of ageing",
};

/** A statement with its figure in it; `basis` says in brief what it stands on, empty where the text says it all. */
export type BatteryStatement = {
  readonly code: string;
  readonly section: BatterySection;
  readonly text: string;
  readonly basis: string;
  /** The moment that it speaks of, epoch ms; null for none. */
  readonly atMs: number | null;
};

/** The battery of a period in words. */
export type BatterySummary = {
  /** The answer to "big enough?" by what was logged. */
  readonly headline: string;
  /** What the rated load would draw, in one sentence; null where no voltage is given. */
  readonly rated: string | null;
  readonly statements: BatteryStatement[];
};

/** What is known of the battery in a period. */
export type BatterySubject = {
  /** Null where the log says nothing of it. */
  readonly battery: Battery | null;
  readonly loadDuration: LoadDuration | null;
  readonly demand: Demand | null;
  /** Transfers for a low battery or at the battery's current limit that begin in the period. */
  readonly transfers: readonly Transfer[];
  /** Held time in the period, s; 0 where there are no samples. */
  readonly heldS: number;
};

/** Without a model of the inverter the current is a lower bound. */
const LOSSLESS = { idleW: 0, efficiency: 1 };

/** Where load is reached or exceeded for so much of the held time, it is the base load. */
const BASE_LOAD_SHARE = 0.9;

/**
 * The battery of a period in words: the answer, and statements in order of BATTERY_SECTIONS. What isn't in the log or
 * in the ratings is said to be missing.
 *
 * @param ratings in force at the period's end: what arithmetic is done with
 * @param when the period as a sentence begins with it: "In June 2026", "On 3 May 2026"
 */
export function batterySummary(
  subject: BatterySubject,
  ratings: Ratings,
  when: string,
  clock: LocalClock,
): BatterySummary {
  if (!(subject.heldS > 0)) {
    return { headline: `There are no samples ${within(when)}.`, rated: null, statements: [] };
  }
  const { battery } = subject;
  if (battery === null) {
    return {
      headline: `The battery is not in this log: no current, voltage, power or state of charge of it ${within(when)}.`,
      rated: ratedInShort(null, ratings),
      statements: [...ratedLoad(subject, null, ratings), ...lowBattery(subject, when)],
    };
  }
  const model = usable(battery.power?.model ?? null);
  return {
    headline: headline(battery.current, ratings, when, clock),
    rated: ratedInShort(model, ratings),
    statements: [
      ...current(battery.current, ratings, clock, subject.heldS),
      ...ratedLoad(subject, model, ratings),
      ...lowBattery(subject, when),
      ...use(battery, ratings),
      ...inverter(battery.power, ratings),
      ...ageing(battery, ratings, clock),
    ],
  };
}

/** The period inside a sentence: "in June 2026". */
function within(when: string): string {
  return when.charAt(0).toLowerCase() + when.slice(1);
}

function statement(
  section: BatterySection,
  code: string,
  text: string,
  basis = "",
  atMs: number | null = null,
): BatteryStatement {
  return { section, code, text, basis, atMs };
}

/** The answer to "big enough?": the greatest current beside what it is held against. */
function headline(
  current: BatteryCurrent | null,
  { battery: { maxDischargeA, fuseA } }: Ratings,
  when: string,
  clock: LocalClock,
): string {
  if (current === null) return `The battery's current is not in this log ${within(when)}.`;
  const { maxDischargeA: mostA, maxDischargeAtMs } = current;
  if (mostA === null) return `${when} the battery gave no current, as far as the log covers it.`;
  const gave = `${when} the battery gave ${formatAmps(mostA)} at most, on ${formatLocalTime(maxDischargeAtMs ?? Number.NaN, clock)}`;
  const above: string[] = [];
  const beneath: string[] = [];
  const hold = (limitA: number | undefined, name: string, aboveS: number | null) => {
    if (limitA === undefined) return;
    if (mostA > limitA) {
      const time = aboveS === null || aboveS === 0 ? "" : ` (${formatDuration(aboveS)} in all)`;
      above.push(`above ${name}${time}`);
    } else beneath.push(`${mostA < limitA ? "under" : "at"} ${name}`);
  };
  hold(maxDischargeA, `the ${formatAmps(maxDischargeA ?? null)} it may give`, current.aboveMaxDischargeS);
  const eightyPctA = fuseA === undefined ? undefined : 0.8 * fuseA;
  if (fuseA !== undefined && mostA > fuseA)
    hold(fuseA, `the ${formatAmps(fuseA)} of its fuse`, current.aboveFuseS);
  else if (eightyPctA !== undefined)
    hold(eightyPctA, `80 % of its ${formatAmps(fuseA ?? null)} fuse`, current.above80PctFuseS);
  if (above.length + beneath.length === 0)
    return `${gave}; what it may give and its fuse aren't in the site's settings.`;
  return `${gave}: ${[...above, ...beneath].join(" and ")}.`;
}

/** What the rated load would draw at the lowest voltage that is given. */
function ratedInShort(model: InverterModel | null, { totalLimitW, battery }: Ratings): string | null {
  const volts = battery.lowV ?? battery.nominalV;
  if (volts === undefined) return null;
  const amps = dcCurrentOfLoad(totalLimitW, model ?? LOSSLESS, volts);
  const left = battery.lowV === undefined ? "" : ", where the inverter leaves it";
  return `The rated ${formatPower(totalLimitW)} would draw ${model === null ? "at least " : ""}${formatAmps(amps)} at ${formatVolts(volts)}${left}.`;
}

function current(
  current: BatteryCurrent | null,
  ratings: Ratings,
  clock: LocalClock,
  periodHeldS: number,
): BatteryStatement[] {
  const say = (code: string, text: string, basis = "", atMs: number | null = null) =>
    statement("current", code, text, basis, atMs);
  if (current === null) {
    return [
      say("no-current", "The battery's current is not in this log: neither amperes nor watts and volts."),
    ];
  }
  const { maxDischargeA, maxChargeA, fuseA } = ratings.battery;
  const statements: BatteryStatement[] = [];
  const basis = basisOfCurrent(current, periodHeldS);
  if (current.maxDischargeA !== null) {
    const against = compared(current.maxDischargeA, [
      [maxDischargeA, (limit) => `the ${limit} that the battery may give`],
      [fuseA, (limit) => `the fuse's ${limit}`],
    ]);
    const at = formatLocalTime(current.maxDischargeAtMs ?? Number.NaN, clock);
    statements.push(
      say(
        "greatest-discharge",
        `It gave ${formatAmps(current.maxDischargeA)} at most, on ${at}${against}.`,
        basis,
        current.maxDischargeAtMs,
      ),
    );
  }
  if (current.aboveMaxDischargeS !== null && maxDischargeA !== undefined) {
    statements.push(
      say(
        "above-discharge",
        time(current.aboveMaxDischargeS, `above the ${formatAmps(maxDischargeA)} that the battery may give`),
        basis,
      ),
    );
  } else
    statements.push(
      say(
        "no-discharge-rating",
        "What the battery may give isn't in the site's settings (maxDischargeA): nothing to hold the current against.",
      ),
    );
  if (current.above80PctFuseS !== null && current.aboveFuseS !== null && fuseA !== undefined) {
    statements.push(
      say(
        "above-fuse-80",
        `${time(current.above80PctFuseS, `above 80 % of the fuse, ${formatAmps(0.8 * fuseA)}, whichever way it flowed`)} A fuse that is to carry such a current for three hours or more wants a rating of 125 % of it, unless it is listed for 100 %.`,
        [basis, "NEC 210.20(A), 215.3 for continuous load, by way of comparison"].filter(Boolean).join("; "),
      ),
      say("above-fuse", time(current.aboveFuseS, `above the fuse's ${formatAmps(fuseA)}`), basis),
    );
  } else
    statements.push(
      say(
        "no-fuse-rating",
        "The rating of the DC fuse isn't in the site's settings (fuseA): nothing to hold it against.",
      ),
    );
  if (current.maxChargeA !== null) {
    const against = compared(current.maxChargeA, [
      [maxChargeA, (limit) => `the ${limit} that the battery may take`],
    ]);
    const at = formatLocalTime(current.maxChargeAtMs ?? Number.NaN, clock);
    const above =
      current.aboveMaxChargeS === null || maxChargeA === undefined
        ? ""
        : ` ${time(current.aboveMaxChargeS, `above those ${formatAmps(maxChargeA)}`)}`;
    statements.push(
      say(
        "greatest-charge",
        `It took ${formatAmps(current.maxChargeA)} at most, on ${at}${against}.${above}`,
        basis,
        current.maxChargeAtMs,
      ),
    );
  }
  return [...statements, ...cable(current, ratings)];
}

/** What the log shows is said in the time it is held; what is shorter than its interval can't be in it. */
function basisOfCurrent({ heldS, reckonedS }: BatteryCurrent, periodHeldS: number): string {
  const parts: string[] = [];
  if (heldS < periodHeldS * 0.999)
    parts.push(`known for ${formatShare(heldS / periodHeldS)} of what is logged`);
  if (reckonedS > 0)
    parts.push(`for ${formatDuration(reckonedS)} taken as battery power over battery voltage`);
  return parts.join("; ");
}

/** ": 94 % of the 200 A …, 75 % of …"; empty where there is nothing to compare with. */
function compared(
  amps: number,
  limits: readonly (readonly [limitA: number | undefined, name: (limit: string) => string])[],
): string {
  const parts = limits.flatMap(([limitA, name]) =>
    limitA === undefined
      ? []
      : [`${formatNumber((100 * amps) / limitA, 0)} % of ${name(formatAmps(limitA))}`],
  );
  return parts.length === 0 ? "" : `: ${parts.join(", ")}`;
}

function time(aboveS: number, what: string): string {
  return aboveS > 0
    ? `The current was ${what} for ${formatDuration(aboveS)} in all.`
    : `The current was never ${what}, in what was logged.`;
}

function cable(current: BatteryCurrent, { dcCable, battery }: Ratings): BatteryStatement[] {
  if (dcCable === undefined) {
    return [
      statement(
        "current",
        "no-cable",
        "The DC cable isn't in the site's settings (dcCable): its voltage drop can't be told.",
      ),
    ];
  }
  const mostA = Math.max(current.maxDischargeA ?? 0, current.maxChargeA ?? 0);
  const cable = copperCable(dcCable.size);
  if (cable === null) {
    return [
      statement(
        "current",
        "unknown-cable",
        `The DC cable's size "${dcCable.size}" is not in the table that is used here (copper, 8 AWG to 250 kcmil): its voltage drop can't be told.`,
      ),
    ];
  }
  const { dropV, heatW } = cableDrop(mostA, dcCable.oneWayFt, cable.ohmPerKft);
  const share =
    battery.nominalV === undefined
      ? ""
      : `, ${formatNumber((100 * dropV) / battery.nominalV, 2)} % of ${formatVolts(battery.nominalV)}`;
  return [
    statement(
      "current",
      "cable-drop",
      `At ${formatAmps(mostA)} a copper cable of ${cable.size}, ${formatNumber(2 * dcCable.oneWayFt, 0)} ft there and back, drops ${formatNumber(dropV, 2)} V${share}, and turns ${formatPower(heatW)} into heat; lugs, fuse and disconnect come on top.`,
      `DC resistance at 75 °C, NEC Chapter 9 Table 8: ${cable.ohmPerKft} ohm per 1,000 ft`,
    ),
    statement(
      "current",
      "cable-ampacity",
      `Compare ${formatAmps(mostA)} with ${formatAmps(cable.ampacityA)}, which NEC Table 310.16 gives for ${cable.size} copper at 75 °C with at most three such conductors and 30 °C around them. What this cable may carry is a matter of its marking, how it is laid, and the local code.`,
    ),
  ];
}

/** A model that an inverter can have. */
function usable(model: InverterModel | null): InverterModel | null {
  return model !== null && model.efficiency <= 1 && model.idleW >= 0 ? model : null;
}

function ratedLoad(
  { loadDuration, demand }: BatterySubject,
  model: InverterModel | null,
  ratings: Ratings,
): BatteryStatement[] {
  const say = (code: string, text: string, basis = "") => statement("rated-load", code, text, basis);
  const { nominalV, lowV, maxDischargeA, fuseA, capacityAh, lowSocPct } = ratings.battery;
  const statements: BatteryStatement[] = [];
  const basis =
    model === null
      ? "without any loss, since this log gives no efficiency"
      : `idle power ${formatPower(model.idleW)} and efficiency ${formatShare(model.efficiency)}, as fitted below`;
  const draws = (loadW: number): string[] =>
    [
      [nominalV, ""],
      [lowV, ", where the inverter leaves the battery"],
    ].flatMap(([volts, where]) =>
      typeof volts === "number"
        ? [`${formatAmps(dcCurrentOfLoad(loadW, model ?? LOSSLESS, volts))} at ${formatVolts(volts)}${where}`]
        : [],
    );
  const rated = draws(ratings.totalLimitW);
  if (rated.length === 0) {
    statements.push(
      say(
        "no-voltage",
        "The battery's voltage isn't in the site's settings (nominalV, lowV): what the rated load would draw can't be told.",
      ),
    );
  } else {
    const limits = [
      maxDischargeA === undefined ? null : `the ${formatAmps(maxDischargeA)} that the battery may give`,
      fuseA === undefined ? null : `the fuse's ${formatAmps(fuseA)} (80 % of it: ${formatAmps(0.8 * fuseA)})`,
    ].filter((one) => one !== null);
    const against =
      limits.length === 0
        ? "The ratings of battery and fuse aren't in the site's settings."
        : `Compare with ${limits.join(" and ")}.`;
    const least = model === null ? "at least " : "";
    statements.push(
      say(
        "rated-load",
        `The rated ${formatPower(ratings.totalLimitW)} would draw ${least}${rated.join(" and ")}. ${against}`,
        basis,
      ),
    );
  }
  const baseW = baseLoadW(loadDuration);
  if (baseW !== null && baseW > 0 && rated.length > 0) {
    statements.push(
      say(
        "base-load",
        `The base load of ${formatPower(baseW)}, reached or exceeded ${formatShare(BASE_LOAD_SHARE)} of the time, draws ${model === null ? "at least " : ""}${draws(baseW).join(" and ")}.`,
        basis,
      ),
    );
  }
  if (capacityAh !== undefined && nominalV !== undefined && lowSocPct !== undefined) {
    const usableWh = (capacityAh * nominalV * (100 - lowSocPct)) / 100;
    const { idleW, efficiency } = model ?? LOSSLESS;
    const runs = (loadW: number) => formatDuration((usableWh / (idleW + loadW / efficiency)) * 3600);
    const times = [
      baseW === null || !(baseW > 0) ? null : `${runs(baseW)} at the base load`,
      demand === null || !(demand.peakW > 0)
        ? null
        : `${runs(demand.peakW)} at the greatest 15-minute demand of ${formatPower(demand.peakW)}`,
      `${runs(ratings.totalLimitW)} at the rated ${formatPower(ratings.totalLimitW)}`,
    ].filter((one) => one !== null);
    statements.push(
      say(
        "run-time",
        `Full down to ${formatPct(lowSocPct)}, where the inverter leaves it, the battery holds ${formatEnergy(usableWh)} by its rating: ${model === null ? "at most " : ""}${times.join(", ")}, without sun.`,
        basis,
      ),
    );
  }
  return statements;
}

/** Load in W that is reached or exceeded for BASE_LOAD_SHARE of the time; null where no load is known. */
function baseLoadW(loadDuration: LoadDuration | null): number | null {
  if (loadDuration === null || loadDuration.total === null) return null;
  return loadDuration.total.exceededW[loadDuration.shares.indexOf(BASE_LOAD_SHARE)] ?? null;
}

function lowBattery({ transfers }: BatterySubject, when: string): BatteryStatement[] {
  const low = transfers.filter(({ cause }) => cause === "low-battery");
  const limit = transfers.filter(({ cause }) => cause === "dc-limit");
  const statements: BatteryStatement[] = [];
  if (low.length === 0) {
    statements.push(
      statement(
        "low",
        "no-low-battery",
        `No transfer for a low battery begins ${within(when)}, in what was logged.`,
      ),
    );
  } else {
    const soc = range(figuresOf(low, "low-soc", "batterySocPct"), formatPct);
    const volts = range(figuresOf(low, "low-volts", "batteryV"), formatVolts);
    const at = [soc === null ? null : `${soc} state of charge`, volts].filter((one) => one !== null);
    statements.push(
      statement(
        "low",
        "low-battery",
        `The loads went over to the utility ${howOften(low.length)} because the battery was low${at.length === 0 ? "" : `, at ${at.join(" and ")}`}; ${formatDuration(low.reduce((sum, one) => sum + one.onUtilityS, 0))} on the utility in all.`,
      ),
    );
  }
  if (limit.length > 0) {
    statements.push(
      statement(
        "low",
        "dc-limit",
        `They went over ${howOften(limit.length)} because the battery gave as much current as it may.`,
      ),
    );
  }
  return statements;
}

function figuresOf(
  transfers: readonly Transfer[],
  code: "low-soc" | "low-volts",
  name: "batterySocPct" | "batteryV",
): number[] {
  return transfers.flatMap(({ evidence }) =>
    evidence
      .filter((one: Evidence) => one.code === code)
      .flatMap((one) => {
        const value = (one.figures as { readonly [figure: string]: unknown })[name];
        return typeof value === "number" ? [value] : [];
      }),
  );
}

/** "20 % to 22 %", or "20 %" where all are alike; null for none. */
function range(values: readonly number[], format: (value: number) => string): string | null {
  if (values.length === 0) return null;
  const [least, most] = [format(Math.min(...values)), format(Math.max(...values))];
  return least === most ? least : `${least} to ${most}`;
}

function use({ current, power, socByHour }: Battery, ratings: Ratings): BatteryStatement[] {
  const say = (code: string, text: string, basis = "") => statement("use", code, text, basis);
  const { capacityAh, nominalV } = ratings.battery;
  const statements: BatteryStatement[] = [];
  if (power === null) {
    statements.push(
      say(
        "no-power",
        "The battery's power is not in this log: neither watts nor amperes and volts, so that its energy and cycles can't be told.",
      ),
    );
  } else {
    const energy = `It gave ${formatEnergy(power.dischargedWh)} and took ${formatEnergy(power.chargedWh)}`;
    const month =
      power.cyclesPerMonth === null
        ? ""
        : `, ${formatNumber(power.cyclesPerMonth, 1)} in a month at that rate`;
    statements.push(
      say(
        "cycles",
        power.equivalentFullCycles === null
          ? `${energy}; how many cycles that is can't be told without the battery's capacity and nominal voltage (capacityAh, nominalV).`
          : `${energy}: ${formatNumber(power.equivalentFullCycles, 1)} equivalent full cycles of ${capacityText(capacityAh, nominalV)}${month}.`,
        "energy discharged over the rated capacity",
      ),
    );
  }
  if (current !== null) {
    statements.push(
      say(
        "c-rate",
        current.maxCRate === null || current.p99CRate === null
          ? "The C-rate can't be told without the battery's capacity (capacityAh)."
          : `Its current was ${formatNumber(current.maxCRate, 2)} C at most, charging or discharging; 99 % of the time it was ${formatNumber(current.p99CRate, 2)} C or less.`,
        "amperes over ampere-hours of the rating",
      ),
    );
  }
  statements.push(
    socByHour === null
      ? say("no-soc", "The state of charge is not in this log.")
      : say(
          "soc",
          socSentence(socByHour, ratings.battery.lowSocPct),
          "median of the days’ means in each clock hour",
        ),
  );
  return statements;
}

function capacityText(capacityAh: number | undefined, nominalV: number | undefined): string {
  return capacityAh === undefined || nominalV === undefined
    ? "its capacity"
    : `its ${formatEnergy(capacityAh * nominalV)}`;
}

function socSentence(hours: readonly SocHour[], lowSocPct: number | undefined): string {
  const emptiest = hours.reduce((a, b) => (b.medianPct < a.medianPct ? b : a));
  const fullest = hours.reduce((a, b) => (b.medianPct > a.medianPct ? b : a));
  const least = Math.min(...hours.map(({ leastPct }) => leastPct));
  const most = Math.max(...hours.map(({ greatestPct }) => greatestPct));
  const left = lowSocPct === undefined ? "" : ` The inverter leaves it at ${formatPct(lowSocPct)}.`;
  return `On most days it is emptiest in the hour from ${hourText(emptiest.hour)} (${formatPct(emptiest.medianPct)}) and fullest in the hour from ${hourText(fullest.hour)} (${formatPct(fullest.medianPct)}); the log has it between ${formatPct(least)} and ${formatPct(most)}.${left}`;
}

function hourText(hour: number): string {
  return `${String(hour).padStart(2, "0")}:00`;
}

function inverter(power: BatteryPower | null, { idleW: givenW, battery }: Ratings): BatteryStatement[] {
  const say = (code: string, text: string, basis = "") => statement("inverter", code, text, basis);
  if (power === null) {
    return [
      say("no-model", "Idle power and efficiency can't be told: the battery's power is not in this log."),
    ];
  }
  const { model, modelSamples } = power;
  if (model === null) {
    return [
      say(
        "no-model",
        modelSamples < 100
          ? `Idle power and efficiency can't be told: ${modelSamples === 0 ? "no sample" : `only ${formatCount(modelSamples, "sample")}`} on inverter without sun.`
          : "Idle power and efficiency can't be told: on inverter without sun the load hardly changes, or the battery's power doesn't follow it.",
        "at least 100 samples, and a load whose standard deviation is 100 W or more",
      ),
    ];
  }
  const basis = [
    `least squares over ${formatCount(model.n, "sample")} on inverter with at most 5 W of sun, weighted by the time they stand`,
    model.r2 === null ? null : `r² ${formatNumber(model.r2, 4)}`,
    `battery power lies ${formatPower(model.residualW)} beside the line (standard deviation)`,
  ]
    .filter((one) => one !== null)
    .join("; ");
  if (usable(model) === null) {
    return [
      say(
        "model-impossible",
        `The fit gives ${formatPower(model.idleW)} idle and an efficiency of ${formatShare(model.efficiency)}, which no inverter has: the meters of battery and load disagree, or something feeds in that isn't in the log.`,
        basis,
      ),
    ];
  }
  const { days } = model;
  const idleSe = `${formatNumber(model.idleSeW, 2)} W`;
  const efficiencySe = `${formatNumber(100 * model.efficiencySe, 2)} points`;
  const spread = (of: DaySpread, text: (value: number) => string) =>
    `half of ${formatCount(days?.n ?? 0, "day")} by themselves give ${text(of.q1)} to ${text(of.q3)}`;
  const given = givenW === undefined ? "" : ` The site's settings say ${formatPower(givenW)}.`;
  const capacityWh =
    battery.capacityAh === undefined || battery.nominalV === undefined
      ? null
      : battery.capacityAh * battery.nominalV;
  const share =
    capacityWh === null
      ? ""
      : `, ${formatNumber((100 * model.idleW * 24) / capacityWh, 0)} % of the battery's capacity`;
  return [
    say(
      "idle",
      `With nothing to feed it takes ${formatPower(model.idleW)} from the battery: ${formatNumber((model.idleW * 24) / 1000, 1)} kWh a day${share}; ${days === null ? `standard error ${idleSe}` : spread(days.idleW, formatPower)}.${given}`,
      `${basis}; standard error ${idleSe}, which takes samples that follow one another for independent, so that the spread of the days says more`,
    ),
    say(
      "efficiency",
      `Of each further kilowatt from the battery the loads get ${formatShare(model.efficiency)}; ${days === null ? `standard error ${efficiencySe}` : spread(days.efficiency, formatShare)}.`,
      `${basis}; standard error ${efficiencySe}`,
    ),
  ];
}

function ageing(
  { current, power, resistance, capacity, socByHour }: Battery,
  ratings: Ratings,
  clock: LocalClock,
): BatteryStatement[] {
  const statements = [
    ...resistanceStatements(resistance, current, ratings),
    ...capacityStatements(capacity, current !== null && socByHour !== null, ratings),
  ];
  if (power === null) return statements;
  const { roundTrip } = power;
  return [
    ...statements,
    roundTrip === null
      ? statement(
          "ageing",
          "no-round-trip",
          "Round-trip efficiency can't be told: it takes two local midnights of equal state of charge (± 1 %), a full cycle or more apart, with the battery's power known all the way between.",
        )
      : statement(
          "ageing",
          "round-trip",
          `From ${formatLocalTime(roundTrip.fromMs, clock)} to ${formatLocalTime(roundTrip.toMs, clock)} it gave back ${formatShare(roundTrip.efficiency)} of what it took: ${formatEnergy(roundTrip.dischargedWh)} of ${formatEnergy(roundTrip.chargedWh)}, over ${formatNumber(roundTrip.cycles, 1)} cycles.`,
          `state of charge ${formatPct(roundTrip.fromSocPct)} at the beginning, ${formatPct(roundTrip.toSocPct)} at the end`,
        ),
  ];
}

function resistanceStatements(
  resistance: BatteryResistance | null,
  current: BatteryCurrent | null,
  { battery: { maxDischargeA } }: Ratings,
): BatteryStatement[] {
  if (current === null) return [];
  if (resistance === null) {
    return [
      statement(
        "ageing",
        "no-resistance",
        "Internal resistance can't be told: it takes 20 steps of the measured current, with the battery's voltage falling as the current rises.",
      ),
    ];
  }
  const { ohm, ohmSe, r2, steps, stepMinA, delayS } = resistance;
  const milli = (value: number) => formatNumber(1000 * value, 1);
  const atA = maxDischargeA ?? current.maxDischargeA;
  const sag = atA === null ? "" : ` At ${formatAmps(atA)} that is ${formatVolts(ohm * atA)}.`;
  return [
    statement(
      "ageing",
      "resistance",
      `Its voltage falls by ${milli(ohm)} mV for each ampere more: ${milli(ohm)} mΩ, with all that lies between the cells and where the voltage is measured.${sag} A battery that ages, and a joint that loosens, show as more of it from month to month.`,
      `slope of −ΔV against ΔA over ${formatCount(steps, "step")} of ${formatAmps(stepMinA)} or more between neighbouring samples, read up to ${formatDuration(delayS)} after the step${r2 === null ? "" : `; r² ${formatNumber(r2, 3)}`}; standard error ${formatNumber(1000 * ohmSe, 2)} mΩ`,
    ),
  ];
}

function capacityStatements(
  capacity: BatteryCapacity | null,
  couldBe: boolean,
  { battery: { capacityAh } }: Ratings,
): BatteryStatement[] {
  if (capacity === null) {
    return couldBe
      ? [
          statement(
            "ageing",
            "no-capacity",
            "Capacity can't be told: no discharge took the state of charge down by 30 points or more without charging in between.",
          ),
        ]
      : [];
  }
  const { ah, q1Ah, q3Ah, discharges } = capacity;
  const spread =
    q1Ah === null || q3Ah === null
      ? ""
      : `, half of them by themselves ${formatNumber(q1Ah, 0)} Ah to ${formatNumber(q3Ah, 0)} Ah`;
  const rated =
    capacityAh === undefined
      ? ""
      : ` That is ${formatNumber((100 * ah) / capacityAh, 0)} % of its rated ${formatNumber(capacityAh, 0)} Ah.`;
  return [
    statement(
      "ageing",
      "capacity",
      `By ${formatCount(discharges.length, "discharge")} of 30 points or more it holds ${formatNumber(ah, 0)} Ah${spread}.${rated} The state of charge is the battery's own reckoning: where it counts down from the rated capacity, this shows nothing but that.`,
      "ampere-hours drawn over the fall of the state of charge",
    ),
  ];
}
