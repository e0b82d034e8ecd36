import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openDatabase } from "../../db/open-database";
import { joinServer } from "../../db/server/join-server";
import type { BenchLine } from "./bench-line";
import { importBench, importMemoryBench } from "./import-bench";
import { SYNTHETIC_COLUMN_MAP, SYNTHETIC_SITE, writeSyntheticLog } from "./write-synthetic-log";

// Ratios and not seconds, since machines differ: every figure is held against work on the same machine in the
// same run. Ends with 1 where one is over its limit.

const folder = mkdtempSync(join(tmpdir(), "legroom-bench-"));
const server = await joinServer({ dataDir: join(folder, "data") });
const lines: BenchLine[] = [];
try {
  const database = await openDatabase({ url: server.url });
  const month = { path: join(folder, "month.csv"), columnMap: SYNTHETIC_COLUMN_MAP, site: SYNTHETIC_SITE };
  await writeSyntheticLog({
    path: month.path,
    fromMs: Date.UTC(2026, 4, 1),
    samples: 2_592_000,
    intervalS: 1,
  });
  report(await importBench(database, month));
  if (process.argv.includes("--long")) {
    const six = { ...month, path: join(folder, "six.csv") };
    await writeSyntheticLog({
      path: six.path,
      fromMs: Date.UTC(2026, 0, 1),
      samples: 15_552_000,
      intervalS: 1,
    });
    report(await importMemoryBench(database, six, lines.find((line) => line.unit === "MB")!.value));
  }
  await database.close();
} finally {
  await server.leave();
  rmSync(folder, { recursive: true, force: true });
}
process.exitCode = lines.some((line) => line.value > line.limit) ? 1 : 0;

function report(found: readonly BenchLine[]): void {
  for (const line of found) {
    lines.push(line);
    const verdict = line.value > line.limit ? "OVER" : "ok";
    const digits = line.unit === "MB" ? 0 : 2;
    console.log(
      `${verdict.padEnd(5)}${line.name}: ${line.value.toFixed(digits)} ${line.unit} (limit ${line.limit} ${line.unit}; ${line.from})`,
    );
  }
}
