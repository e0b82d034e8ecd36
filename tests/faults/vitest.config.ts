import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { defineConfig, type Plugin } from "vitest/config";
import type { Fault } from "./faults";
import { plantIn } from "./plant-in";

const ROOT = resolve(import.meta.dirname, "../..");

/** Plants a fault while its file is loaded: on disk nothing changes. */
function plantFault(fault: Fault): Plugin {
  const path = resolve(ROOT, fault.file);
  return {
    name: "plant-fault",
    enforce: "pre",
    load(id) {
      return id.split("?")[0] === path ? plantIn(readFileSync(path, "utf8"), fault) : null;
    },
  };
}

/** The fault as JSON, and not its number: the list may be edited during a run. */
const fault = process.env.FAULT;

export default defineConfig({
  root: ROOT,
  plugins: fault === undefined ? [] : [plantFault(JSON.parse(fault))],
  test: {
    include: ["tests/{unit,property,reference}/**/*.test.ts"],
    testTimeout: 60_000,
    // One file at a time, all in one thread: a run of one file is over before workers would pay.
    pool: "threads",
    maxWorkers: 1,
    isolate: false,
  },
});
