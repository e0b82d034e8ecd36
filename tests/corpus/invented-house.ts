import type { SeededRandom } from "./seeded-random";

/**
 * How the house is wired: `backup`, an inverter that carries the loads and hands them to the utility by a relay;
 * `parallel`, one that works beside the grid and feeds into it; `island`, no grid.
 */
export type Wiring = "backup" | "parallel" | "island";

export type HouseOptions = {
  readonly wiring: Wiring;
  readonly intervalS: number;
  readonly rows: number;
  readonly fromMs: number;
  /** Of the local clock, all through the log. */
  readonly offsetS: number;
  readonly hasSun: boolean;
  readonly hasBattery: boolean;
  readonly hasGenerator: boolean;
};

const FIGURES = [
  "l1W",
  "l2W",
  "loadW",
  "l1Va",
  "l2Va",
  "l1A",
  "l2A",
  "l1V",
  "l2V",
  "pvW",
  "pv1W",
  "pv2W",
  "pvV",
  "pvA",
  "batW",
  "batA",
  "batV",
  "soc",
  "gridW",
  "g1W",
  "g2W",
  "gridV",
  "genW",
  "freq",
  "tInv",
  "tRoom",
  "tOut",
  "humidity",
] as const;

export type Figure = (typeof FIGURES)[number];

export type SourceState = "inverter" | "utility" | "generator";

/** What happened in the house: a figure a row, in W, V, A, %, °C; battery positive discharging, grid importing. */
export type HouseRows = {
  readonly figures: { readonly [F in Figure]: Float64Array };
  readonly sources: readonly SourceState[];
  /** Whether sun or battery carries most, for loggers that tell them apart. */
  readonly sunCarries: readonly boolean[];
  readonly faults: readonly string[];
};

type Appliance = { legs: 1 | 2 | 3; powerW: number; aDay: number; minutes: number; pf: number };

const CAPACITY_WH = 18_000;
const IDLE_W = 55;

/**
 * A small house of its own for the corpus: two legs of appliances that come and go, sun with clouds, a battery, the
 * utility, a generator. Means over each row's interval. Shares no code with what reads logs.
 */
