import { describe, expect, it } from "vitest";
import type { Battery } from "../../../src/analysis/battery";
import type { BatteryCurrent } from "../../../src/analysis/battery-current";
import type { BatteryPower } from "../../../src/analysis/battery-power";
import type { LoadDuration } from "../../../src/analysis/load-duration";
import { createLocalClock } from "../../../src/analysis/local-time";
import type { Ratings } from "../../../src/analysis/ratings";
import type { Transfer } from "../../../src/analysis/results";
import { type BatterySubject, batterySummary } from "../../../src/report/battery-summary";

const clock = createLocalClock("America/Denver");
const AT_MS = Date.UTC(2026, 5, 14, 0, 2);

const RATINGS: Ratings = {
  from: "2026-01-01",
  legLimitW: 4000,
  totalLimitW: 8000,
  legLimitVa: 4000,
  totalLimitVa: 8000,
  legNominalV: 120,
  overload: [],
  derate: [],
  hundredPercentRated: [],
  idleW: 60,
  battery: {
    nominalV: 51.2,
    capacityAh: 400,
    maxDischargeA: 200,
    maxChargeA: 120,
    fuseA: 250,
    lowSocPct: 20,
    lowV: 48,
  },
  dcCable: { size: "4/0", oneWayFt: 6 },
};

const CURRENT: BatteryCurrent = {
  heldS: 2_592_000,
  reckonedS: 0,
  maxDischargeA: 187.3,
  maxDischargeAtMs: AT_MS,
  maxChargeA: 118,
  maxChargeAtMs: AT_MS + 3_600_000,
  p99A: 92,
  aboveMaxDischargeS: 0,
  aboveMaxChargeS: 0,
  aboveFuseS: 0,
  above80PctFuseS: 0,
  maxCRate: 0.46825,
  p99CRate: 0.23,
  binA: 1,
  bins: [],
};

const POWER: BatteryPower = {
  heldS: 2_592_000,
  dischargedWh: 312_000,
  chargedWh: 340_000,
  equivalentFullCycles: 15.23,
  cyclesPerMonth: 15.45,
  model: {
    idleW: 61.4,
    idleSeW: 0.42,
    efficiency: 0.942,
    efficiencySe: 0.0004,
    r2: 0.9912,
    residualW: 34,
    n: 12_345,
    days: {
      n: 28,
      idleW: { q1: 58, median: 61, q3: 64 },
      efficiency: { q1: 0.938, median: 0.942, q3: 0.944 },
    },
  },
  modelSamples: 12_345,
  points: [],
  roundTrip: {
    efficiency: 0.921,
    fromMs: Date.UTC(2026, 5, 3, 6),
    toMs: Date.UTC(2026, 5, 28, 6),
    fromSocPct: 54,
    toSocPct: 55,
    dischargedWh: 312_000,
    chargedWh: 338_762,
    cycles: 15.2,
  },
};

const hour = (at: number, medianPct: number) => ({
  hour: at,
  days: 30,
  leastPct: medianPct - 18,
  greatestPct: Math.min(100, medianPct + 10),
  q1Pct: medianPct - 5,
  medianPct,
  q3Pct: medianPct + 1,
});

const BATTERY: Battery = {
  current: CURRENT,
  power: POWER,
  socByHour: [hour(0, 70), hour(6, 38), hour(15, 97)],
  resistance: { ohm: 0.012, ohmSe: 0.00013, r2: 0.971, steps: 345, stepMinA: 10, delayS: 60 },
  capacity: {
    ah: 396.4,
    q1Ah: 390,
    q3Ah: 401,
    discharges: [1, 2, 3].map((day) => ({
      fromMs: AT_MS + day * 86_400_000,
      toMs: AT_MS + (day + 0.4) * 86_400_000,
      fromSocPct: 90,
      toSocPct: 40,
      drawnAh: 198,
    })),
  },
};

