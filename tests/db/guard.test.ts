import { deserialize } from "node:v8";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { siteResults } from "../../db/queries/site-results";
import { addSite } from "../../db/writes/add-site";
import { changeSite } from "../../db/writes/change-site";
import { importLog } from "../../db/writes/import-log";
import { recompute } from "../../db/writes/recompute";
import { remapLog } from "../../db/writes/remap-log";
import { restoreLog } from "../../db/writes/restore-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { withdrawLog } from "../../db/writes/withdraw-log";
import { reviewLogs } from "../../src/cli/review-logs";
import type { ColumnMap } from "../../src/site/column-map";
import { parseSite } from "../../src/site/parse-site";
import { textLog } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

/*
 * The property that guards everything: logs cut, appended, overlapping, taken back, put in again and read with
 * other maps, in any order, some in place of a period of the ones before, with recomputes and changes of ratings and settings between, leave the same result
 * tables, bit for bit, as one fresh import of the same final fold; and the command line says the same.
 */

const RECEIVED = Date.UTC(2026, 11, 1);
const STEP_S = 120;
/** Four local days round the end of daylight time in Denver. */
const FROM_S = Date.UTC(2026, 9, 30, 9) / 1000;
const ROWS = (4 * 86_400) / STEP_S;
const HEADER = "Time,L1,L2,V1,V2,Amps,Volts,SOC,Sun,Grid,Feed,Code";

const MAP: ColumnMap = {
  version: 1,
  time: { column: "Time", format: "auto", zone: "UTC", stamps: "start" },
  channels: {
    loadL1W: { column: "L1", unit: "W" },
    loadL2W: { column: "L2", unit: "W" },
    loadL1V: { column: "V1", unit: "V" },
    loadL2V: { column: "V2", unit: "V" },
    batteryA: { column: "Amps", unit: "A", positive: "discharge" },
    batteryV: { column: "Volts", unit: "V" },
    batterySocPct: { column: "SOC", unit: "%" },
    solarW: { column: "Sun", unit: "W" },
    gridW: { column: "Grid", unit: "W", positive: "import" },
    source: { column: "Feed", words: { own: "inverter", street: "utility", dead: "none", set: "generator" } },
    faultCode: { column: "Code", noFault: ["", "0"], words: { E07: "overload" } },
  },
  missing: [""],
};
const without = (...channels: (keyof ColumnMap["channels"])[]): ColumnMap => ({
  ...MAP,
  channels: Object.fromEntries(
    Object.entries(MAP.channels).filter(([name]) => !channels.includes(name as never)),
  ),
});
const MAPS: ColumnMap[] = [
  MAP,
  { ...MAP, time: { ...MAP.time, stamps: "end" } },
  {
    ...MAP,
    channels: {
      ...MAP.channels,
      loadL1W: { column: "L2", unit: "W" },
      loadL2W: { column: "L1", unit: "W" },
      batteryA: { column: "Amps", unit: "A", positive: "charge" },
    },
  },
  without("batterySocPct", "loadL1V", "loadL2V"),
  without("source", "faultCode"),
];

const BATTERY = {
  nominalV: 51.2,
  capacityAh: 200,
  maxDischargeA: 110,
  fuseA: 120,
  lowSocPct: 20,
  resumeSocPct: 30,
};
const RATING = {
  from: "2026-01-01",
  legLimitW: 4000,
  overload: [{ upToRatio: 1.25, forS: 240 }],
  returnDelayS: 180,
  serviceA: 30,
  passThroughA: 25,
  battery: BATTERY,
};
const CONFIGS = [
  { ratings: [RATING] },
  { ratings: [RATING, { ...RATING, from: "2026-11-01", legLimitW: 3500, totalLimitW: 6500 }] },
  { ratings: [RATING], settings: { nearLimitEnter: 0.8, nearLimitLeave: 0.7 } },
  {
    ratings: [{ ...RATING, returnDelayS: 600 }],
    settings: { overloadSeenAt: 0.9, scheduledDays: 2, lossNoteShare: 0.05 },
  },
];

