import { readFileSync } from "node:fs";
import path from "node:path";
import { beforeAll, describe, expect, it, vi } from "vitest";
import { createAppliances, TICKS } from "../../../src/simulate/appliances";
import { localClock } from "../../../src/simulate/local-clock";
import { parseScenario, type Scenario } from "../../../src/simulate/parse-scenario";
import { simulate, type TrueEvent } from "../../../src/simulate/simulate";

const file = path.resolve(import.meta.dirname, "../../reference/scenarios/creamery-in-september.json");
let scenario: Scenario;

// Days lived through second by second: a busy machine may need a while.
vi.setConfig({ testTimeout: 60_000 });

beforeAll(() => {
  const json = JSON.parse(readFileSync(file, "utf8"));
  // One motor on one leg and nothing else: 120 V, 12.5 A full load at a power factor of 0.8, 75 A locked rotor.
  const pump = {
    name: "pump",
    leg: "L1",
    powerW: 1200,
    powerFactor: 0.8,
    inrush: { multiple: 6, durationS: [0.5, 0.5], powerFactor: 0.4 },
    runs: [{ at: "2026-09-07T10:00:00", minutes: 5 }],
  };
  const parsed = parseScenario({
    ...json,
    days: 1,
    baseLoad: { L1W: 0, L2W: 0 },
    appliances: [pump],
    scheduled: [],
    byHand: [],
    faults: undefined,
  });
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
  scenario = parsed.scenario;
});

/** Lives through the day and returns what happened. */
async function events(surgeA: number | undefined): Promise<readonly TrueEvent[]> {
  const simulation = simulate({ ...scenario, inverter: { ...scenario.inverter, surgeA } });
  for await (const _batch of simulation.batches);
  return simulation.events;
}

describe("a motor's start with a power factor", () => {
  it("draws six times the full-load current, most of it reactive, and then its running power", () => {
    const clock = localClock(scenario.site.timezone);
    const startS = clock.instantS("2026-09-07T10:00:00");
    const appliances = createAppliances(scenario, startS - 60, clock);
    appliances.minute(startS, 600, 1);
    let s = startS;
    while (!appliances.second(s)) s++;
    const { tickL1W, tickL1Var } = appliances;
    const ticks = [...tickL1W];
    const first = ticks.findIndex((w) => w > 0);
    const startA = Math.hypot(tickL1W[first], tickL1Var[first]) / 120;
    expect(startA).toBeCloseTo(6 * 12.5, 6);
    expect(tickL1W[first]).toBeCloseTo(75 * 120 * 0.4, 6);
    const inrushTicks = ticks.filter((w) => w > 1200.001).length;
    expect(inrushTicks).toBe(Math.min(5, TICKS - first));
    while (appliances.second(s + 1)) s++;
    expect(appliances.l1W).toBeCloseTo(1200, 6);
    expect(Math.hypot(appliances.l1W, appliances.l1Var) / 120).toBeCloseTo(12.5, 6);
    expect(appliances.l2W + appliances.l2Var).toBe(0);
  });

  it("opens the relay above the surge current, though its real power is below the rating", async () => {
    const [start, ...others] = await events(74);
    expect(start.cause).toBe("motor-start");
    expect(start.leg).toBe("L1");
    expect(start.note).toBe("L1 at 75 A as it started: pump");
    expect(others.filter(({ cause }) => cause === "motor-start")).toEqual([]);
  });

  it("is ridden through below the surge current, and where there is no such limit", async () => {
    const causes = (all: readonly TrueEvent[]) => all.map(({ cause }) => cause);
    expect(causes(await events(76))).not.toContain("motor-start");
    expect(causes(await events(undefined))).not.toContain("motor-start");
  });
});