const LOAD: LoadDuration = {
  shares: [0, 0.5, 0.9],
  binW: 10,
  total: { heldS: 2_592_000, exceededW: [6000, 900, 450] },
  l1: null,
  l2: null,
};

const SUBJECT: BatterySubject = {
  battery: BATTERY,
  loadDuration: LOAD,
  demand: { peakW: 5200 } as BatterySubject["demand"],
  transfers: [],
  heldS: 2_592_000,
};

function summary(change: Partial<BatterySubject> = {}, ratings: Ratings = RATINGS) {
  return batterySummary({ ...SUBJECT, ...change }, ratings, "In June 2026", clock);
}

function textOf(code: string, change: Partial<BatterySubject> = {}, ratings: Ratings = RATINGS) {
  return summary(change, ratings).statements.find((one) => one.code === code)?.text;
}

const withCurrent = (change: Partial<BatteryCurrent>): Partial<BatterySubject> => ({
  battery: { ...BATTERY, current: { ...CURRENT, ...change } },
});
const withPower = (change: Partial<BatteryPower>): Partial<BatterySubject> => ({
  battery: { ...BATTERY, power: { ...POWER, ...change } },
});
const withBattery = (battery: Ratings["battery"], more: Partial<Ratings> = {}): Ratings => ({
  ...RATINGS,
  ...more,
  battery,
});

describe("the answer", () => {
  it("holds the greatest current against battery and fuse", () => {
    expect(summary().headline).toBe(
      "In June 2026 the battery gave 187 A at most, on 13 Jun, 18:02: under the 200 A it may give and under 80 % of its 250 A fuse.",
    );
  });

  it("says above what first, and for how long", () => {
    expect(
      summary(withCurrent({ maxDischargeA: 231, aboveMaxDischargeS: 840, above80PctFuseS: 900 })).headline,
    ).toBe(
      "In June 2026 the battery gave 231 A at most, on 13 Jun, 18:02: above the 200 A it may give (14 min in all) and above 80 % of its 250 A fuse (15 min in all).",
    );
    expect(
      summary(
        withCurrent({ maxDischargeA: 300, aboveFuseS: 20 }),
        withBattery({ fuseA: 250, maxDischargeA: 350 }),
      ).headline,
    ).toBe(
      "In June 2026 the battery gave 300 A at most, on 13 Jun, 18:02: above the 250 A of its fuse (20 s in all) and under the 350 A it may give.",
    );
    expect(
      summary(withCurrent({ maxDischargeA: 200 }), withBattery({ maxDischargeA: 200 })).headline,
    ).toMatch(/: at the 200 A it may give\.$/);
  });

  it("says what is missing", () => {
    expect(summary({ heldS: 0 })).toEqual({
      headline: "There are no samples in June 2026.",
      rated: null,
      statements: [],
    });
    const none = summary({ battery: null });
    expect(none.headline).toBe(
      "The battery is not in this log: no current, voltage, power or state of charge of it in June 2026.",
    );
    // The arithmetic of the rated load needs no log.
    expect(none.statements.map((one) => one.code)).toEqual([
      "rated-load",
      "base-load",
      "run-time",
      "no-low-battery",
    ]);
    expect(summary({ battery: { ...BATTERY, current: null } }).headline).toBe(
      "The battery's current is not in this log in June 2026.",
    );
    expect(summary(withCurrent({ maxDischargeA: null, maxDischargeAtMs: null })).headline).toBe(
      "In June 2026 the battery gave no current, as far as the log covers it.",
    );
    expect(summary({}, withBattery({})).headline).toBe(
      "In June 2026 the battery gave 187 A at most, on 13 Jun, 18:02; what it may give and its fuse aren't in the site's settings.",
    );
  });
});

