import { readFileSync } from "node:fs";
import path from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import type { LogSampling } from "../../src/simulate/log-sampler";
import { parseScenario } from "../../src/simulate/parse-scenario";
import { confusionOf, recallOf, rightOf, shownOf, TRUE_CAUSES } from "./confusion";
import { confusionTable, type Measured, recallTable } from "./confusion-table";
import { type SimulatedReview, simulatedReview } from "./simulated-review";

// Independent values: the simulator (src/simulate) knows why each transfer happened and shares no code with
// src/analysis. Its stories are tests/reference/scenarios/*.json; the limits are those that the project set
// itself before it measured.

const MINUTES = 60_000;
const instant = (intervalS: number): LogSampling => ({ intervalS, sampling: "instant" });
const mean = (intervalS: number): LogSampling => ({ intervalS, sampling: "mean" });

/** Lives through a scenario once per seed, into all logs at once. */
async function measure(file: string, logs: readonly LogSampling[], seeds: number): Promise<Measured[]> {
  const json = JSON.parse(readFileSync(path.join(import.meta.dirname, "scenarios", file), "utf8"));
  const parsed = parseScenario(json);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems, null, 2));
  const reviews: SimulatedReview[][] = logs.map(() => []);
  for (let seed = 1; seed <= seeds; seed++) {
    for (const [i, review] of (await simulatedReview(parsed.scenario, logs, { seed })).entries()) {
      reviews[i].push(review);
    }
  }
  return logs.map((log, i) => ({ log, confusion: confusionOf(reviews[i]) }));
}

describe("a creamery in September whose limits are each met by a use of its own, 20 seeds of 14 days", () => {
  const logs = [1, 5, 10, 60, 300].flatMap((intervalS) => [instant(intervalS), mean(intervalS)]);
  let measured: Measured[] = [];
  beforeAll(async () => {
    measured = await measure("creamery-in-september.json", logs, 20);
    console.log([recallTable(measured), ...measured.map(confusionTable)].join("\n\n"));
  }, 15 * MINUTES);

  const at = ({ intervalS, sampling }: LogSampling) => {
    const found = measured.find(({ log }) => log.intervalS === intervalS && log.sampling === sampling);
    if (found === undefined) throw new Error("not measured");
    return found.confusion;
  };

  describe.each(logs)("at $intervalS s $sampling", (log) => {
    const { intervalS } = log;

    it("has thirty transfers or more of each cause with samples on both sides", () => {
      for (const truth of TRUE_CAUSES) expect(shownOf(at(log), truth), truth).toBeGreaterThanOrEqual(30);
    });

    it("claims to have seen a wrong cause in no more than 1 % up to 5 s, 3 % above", () => {
      const { seen, seenWrong } = at(log);
      expect(seenWrong / seen).toBeLessThanOrEqual(intervalS <= 5 ? 0.01 : 0.03);
    });

    it("finds no transfer where there was none", () => {
      expect(at(log).spurious).toBe(0);
    });

    it.runIf(intervalS <= 5)("finds the right cause of 98 % and more", () => {
      expect(rightOf(at(log), intervalS)).toBeGreaterThanOrEqual(0.98);
      for (const truth of TRUE_CAUSES) {
        expect(recallOf(at(log), truth, intervalS), truth).toBeGreaterThanOrEqual(0.98);
      }
    });

    it.runIf(intervalS >= 10 && intervalS <= 60)(
      "finds nine in ten overloads, low batteries and motor starts, these as load steps",
      () => {
        for (const truth of ["overload", "low-battery", "motor-start"] as const) {
          expect(recallOf(at(log), truth, intervalS), truth).toBeGreaterThanOrEqual(0.9);
        }
      },
    );
  });
});
