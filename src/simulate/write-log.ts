import { mkdir, open, rename, rm, writeFile } from "node:fs/promises";
import path from "node:path";
import type { JsonProblem } from "../site/json-problems";
import { localClock } from "./local-clock";
import { createLogWriter } from "./log-writer";
import { parseScenario } from "./parse-scenario";
import { simulate } from "./simulate";

/** How far a simulation is. */
export type SimulationProgress = { rows: number; expectedRows: number };

/** What was written, or what is wrong with the scenario. */
export type SimulationOutcome =
  | {
      ok: true;
      /** Full paths. */
      files: { log: string; truth: string; site: string; columns: string };
      rows: number;
      bytes: number;
      events: number;
    }
  | { ok: false; problems: readonly JsonProblem[] };

/**
 * Runs a scenario.json and writes into a folder, which is made where it is missing: the log in the scenario's
 * dialect, truth.json (the transfers as they really happened), site.json and columns.json. Files of those
 * names are replaced, and only once the whole log is written: stopped or failed, nothing of it stays.
 *
 * Throws the signal's reason where it is aborted, and what the file system throws.
 */
export async function runSimulation(
  scenarioJson: unknown,
  outDir: string,
  options: { onProgress?: (progress: SimulationProgress) => void; signal?: AbortSignal } = {},
): Promise<SimulationOutcome> {
  const parsed = parseScenario(scenarioJson);
  if (!parsed.ok) return parsed;
  const { scenario } = parsed;
  const writer = createLogWriter(scenario, localClock(scenario.site.timezone));
  const files = {
    log: path.join(outDir, scenario.log.fileName),
    truth: path.join(outDir, "truth.json"),
    site: path.join(outDir, "site.json"),
    columns: path.join(outDir, "columns.json"),
  };
  await mkdir(outDir, { recursive: true });

  const partLog = `${files.log}.part`;
  const { batches, events, faultCodes, expectedRows } = simulate(scenario);
  let rows = 0;
  let bytes = 0;
  const file = await open(partLog, "w");
  try {
    try {
      const write = async (text: string) => {
        const data = Buffer.from(text, "utf8");
        await file.writeFile(data);
        bytes += data.length;
      };
      await write(writer.header());
      for await (const batch of batches) {
        options.signal?.throwIfAborted();
        await write(writer.text(batch, faultCodes));
        rows += batch.rows;
        options.onProgress?.({ rows, expectedRows });
      }
      await write(writer.end());
    } finally {
      await file.close();
    }
    await writeFile(
      files.truth,
      `[\n${events.map((event) => `  ${JSON.stringify(event)}`).join(",\n")}\n]\n`,
    );
    await writeFile(files.site, `${JSON.stringify(scenario.site, null, 2)}\n`);
    await writeFile(files.columns, `${JSON.stringify(writer.columnsJson(), null, 2)}\n`);
    await rename(partLog, files.log);
  } catch (error) {
    await rm(partLog, { force: true });
    throw error;
  }
  return { ok: true, files, rows, bytes, events: events.length };
}