describe("what the rated load would draw, in short", () => {
  it("is said at the lowest voltage that is given", () => {
    expect(summary().rated).toBe(
      "The rated 8.00 kW would draw 178 A at 48.0 V, where the inverter leaves it.",
    );
    expect(summary({}, withBattery({ nominalV: 51.2 })).rated).toBe(
      "The rated 8.00 kW would draw 167 A at 51.2 V.",
    );
    expect(summary({ battery: null }).rated).toBe(
      "The rated 8.00 kW would draw at least 167 A at 48.0 V, where the inverter leaves it.",
    );
    expect(summary({}, withBattery({})).rated).toBeNull();
  });
});

describe("battery, fuse and cable", () => {
  it("gives each figure beside what it is held against", () => {
    expect(textOf("greatest-discharge")).toBe(
      "It gave 187 A at most, on 13 Jun, 18:02: 94 % of the 200 A that the battery may give, 75 % of the fuse's 250 A.",
    );
    expect(summary().statements[0].atMs).toBe(AT_MS);
    expect(textOf("above-discharge")).toBe(
      "The current was never above the 200 A that the battery may give, in what was logged.",
    );
    expect(textOf("above-discharge", withCurrent({ aboveMaxDischargeS: 250 }))).toBe(
      "The current was above the 200 A that the battery may give for 4 min 10 s in all.",
    );
    expect(textOf("above-fuse-80")).toBe(
      "The current was never above 80 % of the fuse, 200 A, whichever way it flowed, in what was logged. A fuse that is to carry such a current for three hours or more wants a rating of 125 % of it, unless it is listed for 100 %.",
    );
    expect(summary().statements.find((one) => one.code === "above-fuse-80")?.basis).toBe(
      "NEC 210.20(A), 215.3 for continuous load, by way of comparison",
    );
    expect(textOf("above-fuse", withCurrent({ aboveFuseS: 5 }))).toBe(
      "The current was above the fuse's 250 A for 5 s in all.",
    );
    expect(textOf("greatest-charge")).toBe(
      "It took 118 A at most, on 13 Jun, 19:02: 98 % of the 120 A that the battery may take. The current was never above those 120 A, in what was logged.",
    );
  });

  it("says which ratings aren't given", () => {
    const bare = withBattery({});
    const unrated = withCurrent({
      aboveMaxDischargeS: null,
      aboveMaxChargeS: null,
      aboveFuseS: null,
      above80PctFuseS: null,
    });
    expect(textOf("greatest-discharge", unrated, bare)).toBe("It gave 187 A at most, on 13 Jun, 18:02.");
    expect(textOf("no-discharge-rating", unrated, bare)).toBe(
      "What the battery may give isn't in the site's settings (maxDischargeA): nothing to hold the current against.",
    );
    expect(textOf("no-fuse-rating", unrated, bare)).toBe(
      "The rating of the DC fuse isn't in the site's settings (fuseA): nothing to hold it against.",
    );
    expect(textOf("greatest-charge", unrated, bare)).toBe("It took 118 A at most, on 13 Jun, 19:02.");
    expect(textOf("no-cable", {}, { ...RATINGS, dcCable: undefined })).toBe(
      "The DC cable isn't in the site's settings (dcCable): its voltage drop can't be told.",
    );
    expect(textOf("unknown-cable", {}, { ...RATINGS, dcCable: { size: "70 mm²", oneWayFt: 6 } })).toBe(
      "The DC cable's size \"70 mm²\" is not in the table that is used here (copper, 8 AWG to 250 kcmil): its voltage drop can't be told.",
    );
  });

  it("works out what the cable drops, and compares without passing it", () => {
    expect(textOf("cable-drop")).toBe(
      "At 187 A a copper cable of 4/0 AWG, 12 ft there and back, drops 0.14 V, 0.27 % of 51.2 V, and turns 26 W into heat; lugs, fuse and disconnect come on top.",
    );
    expect(textOf("cable-ampacity")).toBe(
      "Compare 187 A with 230 A, which NEC Table 310.16 gives for 4/0 AWG copper at 75 °C with at most three such conductors and 30 °C around them. What this cable may carry is a matter of its marking, how it is laid, and the local code.",
    );
  });

  it("says where the current is known for less, or reckoned", () => {
    const basis = summary(withCurrent({ heldS: 1_296_000, reckonedS: 3600 })).statements[0].basis;
    expect(basis).toBe(
      "known for 50 % of what is logged; for 1 h taken as battery power over battery voltage",
    );
  });

  it("says that there is none in the log", () => {
    expect(textOf("no-current", { battery: { ...BATTERY, current: null } })).toBe(
      "The battery's current is not in this log: neither amperes nor watts and volts.",
    );
  });
});

