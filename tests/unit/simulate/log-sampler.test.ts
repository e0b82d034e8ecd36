import { readFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it, vi } from "vitest";
import { parseScenario } from "../../../src/simulate/parse-scenario";
import { simulate } from "../../../src/simulate/simulate";

const file = path.resolve(import.meta.dirname, "../../reference/scenarios/creamery-in-september.json");

// A day lived through second by second: a busy machine may need a while.
vi.setConfig({ testTimeout: 60_000 });

describe("several logs of one life", () => {
  it("are each what a simulation of that log alone gives", async () => {
    const logs = [
      { intervalS: 10, sampling: "instant" as const },
      { intervalS: 60, sampling: "mean" as const },
    ];
    const parsed = parseScenario({ ...JSON.parse(readFileSync(file, "utf8")), days: 1 });
    if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
    const { scenario } = parsed;
    const rowsOf = async (simulation: ReturnType<typeof simulate>) => {
      const rows: number[][][] = [[], []];
      for await (const { log, rows: n, timesS, values, sources, faults } of simulation.batches) {
        for (let i = 0; i < n; i++) {
          rows[log].push([timesS[i], ...Object.values(values).map((v) => v[i]), sources[i], faults[i]]);
        }
      }
      return rows;
    };
    const together = await rowsOf(simulate(scenario, { logs }));
    for (const [i, log] of logs.entries()) {
      const alone = await rowsOf(simulate(scenario, log));
      expect(alone[0].length).toBe(86_400 / log.intervalS);
      expect(together[i]).toEqual(alone[0]);
    }
  });
});
