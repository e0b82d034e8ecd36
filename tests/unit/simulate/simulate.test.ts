import { readFileSync } from "node:fs";
import path from "node:path";
import { beforeAll, describe, expect, it, vi } from "vitest";
import { localClock } from "../../../src/simulate/local-clock";
import { parseScenario, type Scenario } from "../../../src/simulate/parse-scenario";
import { type SimulationOptions, simulate, type TrueEvent } from "../../../src/simulate/simulate";

const file = path.resolve(
  import.meta.dirname,
  "../../../sample-logs/alder-creek-pottery/month/scenario.json",
);
let scenario: Scenario;

// Days lived through second by second: a busy machine may need a while.
vi.setConfig({ testTimeout: 60_000 });

beforeAll(() => {
  const parsed = parseScenario(JSON.parse(readFileSync(file, "utf8")));
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
  scenario = parsed.scenario;
});

type Rows = { timesS: number[]; sources: number[]; faults: number[]; columns: Record<string, number[]> };

async function run(options: SimulationOptions): Promise<{ rows: Rows; events: readonly TrueEvent[] }> {
  const simulation = simulate(scenario, options);
  const rows: Rows = { timesS: [], sources: [], faults: [], columns: {} };
  for await (const batch of simulation.batches) {
    rows.timesS.push(...batch.timesS.subarray(0, batch.rows));
    rows.sources.push(...batch.sources.subarray(0, batch.rows));
    rows.faults.push(...batch.faults.subarray(0, batch.rows));
    for (const [channel, values] of Object.entries(batch.values)) {
      rows.columns[channel] ??= [];
      rows.columns[channel].push(...values.subarray(0, batch.rows));
    }
  }
  return { rows, events: simulation.events };
}

describe("simulate", () => {
  it("lets the same things happen whatever the interval of the log", async () => {
    const fine = await run({ days: 15, intervalS: 5 });
    const coarse = await run({ days: 15, intervalS: 300, sampling: "instant" });
    expect(fine.events.length).toBeGreaterThan(10);
    expect(coarse.events.map(({ inGap: _inGap, ...event }) => event)).toEqual(
      fine.events.map(({ inGap: _inGap, ...event }) => event),
    );
  });

  it("samples means whose mean is the mean", async () => {
    const fine = await run({ days: 2, intervalS: 1 });
    const coarse = await run({ days: 2, intervalS: 60 });
    const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
    for (const channel of ["loadL1W", "solarW", "batteryA", "gridW"]) {
      expect(mean(coarse.rows.columns[channel]), channel).toBeCloseTo(mean(fine.rows.columns[channel]), 6);
    }
  });

  it("makes no energy: what goes in is what comes out and a loss of the right size", async () => {
    const { rows } = await run({ days: 3, intervalS: 1 });
    const { columns } = rows;
    for (let i = 0; i < rows.timesS.length; i += 7) {
      const loadW = columns.loadL1W[i] + columns.loadL2W[i];
      const batteryW = columns.batteryA[i] * columns.batteryV[i];
      const lossW = columns.solarW[i] + batteryW + columns.gridW[i] - loadW;
      const { idleW, efficiency } = scenario.inverter;
      const expectedW = rows.sources[i] === 1 ? idleW + loadW * (1 / efficiency - 1) : idleW;
      expect(lossW).toBeCloseTo(expectedW, 3);
    }
  });

  it("keeps the state of charge in step with the current", async () => {
    const { rows } = await run({ days: 1, intervalS: 1 });
    const { batteryA, batterySocPct } = rows.columns;
    let socPct = batterySocPct[0];
    for (let i = 1; i < batteryA.length; i++) {
      const kept = batteryA[i] < 0 ? scenario.battery.chargeEfficiency : 1;
      socPct -= (batteryA[i] * kept) / (36 * scenario.battery.capacityAh);
    }
    expect(socPct).toBeCloseTo(batterySocPct[batterySocPct.length - 1], 6);
  });

  it("stays on inverter between its true events and on utility inside them", async () => {
    const { rows, events } = await run({ days: 15, intervalS: 5 });
    const wrong = rows.timesS.filter((atS, i) => {
      // The source of a mean is that of the interval's last second.
      const lastS = atS + 4;
      const inside = events.some(
        ({ at, returnedAt }) => lastS >= at && (returnedAt === null || lastS < returnedAt),
      );
      return rows.sources[i] !== (inside ? 2 : 1);
    });
    expect(rows.sources).toContain(1);
    expect(rows.sources).toContain(2);
    expect(wrong).toEqual([]);
  });

  it("comes back only when the load has been under the rating for the return delay", async () => {
    const { events } = await run({});
    const { returnDelayS } = scenario.inverter;
    for (const { cause, at, returnedAt } of events) {
      if (returnedAt === null) continue;
      expect(returnedAt - at, cause).toBeGreaterThanOrEqual(returnDelayS);
    }
  });

  it("has days of 23 and 25 hours where the clock changes", async () => {
    const rowsOf = async (date: string) =>
      (await run({ fromLocalDate: date, days: 1, intervalS: 60 })).rows.timesS.length;
    expect(await rowsOf("2026-03-08")).toBe(23 * 60);
    expect(await rowsOf("2026-11-01")).toBe(25 * 60);
  });

  it("leaves a gap out of the log and says which transfer it hides", async () => {
    const { rows, events } = await run({ fromLocalDate: "2026-05-23", days: 1 });
    const hidden = events.filter(({ inGap }) => inGap);
    expect(rows.timesS.length).toBe(1440 - 25);
    expect(hidden).toHaveLength(1);
    expect(rows.timesS.some((atS) => Math.abs(atS - hidden[0].at) < 60)).toBe(false);
  });

  it("goes over by hand inside its hours, about as often as told, for as long as told", async () => {
    const byHand = [{ from: "22:00", to: "02:00", runs: 3, minutes: [10, 20] as [number, number] }];
    const simulation = simulate({ ...scenario, appliances: [], scheduled: [], byHand }, { days: 10 });
    for await (const _batch of simulation.batches);
    const pressed = simulation.events.filter(({ cause }) => cause === "by-hand");
    expect(pressed.length).toBeGreaterThan(15);
    expect(pressed.length).toBeLessThan(45);
    const clock = localClock(scenario.site.timezone);
    for (const { at, returnedAt, leg } of pressed) {
      const minute = Math.floor((at + clock.offsetS(at)) / 60) % 1440;
      expect(minute >= 22 * 60 || minute < 2 * 60).toBe(true);
      expect(leg).toBeNull();
      if (returnedAt === null) continue;
      expect(returnedAt - at).toBeGreaterThanOrEqual(600);
      expect(returnedAt - at).toBeLessThanOrEqual(1201);
    }
  });
});
