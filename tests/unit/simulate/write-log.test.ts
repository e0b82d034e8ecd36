import { mkdtemp, readdir, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { runSimulation } from "../../../src/simulate/write-log";

const SAMPLES = path.resolve(import.meta.dirname, "../../../sample-logs");
let folder = "";

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), "simulate-"));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const readJson = async (file: string) => JSON.parse(await readFile(file, "utf8"));

describe("runSimulation", () => {
  it.each(["alder-creek-pottery/month", "alder-creek-pottery/two-days", "awkward", "broken"])(
    "makes %s again, byte for byte",
    async (sample) => {
      const given = path.join(SAMPLES, sample);
      const made = path.join(folder, sample);
      const outcome = await runSimulation(await readJson(path.join(given, "scenario.json")), made);
      expect(outcome.ok).toBe(true);
      const files = await readdir(made);
      expect(files).toHaveLength(4);
      for (const file of files) {
        const same = (await readFile(path.join(made, file))).equals(await readFile(path.join(given, file)));
        expect(same, file).toBe(true);
      }
    },
    20_000,
  );

  it("gives another log for another seed", async () => {
    const scenario = await readJson(path.join(SAMPLES, "awkward", "scenario.json"));
    const outcome = await runSimulation({ ...scenario, seed: scenario.seed + 1 }, path.join(folder, "other"));
    if (!outcome.ok) throw new Error("refused");
    const other = await readFile(outcome.files.log);
    expect(other.equals(await readFile(path.join(SAMPLES, "awkward", "awkward.csv")))).toBe(false);
  });

  it("leaves nothing of the log when it is stopped", async () => {
    const scenario = await readJson(path.join(SAMPLES, "awkward", "scenario.json"));
    const stop = new AbortController();
    const out = path.join(folder, "stopped");
    const run = runSimulation(scenario, out, {
      signal: stop.signal,
      onProgress: () => stop.abort(new Error("stopped by the test")),
    });
    await expect(run).rejects.toThrow("stopped by the test");
    expect(await readdir(out)).toEqual([]);
  });
});
