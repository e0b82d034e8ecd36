import { readFileSync } from "node:fs";
import path from "node:path";
import { expect, it } from "vitest";
import { parseScenario } from "../../src/simulate/parse-scenario";
import { simulatedReview } from "./simulated-review";

/**
 * The battery and inverter that the simulator lived with (it shares no code with the analysis) against what is found of
 * them in its logs. At one second, samples in which something starts flatten the line a little: hence its tolerance.
 */
it.each([
  [{ intervalS: 1, sampling: "instant" }, 2.5, 0.003, 0.02],
  [{ intervalS: 60, sampling: "mean" }, 2, 0.004, 0.1],
] as const)(
  "the simulated idle power, efficiency, resistance and capacity are found in a log of %j",
  async (log, idleW, efficiency, ohm) => {
    const file = path.join(import.meta.dirname, "scenarios", "creamery-in-september.json");
    const parsed = parseScenario(JSON.parse(readFileSync(file, "utf8")));
    if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems, null, 2));
    const { inverter, battery } = parsed.scenario;
    const [{ result }] = await simulatedReview(parsed.scenario, [log], { seed: 7, days: 5 });
    const found = result.figures.battery;
    const model = found?.power?.model;
    expect(Math.abs((model?.idleW ?? Number.NaN) - inverter.idleW)).toBeLessThan(idleW);
    expect(Math.abs((model?.efficiency ?? Number.NaN) - inverter.efficiency)).toBeLessThan(efficiency);
    expect(Math.abs((found?.resistance?.ohm ?? Number.NaN) / battery.resistanceOhm - 1)).toBeLessThan(ohm);
    expect(Math.abs((found?.capacity?.ah ?? Number.NaN) / battery.capacityAh - 1)).toBeLessThan(0.01);
  },
  120_000,
);