describe("what the rated load would draw", () => {
  it("is arithmetic with the fitted model, at nominal and at low voltage", () => {
    // (61.4 + 8000 / 0.942) / 51.2 and / 48.
    expect(textOf("rated-load")).toBe(
      "The rated 8.00 kW would draw 167 A at 51.2 V and 178 A at 48.0 V, where the inverter leaves the battery. Compare with the 200 A that the battery may give and the fuse's 250 A (80 % of it: 200 A).",
    );
    expect(textOf("base-load")).toBe(
      "The base load of 450 W, reached or exceeded 90 % of the time, draws 10.5 A at 51.2 V and 11.2 A at 48.0 V, where the inverter leaves the battery.",
    );
    expect(textOf("run-time")).toBe(
      "Full down to 20 %, where the inverter leaves it, the battery holds 16.4 kWh by its rating: 1 d 6 h at the base load, 2 h 56 min at the greatest 15-minute demand of 5.20 kW, 1 h 55 min at the rated 8.00 kW, without sun.",
    );
  });

  it("is a lower bound without one", () => {
    expect(textOf("rated-load", withPower({ model: null }))).toBe(
      "The rated 8.00 kW would draw at least 156 A at 51.2 V and 167 A at 48.0 V, where the inverter leaves the battery. Compare with the 200 A that the battery may give and the fuse's 250 A (80 % of it: 200 A).",
    );
    expect(textOf("run-time", { ...withPower({ model: null }), loadDuration: null, demand: null })).toBe(
      "Full down to 20 %, where the inverter leaves it, the battery holds 16.4 kWh by its rating: at most 2 h 3 min at the rated 8.00 kW, without sun.",
    );
  });

  it("says what it would take", () => {
    expect(textOf("no-voltage", {}, withBattery({}))).toBe(
      "The battery's voltage isn't in the site's settings (nominalV, lowV): what the rated load would draw can't be told.",
    );
    expect(textOf("rated-load", {}, withBattery({ nominalV: 51.2 }))).toBe(
      "The rated 8.00 kW would draw 167 A at 51.2 V. The ratings of battery and fuse aren't in the site's settings.",
    );
    expect(textOf("base-load", { loadDuration: null })).toBeUndefined();
  });
});

describe("where the battery was the limit", () => {
  const transfer = (cause: string, evidence: unknown[], onUtilityS = 600) =>
    ({ cause, evidence, onUtilityS }) as Transfer;

  it("counts the transfers, and says how full the battery was", () => {
    const transfers = [
      transfer("low-battery", [{ code: "low-soc", figures: { batterySocPct: 22 } }]),
      transfer("low-battery", [
        { code: "low-soc", figures: { batterySocPct: 20 } },
        { code: "low-volts", figures: { batteryV: 48.1 } },
      ]),
      transfer("dc-limit", []),
    ];
    expect(textOf("low-battery", { transfers })).toBe(
      "The loads went over to the utility twice because the battery was low, at 20 % to 22 % state of charge and 48.1 V; 20 min on the utility in all.",
    );
    expect(textOf("dc-limit", { transfers })).toBe(
      "They went over once because the battery gave as much current as it may.",
    );
    expect(textOf("low-battery", { transfers: [transfer("low-battery", [])] })).toBe(
      "The loads went over to the utility once because the battery was low; 10 min on the utility in all.",
    );
    expect(textOf("no-low-battery")).toBe(
      "No transfer for a low battery begins in June 2026, in what was logged.",
    );
  });
});