/** A site's row at an instant: a function of the instant and the seed, so that logs of the same hours agree. */
function rowAt(seed: number, index: number, altered: boolean): string {
  const s = FROM_S + index * STEP_S;
  const noiseOf = (i: number, salt: number) =>
    Math.abs(Math.sin(i * 12.9898 + salt * 78.233 + seed) * 43_758.5453) % 1;
  const noise = (salt: number) => noiseOf(index, salt);
  const lasting = (rows: number, salt: number) => noiseOf(Math.floor(index / rows), salt);
  const hour = (s / 3600) % 24;
  const heavy = lasting(15, 21) > 0.8;
  const l1 = Math.round((heavy ? 3600 : 700) + noise(1) * 900 + (altered ? 37 : 0));
  const l2 = Math.round(300 + noise(2) * (heavy ? 600 : 1500));
  const dip = heavy && lasting(15, 22) > 0.8 ? 9 : 0;
  const soc = Math.round(40 + 35 * Math.sin(index / 200 + seed));
  const sun = Math.max(0, Math.round(4000 * Math.sin(((hour - 13) / 12) * Math.PI)));
  const block = lasting(40, 23);
  const feed =
    l1 > 4300 ? "street" : block > 0.85 ? "street" : block > 0.82 ? "dead" : block > 0.8 ? "" : "own";
  const grid = feed === "street" ? l1 + l2 : Math.round(noise(3) * 60 - 20);
  const amps = (feed === "own" ? l1 + l2 - sun : -sun) / 51;
  const code = noise(5) > 0.995 ? "E07" : noise(6) > 0.995 ? "E12" : "0";
  const miss = (salt: number, value: number | string) => (noise(salt) > 0.99 ? "" : value);
  return [
    new Date(s * 1000).toISOString(),
    miss(11, l1),
    miss(12, l2),
    (121 - l1 / 2000 - dip).toFixed(1),
    (121 - l2 / 2000 + dip).toFixed(1),
    miss(13, amps.toFixed(1)),
    "51.3",
    index < 30 ? "" : miss(14, soc),
    sun,
    miss(15, grid),
    feed,
    code,
  ].join(",");
}

/** A log, and the period that it replaces: its own, or one that is given by rows, or none. */
type LogPlan = {
  from: number;
  rows: number;
  every: number;
  altered: boolean;
  replace: "nothing" | "its own" | { from: number; rows: number };
};
type Step =
  | { do: "import" | "withdraw" | "restore"; log: number }
  | { do: "remap"; log: number; map: number }
  | { do: "configure"; config: number }
  | { do: "recompute" };

const logPlan = fc.record({
  from: fc.integer({ min: 0, max: ROWS - 40 }),
  rows: fc.oneof(fc.integer({ min: 1, max: 40 }), fc.integer({ min: 40, max: 1400 })),
  every: fc.constantFrom(1, 1, 1, 1, 5),
  altered: fc.boolean(),
  replace: fc.oneof(
    { weight: 3, arbitrary: fc.constant("nothing" as const) },
    { weight: 2, arbitrary: fc.constant("its own" as const) },
    {
      weight: 1,
      arbitrary: fc.record({
        from: fc.integer({ min: 0, max: ROWS }),
        rows: fc.integer({ min: 0, max: 900 }),
      }),
    },
  ),
});
const anyLog = fc.integer({ min: 0, max: 4 });
const step: fc.Arbitrary<Step> = fc.oneof(
  { weight: 5, arbitrary: fc.record({ do: fc.constant("import" as const), log: anyLog }) },
  { weight: 3, arbitrary: fc.record({ do: fc.constant("withdraw" as const), log: anyLog }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant("restore" as const), log: anyLog }) },
  {
    weight: 2,
    arbitrary: fc.record({
      do: fc.constant("remap" as const),
      log: anyLog,
      map: fc.integer({ min: 0, max: MAPS.length - 1 }),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      do: fc.constant("configure" as const),
      config: fc.integer({ min: 0, max: CONFIGS.length - 1 }),
    }),
  },
  { weight: 4, arbitrary: fc.constant<Step>({ do: "recompute" }) },
);
type Scenario = { seed: number; logs: LogPlan[]; maps: number[]; steps: Step[] };
const scenario: fc.Arbitrary<Scenario> = fc.record({
  seed: fc.integer({ min: 0, max: 1000 }),
  logs: fc.array(logPlan, { minLength: 5, maxLength: 5 }),
  maps: fc.array(fc.integer({ min: 0, max: MAPS.length - 1 }), { minLength: 5, maxLength: 5 }),
  steps: fc.array(step, { minLength: 4, maxLength: 14 }),
});