export function inventedHouse(random: SeededRandom, options: HouseOptions): HouseRows {
  const { wiring, intervalS, rows, hasSun, hasBattery, hasGenerator } = options;
  const figures = Object.fromEntries(FIGURES.map((f) => [f, new Float64Array(rows)])) as {
    [F in Figure]: Float64Array;
  };
  const sources: SourceState[] = [];
  const sunCarries: boolean[] = [];
  const faults: string[] = [];
  const stepS = Math.min(intervalS, 30);
  const steps = Math.round(intervalS / stepS);
  const appliances: Appliance[] = [
    { legs: 1, powerW: 1450, aDay: 9, minutes: 6, pf: 1 },
    { legs: 2, powerW: 1180, aDay: 7, minutes: 9, pf: 1 },
    { legs: 1, powerW: 620, aDay: 30, minutes: 11, pf: 0.82 },
    { legs: 2, powerW: 340, aDay: 34, minutes: 14, pf: 0.78 },
    { legs: 3, powerW: 3600, aDay: 6, minutes: 16, pf: 0.99 },
    { legs: 2, powerW: 2100, aDay: 4, minutes: 12, pf: 0.97 },
    { legs: 1, powerW: 260, aDay: 8, minutes: 55, pf: 0.9 },
  ];
  const onFor = appliances.map(() => 0);
  const base1W = random.between(140, 320);
  const base2W = random.between(90, 240);
  const sunPeakW = random.between(4200, 7800);
  const share1 = random.between(0.52, 0.64);
  let soc = hasBattery ? random.between(38, 78) : 0;
  let cloud = random.between(0.6, 1);
  let onUtilityS = 0;
  let source: SourceState = "inverter";
  let tInv = 34;
  let fault = "";
  // Every log shows the utility carrying the loads at least twice, the first time early.
  const stintS = Math.max(900, 4 * intervalS);
  const stints = [0.12, 0.31, 0.62, 0.85].map((at) => Math.floor(at * rows) * intervalS);
  const noise = (share: number) => 1 + share * random.normal();
  for (let row = 0; row < rows; row++) {
    const sums = { l1: 0, l2: 0, va1: 0, va2: 0, pv: 0, bat: 0, grid: 0, gen: 0, utility: 0, generator: 0 };
    for (let step = 0; step < steps; step++) {
      const sinceS = row * intervalS + step * stepS;
      const localS = options.fromMs / 1000 + options.offsetS + sinceS;
      const hour = (((localS % 86_400) + 86_400) % 86_400) / 3600;
      const awake = hour > 6 && hour < 23 ? 1.25 : 0.35;
      let l1W = base1W * noise(0.02) + 40 * Math.sin(hour);
      let l2W = base2W * noise(0.02) + 25 * Math.cos(hour * 1.3);
      let va1 = l1W / 0.94;
      let va2 = l2W / 0.93;
      appliances.forEach((appliance, i) => {
        if (onFor[i] > 0) onFor[i] -= stepS;
        else if (random.chance((appliance.aDay * awake * stepS) / 86_400)) {
          onFor[i] = appliance.minutes * 60 * random.between(0.6, 1.4);
        }
        if (onFor[i] <= 0) return;
        const powerW = appliance.powerW * noise(0.006);
        const on1W = appliance.legs === 3 ? powerW / 2 : appliance.legs === 1 ? powerW : 0;
        const on2W = appliance.legs === 3 ? powerW / 2 : appliance.legs === 2 ? powerW : 0;
        l1W += on1W;
        l2W += on2W;
        va1 += on1W / appliance.pf;
        va2 += on2W / appliance.pf;
      });
      const loadW = l1W + l2W;
      const height = Math.sin(((hour - 6.2) / 13.2) * Math.PI);
      cloud = Math.min(1, Math.max(0.15, cloud + 0.012 * Math.sqrt(stepS) * random.normal()));
      let pvW = hasSun && hour > 6.2 && hour < 19.4 ? sunPeakW * Math.max(0, height) ** 1.15 * cloud : 0;
      if (pvW < 4) pvW = 0;
      let batW = 0;
      let gridW = 0;
      let genW = 0;
      if (wiring === "parallel") {
        const wantedW = loadW + IDLE_W - pvW;
        if (hasBattery) {
          if (wantedW > 0 && soc > 18) batW = Math.min(wantedW * 0.97, 3300);
          else if (wantedW < 0 && soc < 96) batW = -Math.min(-wantedW, 2600);
          // Cheap hours: a while of charging from the grid.
          if (hour > 2 && hour < 3.5 && soc < 70) batW = -1800;
        }
        gridW = wantedW - batW + 0.03 * Math.abs(batW);
        source = "inverter";
      } else {
        const due = wiring === "backup" && stints.some((s) => sinceS >= s && sinceS < s + stintS);
        const mayLeave = onUtilityS > 240 && !due && (!hasBattery || soc > 26) && loadW < 6200;
        const must = due || (hasBattery && soc < 16) || loadW > 7600;
        if (source === "inverter" && must && wiring === "backup") {
          source = hasGenerator && random.chance(0.45) ? "generator" : "utility";
          onUtilityS = 0;
          if (random.chance(0.35)) fault = random.pick(["E07", "E12", "F23"]);
        } else if (source !== "inverter" && mayLeave) {
          source = "inverter";
          fault = "";
        }
        if (source === "inverter") {
          const wantedW = loadW * 1.04 + IDLE_W;
          if (hasBattery) {
            batW = wantedW - pvW;
            if (batW < 0 && soc > 97) {
              pvW = wantedW;
              batW = 0;
            }
            batW = Math.max(batW, -4500);
            if (pvW > wantedW - batW) pvW = wantedW - batW;
          } else pvW = Math.min(pvW, wantedW);
        } else {
          onUtilityS += stepS;
          const chargerW = hasBattery && soc < 80 ? 1300 : 0;
          const fedW = loadW + chargerW + IDLE_W;
          if (source === "utility") gridW = fedW;
          else genW = fedW;
          if (hasBattery) {
            if (soc > 97) pvW = 0;
            batW = -(chargerW * 0.94 + pvW * 0.96);
          } else pvW = 0;
        }
        // An island's battery never runs out here: what it can't carry is not used.
        if (wiring === "island" && soc < 12) soc = 12;
      }
      soc -= ((batW > 0 ? batW / 0.97 : batW * 0.96) * stepS) / 36 / CAPACITY_WH;
      soc = Math.min(100, Math.max(5, soc));
      tInv += ((30 + loadW / 260 - tInv) * stepS) / 1500;
      sums.l1 += l1W;
      sums.l2 += l2W;
      sums.va1 += va1;
      sums.va2 += va2;
      sums.pv += pvW;
      sums.bat += batW;
      sums.grid += gridW;
      sums.gen += genW;
      if (source === "utility") sums.utility++;
      if (source === "generator") sums.generator++;
    }
    const l1W = sums.l1 / steps;
    const l2W = sums.l2 / steps;
    const set = (figure: Figure, value: number) => {
      figures[figure][row] = value;
    };
    set("l1W", l1W);
    set("l2W", l2W);
    set("loadW", l1W + l2W);
    const l1V = 121.4 - l1W / 2600 + 0.25 * random.normal();
    const l2V = 121.1 - l2W / 2500 + 0.25 * random.normal();
    set("l1V", l1V);
    set("l2V", l2V);
    set("l1Va", sums.va1 / steps);
    set("l2Va", sums.va2 / steps);
    set("l1A", sums.va1 / steps / l1V);
    set("l2A", sums.va2 / steps / l2V);
    const pvW = sums.pv / steps;
    set("pvW", pvW);
    set("pv1W", pvW * share1);
    set("pv2W", pvW * (1 - share1));
    const pvV = pvW > 0 ? 312 + pvW / 220 + 2 * random.normal() : 3 * random.next();
    set("pvV", pvV);
    set("pvA", pvW > 0 ? pvW / pvV : 0);
    const batW = sums.bat / steps;
    const batV = hasBattery ? 49.6 + 0.041 * soc - batW * 0.00028 + 0.02 * random.normal() : 0;
    set("batW", batW);
    set("batV", batV);
    set("batA", hasBattery ? batW / batV : 0);
    set("soc", soc);
    const gridW = sums.grid / steps;
    set("gridW", gridW);
    set("g1W", wiring === "parallel" ? l1W - (l1W + l2W - gridW) / 2 : gridW * (l1W / (l1W + l2W)));
    set("g2W", gridW - figures.g1W[row]);
    set("gridV", 242 + 0.6 * random.normal());
    set("genW", sums.gen / steps);
    set("freq", 60 + 0.015 * random.normal());
    set("tInv", tInv + 0.15 * random.normal());
    set("tRoom", 21 + 1.6 * Math.sin(row / rows) + 0.1 * random.normal());
    set("tOut", 14 + 9 * Math.sin((row * intervalS) / 14_000) + 0.2 * random.normal());
    set("humidity", 47 + 6 * Math.cos((row * intervalS) / 18_000) + 0.3 * random.normal());
    sources.push(
      sums.utility * 2 > steps ? "utility" : sums.generator * 2 > steps ? "generator" : "inverter",
    );
    sunCarries.push(pvW > Math.max(0, batW));
    faults.push(fault);
  }
  return { figures, sources, sunCarries, faults };
}
