import { fork } from "node:child_process";
import { once } from "node:events";
import { fileURLToPath } from "node:url";
import type { Database } from "../../db/open-database";
import { openCopyIn } from "../../db/samples/copy-in";
import { encodedColumns, encodeSamples } from "../../db/samples/encode-samples";
import { makePartitions } from "../../db/samples/partitions";
import { readSamples } from "../../db/samples/read-samples";
import { sampledLogger } from "../../db/samples/sampled-logger";
import { addSite } from "../../db/writes/add-site";
import { type BenchLine, median } from "./bench-line";
import type { ImportFigures } from "./import-in-process";
import type { BenchLog } from "./simulated-log";

const PAIRS = 5;

/**
 * Import of a month at one second, to stored, rolled up and analysed with the raw log kept, against a binary
 * COPY of the same rows from a prepared buffer into the same table: alternated pairs, median of the ratios.
 * Each import runs in a process of its own, which also tells its greatest resident memory.
 */
export async function importBench(database: Database, month: BenchLog): Promise<BenchLine[]> {
  const ratios: number[] = [];
  const imports: number[] = [];
  const copies: number[] = [];
  const memory: number[] = [];
  let prepared: Prepared | null = null;
  for (let pair = 0; pair < PAIRS; pair++) {
    await emptyDatabase(database);
    const { siteId } = await addSite(database, month.siteJson);
    const figures = await importInProcess(database.url, siteId, month);
    prepared ??= await prepare(database, siteId);
    await emptyDatabase(database);
    await makePartitions(database.sql, prepared.firstMs, prepared.lastMs);
    const copyMs = await copyPrepared(database, prepared);
    imports.push(figures.elapsedMs);
    copies.push(copyMs);
    ratios.push(figures.elapsedMs / copyMs);
    memory.push(figures.peakRssMb);
  }
  await emptyDatabase(database);
  const seconds = (values: number[]) => values.map((ms) => (ms / 1000).toFixed(1)).join(" ");
  return [
    {
      name: "import against COPY",
      value: median(ratios),
      limit: 2.5,
      unit: "×",
      from: `import ${seconds(imports)} s, COPY ${seconds(copies)} s, ${prepared?.rows} rows`,
    },
    {
      name: "memory of the importing process, one month",
      value: median(memory),
      limit: 300,
      unit: "MB",
      from: memory.map((mb) => mb.toFixed(0)).join(" "),
    },
  ];
}

/** Greatest memory of importing six months at one second, against that of one month. */
export async function importMemoryBench(
  database: Database,
  sixMonths: BenchLog,
  oneMonthMb: number,
): Promise<BenchLine[]> {
  await emptyDatabase(database);
  const { siteId } = await addSite(database, sixMonths.siteJson);
  const figures = await importInProcess(database.url, siteId, sixMonths);
  await emptyDatabase(database);
  return [
    {
      name: "memory of the importing process, six months against one",
      value: figures.peakRssMb / oneMonthMb,
      limit: 1.25,
      unit: "×",
      from: `${figures.peakRssMb.toFixed(0)} MB against ${oneMonthMb.toFixed(0)} MB, ${(figures.elapsedMs / 1000).toFixed(1)} s`,
    },
  ];
}

async function importInProcess(url: string, siteId: number, log: BenchLog): Promise<ImportFigures> {
  const child = fork(fileURLToPath(new URL("./import-in-process.ts", import.meta.url)), {
    execArgv: ["--import", "tsx"],
  });
  child.send({ url, siteId, log });
  const [message] = (await Promise.race([
    once(child, "message"),
    once(child, "exit").then(([code]) => {
      throw new Error(`the importing process ended with ${code}`);
    }),
  ])) as [ImportFigures];
  await once(child, "exit");
  return message;
}

type Prepared = { rows: number; firstMs: number; lastMs: number; columns: string; messages: Buffer[] };

/** The imported rows as they go over the wire, in memory. */
async function prepare(database: Database, siteId: number): Promise<Prepared> {
  const logger = await sampledLogger(database.sql, siteId);
  if (logger === null) throw new Error("the import stored no samples");
  const layout = { siteId, faultBase: 0, ...logger };
  const messages: Buffer[] = [];
  for await (const series of readSamples(database.sql, { siteId, logger })) {
    for (let from = 0; from < series.timesMs.length; from += 4096) {
      messages.push(encodeSamples(series, from, Math.min(series.timesMs.length, from + 4096), layout));
    }
  }
  return {
    rows: logger.samples,
    firstMs: logger.firstMs,
    lastMs: logger.lastMs,
    columns: encodedColumns(layout),
    messages,
  };
}

async function copyPrepared(database: Database, { columns, messages }: Prepared): Promise<number> {
  const startedMs = performance.now();
  await database.sql.begin(async (tx) => {
    const copy = await openCopyIn(tx, `copy sample (${columns}) from stdin with (format binary)`);
    for (const message of messages) await copy.write(message);
    await copy.end();
  });
  return performance.now() - startedMs;
}

/** Both sides begin from tables without rows and a server with nothing left to write. */
async function emptyDatabase({ sql }: Database): Promise<void> {
  const partitions = await sql<{ name: string }[]>`
    select inhrelid::regclass::text as name from pg_inherits where inhparent = 'sample'::regclass`;
  for (const { name } of partitions) await sql.unsafe(`drop table ${name}`);
  await sql`truncate site, log_chunk, rollup cascade`;
  await sql`checkpoint`;
}
