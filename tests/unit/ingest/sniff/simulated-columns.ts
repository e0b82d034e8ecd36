import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { parseScenario } from "../../../../src/simulate/parse-scenario";
import { simulate } from "../../../../src/simulate/simulate";

/** What a simulated house shows, in W, V, A, % and °C; battery positive when discharging, grid when importing. */
export type SimulatedColumns = {
  readonly timesMs: readonly number[];
  readonly figures: Readonly<Record<SimulatedFigure, readonly number[]>>;
  readonly sources: readonly ("inverter" | "utility")[];
};

export type SimulatedFigure =
  | "l1W"
  | "l2W"
  | "loadW"
  | "l1V"
  | "l2V"
  | "l1A"
  | "l2A"
  | "solarW"
  | "solarAW"
  | "solarBW"
  | "batteryA"
  | "batteryV"
  | "batteryW"
  | "chargeW"
  | "dischargeW"
  | "socPct"
  | "gridW"
  | "importW"
  | "exportW"
  | "tempC";

/**
 * Some days of the simulated workshop, means over `intervalS`. `wiring` "backup" is the simulation as it is; "beside"
 * puts the same loads and sun beside a grid into which the rest is fed, with a battery that takes and gives at most 3 kW.
 */
export async function simulatedColumns(
  days: number,
  intervalS: number,
  wiring: "backup" | "beside",
  seed: number,
): Promise<SimulatedColumns> {
  const file = resolve(import.meta.dirname, "../../../reference/scenarios/workshop-in-march.json");
  const parsed = parseScenario(JSON.parse(readFileSync(file, "utf8")));
  if (!parsed.ok) throw new Error("the scenario is refused");
  const { batches } = simulate(parsed.scenario, { seed, days, logs: [{ intervalS, sampling: "mean" }] });
  const timesMs: number[] = [];
  const sources: ("inverter" | "utility")[] = [];
  const figures = Object.fromEntries(FIGURES.map((f) => [f, [] as number[]])) as Record<
    SimulatedFigure,
    number[]
  >;
  let soc = 55;
  for await (const batch of batches) {
    for (let i = 0; i < batch.rows; i++) {
      const v = (channel: keyof typeof batch.values) => batch.values[channel][i];
      const loadW = v("loadL1W") + v("loadL2W");
      const put = (figure: SimulatedFigure, value: number) => figures[figure].push(value);
      let batteryW = v("batteryA") * v("batteryV");
      let gridW = v("gridW");
      let socPct = v("batterySocPct");
      let batteryV = v("batteryV");
      if (wiring === "beside") {
        const wanted = loadW + 50 - v("solarW");
        batteryW = Math.max(-3000, Math.min(3000, wanted));
        if ((batteryW > 0 && soc < 15) || (batteryW < 0 && soc > 95)) batteryW = 0;
        gridW = wanted - batteryW + 0.02 * Math.abs(batteryW);
        soc -= (batteryW * intervalS) / 36 / 20_480;
        socPct = soc;
        batteryV = 50 + 0.04 * soc - batteryW * 0.0003;
      }
      timesMs.push(batch.timesS[i] * 1000);
      sources.push(batch.sources[i] === 2 ? "utility" : "inverter");
      put("l1W", v("loadL1W"));
      put("l2W", v("loadL2W"));
      put("loadW", loadW);
      put("l1V", v("loadL1V"));
      put("l2V", v("loadL2V"));
      put("l1A", v("loadL1W") / v("loadL1V"));
      put("l2A", v("loadL2W") / v("loadL2V"));
      put("solarW", v("solarW"));
      put("solarAW", 0.6 * v("solarW"));
      put("solarBW", 0.4 * v("solarW"));
      put("batteryV", batteryV);
      put("batteryW", batteryW);
      put("batteryA", batteryW / batteryV);
      put("chargeW", Math.max(0, -batteryW));
      put("dischargeW", Math.max(0, batteryW));
      put("socPct", socPct);
      put("gridW", gridW);
      put("importW", Math.max(0, gridW));
      put("exportW", Math.max(0, -gridW));
      put("tempC", v("inverterTempC"));
    }
  }
  return { timesMs, figures, sources };
}

const FIGURES: readonly SimulatedFigure[] = [
  "l1W",
  "l2W",
  "loadW",
  "l1V",
  "l2V",
  "l1A",
  "l2A",
  "solarW",
  "solarAW",
  "solarBW",
  "batteryA",
  "batteryV",
  "batteryW",
  "chargeW",
  "dischargeW",
  "socPct",
  "gridW",
  "importW",
  "exportW",
  "tempC",
];
