import { execFile } from "node:child_process";
import { join } from "node:path";
import { promisify } from "node:util";
import { findChromium } from "./find-chromium";

/** Runs the command line on the running program's data. @throws with `code` and `stderr` where it ends badly */
export function runCli(...args: string[]): Promise<{ stdout: string; stderr: string }> {
  return promisify(execFile)(process.execPath, ["--import", "tsx", join("src", "cli", "main.ts"), ...args], {
    env: {
      ...process.env,
      LEGROOM_DATA_DIR: process.env.LEGROOM_E2E_DATA,
      LEGROOM_CHROMIUM: findChromium() ?? "",
    },
  });
}