/** One that fills every table and lets a recompute go on from a midnight, whatever chance brings beside it. */
const CERTAIN: Scenario = {
  seed: 3,
  logs: [
    { from: 0, rows: 1400, every: 1, altered: false, replace: "nothing" },
    { from: 1600, rows: 1200, every: 1, altered: false, replace: "nothing" },
    { from: 400, rows: 300, every: 1, altered: true, replace: "its own" },
    { from: 0, rows: 40, every: 1, altered: false, replace: "nothing" },
    { from: 0, rows: 40, every: 1, altered: false, replace: "nothing" },
  ],
  maps: [0, 0, 0, 0, 0],
  steps: [
    { do: "import", log: 0 },
    { do: "recompute" },
    { do: "import", log: 1 },
    { do: "recompute" },
    { do: "import", log: 2 },
    { do: "withdraw", log: 2 },
  ],
};

function replaceOf({ replace }: LogPlan): { fromMs: number | null; toMs: number | null } | null {
  if (replace === "nothing") return null;
  if (replace === "its own") return { fromMs: null, toMs: null };
  const fromMs = (FROM_S + replace.from * STEP_S) * 1000;
  return { fromMs, toMs: fromMs + replace.rows * STEP_S * 1000 };
}

/**
 * Tables of results, and what identifies a row. What only says where the pass stopped on its way is left out: a
 * midnight is kept though the samples of its day have been taken back, and goes on holding.
 */
const TABLES: { table: string; order: string; without: string[] }[] = [
  { table: "transfer", order: "at_ms", without: ["found"] },
  { table: "dropout", order: "at_ms", without: ["found"] },
  { table: "near_limit", order: "from_ms, quantity", without: [] },
  { table: "imbalance_interval", order: "from_ms", without: [] },
  { table: "continuous_load", order: "from_ms, device", without: [] },
  { table: "open_neutral", order: "from_ms", without: [] },
  { table: "interval_change", order: "from_ms", without: [] },
  { table: "day_result", order: "date", without: [] },
  { table: "hour_result", order: "from_ms", without: [] },
  { table: "gap", order: "from_ms", without: [] },
  { table: "result_note", order: "ordinal", without: [] },
  // The order of the fault words is that in which logs first brought them; a first SOC that was once needed stays.
  {
    table: "site_result",
    order: "site_id",
    without: ["fault_words", "conclude_config", "pass_config", "first_soc_pct"],
  },
];