describe("how hard the battery works", () => {
  it("has energy, cycles, C-rate and state of charge", () => {
    expect(textOf("cycles")).toBe(
      "It gave 312 kWh and took 340 kWh: 15.2 equivalent full cycles of its 20.5 kWh, 15.5 in a month at that rate.",
    );
    expect(textOf("c-rate")).toBe(
      "Its current was 0.47 C at most, charging or discharging; 99 % of the time it was 0.23 C or less.",
    );
    expect(textOf("soc")).toBe(
      "On most days it is emptiest in the hour from 06:00 (38 %) and fullest in the hour from 15:00 (97 %); the log has it between 20 % and 100 %. The inverter leaves it at 20 %.",
    );
  });

  it("says what is missing", () => {
    expect(textOf("cycles", withPower({ equivalentFullCycles: null, cyclesPerMonth: null }))).toBe(
      "It gave 312 kWh and took 340 kWh; how many cycles that is can't be told without the battery's capacity and nominal voltage (capacityAh, nominalV).",
    );
    expect(textOf("cycles", withPower({ cyclesPerMonth: null }))).toBe(
      "It gave 312 kWh and took 340 kWh: 15.2 equivalent full cycles of its 20.5 kWh.",
    );
    expect(textOf("c-rate", withCurrent({ maxCRate: null, p99CRate: null }))).toBe(
      "The C-rate can't be told without the battery's capacity (capacityAh).",
    );
    expect(textOf("no-soc", { battery: { ...BATTERY, socByHour: null } })).toBe(
      "The state of charge is not in this log.",
    );
    const without = { battery: { ...BATTERY, power: null } };
    expect(textOf("no-power", without)).toBe(
      "The battery's power is not in this log: neither watts nor amperes and volts, so that its energy and cycles can't be told.",
    );
    expect(textOf("no-model", without)).toBe(
      "Idle power and efficiency can't be told: the battery's power is not in this log.",
    );
    expect(textOf("no-round-trip", without)).toBeUndefined();
  });
});

describe("what the inverter takes", () => {
  it("has idle power with what it costs a day, and efficiency, with the spread of the days", () => {
    expect(textOf("idle")).toBe(
      "With nothing to feed it takes 61 W from the battery: 1.5 kWh a day, 7 % of the battery's capacity; half of 28 days by themselves give 58 W to 64 W. The site's settings say 60 W.",
    );
    expect(textOf("efficiency")).toBe(
      "Of each further kilowatt from the battery the loads get 94.2 %; half of 28 days by themselves give 93.8 % to 94.4 %.",
    );
    expect(summary().statements.find((one) => one.code === "efficiency")?.basis).toBe(
      "least squares over 12,345 samples on inverter with at most 5 W of sun, weighted by the time they stand; r² 0.9912; battery power lies 34 W beside the line (standard deviation); standard error 0.04 points",
    );
  });

  it("has the standard errors where there are too few days", () => {
    const few = withPower({ model: { ...(POWER.model as NonNullable<typeof POWER.model>), days: null } });
    expect(textOf("idle", few, withBattery({}, { idleW: undefined }))).toBe(
      "With nothing to feed it takes 61 W from the battery: 1.5 kWh a day; standard error 0.42 W.",
    );
    expect(textOf("efficiency", few)).toBe(
      "Of each further kilowatt from the battery the loads get 94.2 %; standard error 0.04 points.",
    );
  });

  it("says why it can't tell", () => {
    expect(textOf("no-model", withPower({ model: null, modelSamples: 0 }))).toBe(
      "Idle power and efficiency can't be told: no sample on inverter without sun.",
    );
    expect(textOf("no-model", withPower({ model: null, modelSamples: 40 }))).toBe(
      "Idle power and efficiency can't be told: only 40 samples on inverter without sun.",
    );
    expect(textOf("no-model", withPower({ model: null, modelSamples: 400 }))).toBe(
      "Idle power and efficiency can't be told: on inverter without sun the load hardly changes, or the battery's power doesn't follow it.",
    );
  });

  it("takes no efficiency that no inverter has for one", () => {
    const impossible = withPower({
      model: { ...(POWER.model as NonNullable<typeof POWER.model>), efficiency: 1.032, idleW: -12 },
    });
    expect(textOf("model-impossible", impossible)).toBe(
      "The fit gives -12 W idle and an efficiency of 103.2 %, which no inverter has: the meters of battery and load disagree, or something feeds in that isn't in the log.",
    );
    expect(textOf("rated-load", impossible)).toMatch(/^The rated 8\.00 kW would draw at least 156 A/);
  });
});