describe("logs cut, appended, taken back, put in again and read otherwise, in any order", () => {
  let database: TestDatabase;
  let sites = 0;
  const reached = new Map<string, number>();
  let shorter = 0;

  beforeAll(async () => {
    database = await testDatabase();
  });
  afterAll(async () => {
    await database?.drop();
  });

  const siteJson = (config: number, name: string) => ({
    version: 1,
    name,
    timezone: "America/Denver",
    ...CONFIGS[config],
  });
  const sourceOf = (seed: number, { from, rows, every, altered }: LogPlan, index: number) => {
    const lines: string[] = [];
    for (let row = from; row < Math.min(ROWS, from + rows); row += every) {
      lines.push(rowAt(seed, row, altered && row % 7 === 0));
    }
    return textLog(`${HEADER}\n${lines.join("\n")}\n`, `log ${index}.csv`);
  };

  async function tablesOf(siteId: number): Promise<Record<string, unknown[]>> {
    const tables: Record<string, unknown[]> = {};
    for (const { table, order, without: left } of TABLES) {
      const rows = await database.sql.unsafe(
        `select * from ${table} where site_id = ${siteId} order by ${order}`,
      );
      tables[table] = rows.map((row) => {
        const kept = Object.entries(row).filter(
          ([column]) => column !== "site_id" && column !== "segment_ms" && !left.includes(column),
        );
        return Object.fromEntries(
          // A number can be serialised in two ways: what counts is the number.
          kept.map(([column, value]) => [column, Buffer.isBuffer(value) ? deserialize(value) : value]),
        );
      });
      reached.set(table, (reached.get(table) ?? 0) + rows.length);
    }
    return tables;
  }

  it("leave the tables of one fresh import of the same fold, and the command line says the same", async () => {
    await fc.assert(
      fc.asyncProperty(scenario, async ({ seed, logs, maps, steps }) => {
        const { siteId } = await addSite(database, siteJson(0, `Guarded ${++sites}`));
        const sources = logs.map((plan, index) => sourceOf(seed, plan, index));
        const ids: (number | null)[] = logs.map(() => null);
        const states = logs.map(() => "out" as "out" | "in" | "back");
        const usedMaps = [...maps];
        let config = 0;
        for (const one of [...steps, { do: "recompute" } as Step]) {
          if (one.do === "recompute") await runDueJobs(database, { siteId });
          else if (one.do === "configure") {
            config = one.config;
            await changeSite(database, siteId, siteJson(config, `Guarded ${sites}`));
          } else if (one.do === "import" && states[one.log] === "out") {
            const outcome = await importLog(database, {
              siteId,
              loggerName: "main",
              source: sources[one.log],
              columnMap: MAPS[usedMaps[one.log]],
              replace: replaceOf(logs[one.log]),
              receivedAtMs: RECEIVED,
            });
            if (outcome.kind === "imported") {
              ids[one.log] = outcome.logId;
              states[one.log] = "in";
            }
          } else if (one.do === "withdraw" && states[one.log] === "in") {
            await withdrawLog(database, siteId, ids[one.log] as number);
            states[one.log] = "back";
          } else if (one.do === "restore" && states[one.log] === "back") {
            await restoreLog(database, siteId, ids[one.log] as number);
            states[one.log] = "in";
          } else if (one.do === "remap" && states[one.log] === "in") {
            await remapLog(database, siteId, ids[one.log] as number, MAPS[one.map]);
            usedMaps[one.log] = one.map;
          }
        }
        // Another recompute over nothing changed changes nothing.
        const before = await tablesOf(siteId);
        const { samples } = await recompute(database, siteId);
        expect(await tablesOf(siteId)).toEqual(before);
        const [{ all }] = await database.sql<{ all: number }[]>`
          select coalesce(sum(samples), 0)::int as all from logger where site_id = ${siteId}`;
        if (samples < all) shorter++;

        const fold = await database.sql<{ logId: number }[]>`
          select log_id as "logId" from log where site_id = ${siteId} and state = 'imported' order by position`;
        const order = fold.map(({ logId }) => ids.indexOf(logId));
        expect([...order].sort((a, b) => a - b)).toEqual(
          states.flatMap((state, index) => (state === "in" ? [index] : [])),
        );

        const fresh = await addSite(database, siteJson(config, `Fresh ${sites}`));
        for (const index of order) {
          await importLog(database, {
            siteId: fresh.siteId,
            loggerName: "main",
            source: sources[index],
            columnMap: MAPS[usedMaps[index]],
            replace: replaceOf(logs[index]),
            receivedAtMs: RECEIVED,
          });
        }
        await runDueJobs(database, { siteId: fresh.siteId });
        await recompute(database, fresh.siteId, { whole: true });
        expect(before).toEqual(await tablesOf(fresh.siteId));

        if (order.length === 0) return;
        const parsed = parseSite(siteJson(config, "On the command line"));
        if (!parsed.ok) throw new Error("the site is refused");
        const said = await reviewLogs(
          parsed.site,
          order.map((index) => ({
            source: sources[index],
            map: MAPS[usedMaps[index]],
            guessed: new Set<string>(),
            replace: replaceOf(logs[index]),
          })),
          { receivedAtMs: RECEIVED },
        );
        if (said.refused) throw new Error("the command line refuses what the database took");
        expect(await siteResults(database, siteId)).toEqual(said.result);
      }),
      {
        numRuns: Number(process.env.LEGROOM_GUARD_RUNS ?? 14),
        endOnFailure: true,
        examples: [[CERTAIN]],
      },
    );
    // A guard over empty tables would guard nothing.
    for (const table of [
      "transfer",
      "dropout",
      "near_limit",
      "day_result",
      "hour_result",
      "gap",
      "result_note",
    ]) {
      expect(reached.get(table), table).toBeGreaterThan(0);
    }
    expect(shorter).toBeGreaterThan(0);
  }, 600_000);
});