describe("signs of ageing", () => {
  it("has the round trip between two midnights, or says what it takes", () => {
    expect(textOf("round-trip")).toBe(
      "From 3 Jun, 00:00 to 28 Jun, 00:00 it gave back 92.1 % of what it took: 312 kWh of 339 kWh, over 15.2 cycles.",
    );
    expect(textOf("no-round-trip", withPower({ roundTrip: null }))).toBe(
      "Round-trip efficiency can't be told: it takes two local midnights of equal state of charge (± 1 %), a full cycle or more apart, with the battery's power known all the way between.",
    );
  });

  it("has the resistance with what it sags at the rating", () => {
    expect(textOf("resistance")).toBe(
      "Its voltage falls by 12.0 mV for each ampere more: 12.0 mΩ, with all that lies between the cells and where the voltage is measured. At 200 A that is 2.4 V. A battery that ages, and a joint that loosens, show as more of it from month to month.",
    );
    expect(summary().statements.find((one) => one.code === "resistance")?.basis).toBe(
      "slope of −ΔV against ΔA over 345 steps of 10.0 A or more between neighbouring samples, read up to 1 min after the step; r² 0.971; standard error 0.13 mΩ",
    );
    // Without a rating it is told at the greatest current met.
    expect(textOf("resistance", {}, withBattery({}))).toMatch(/At 187 A that is 2\.2 V\./);
    expect(textOf("no-resistance", { battery: { ...BATTERY, resistance: null } })).toBe(
      "Internal resistance can't be told: it takes 20 steps of the measured current, with the battery's voltage falling as the current rises.",
    );
    expect(
      textOf("no-resistance", { battery: { ...BATTERY, current: null, resistance: null } }),
    ).toBeUndefined();
  });

  it("has the capacity beside the rated one, and what it can't show", () => {
    expect(textOf("capacity")).toBe(
      "By 3 discharges of 30 points or more it holds 396 Ah, half of them by themselves 390 Ah to 401 Ah. That is 99 % of its rated 400 Ah. The state of charge is the battery's own reckoning: where it counts down from the rated capacity, this shows nothing but that.",
    );
    const one = { ...(BATTERY.capacity as NonNullable<typeof BATTERY.capacity>), q1Ah: null, q3Ah: null };
    expect(textOf("capacity", { battery: { ...BATTERY, capacity: one } }, withBattery({}))).toMatch(
      /^By 3 discharges of 30 points or more it holds 396 Ah\. The state of charge/,
    );
    expect(textOf("no-capacity", { battery: { ...BATTERY, capacity: null } })).toBe(
      "Capacity can't be told: no discharge took the state of charge down by 30 points or more without charging in between.",
    );
    expect(
      textOf("no-capacity", { battery: { ...BATTERY, capacity: null, socByHour: null } }),
    ).toBeUndefined();
  });
});
