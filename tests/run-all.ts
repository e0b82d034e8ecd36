/**
 * Runs every kind of test and adds them up: types, lint, vitest (unit, property, reference, architecture, db
 * on two PostgreSQL majors, processes), planted faults, the build, and Playwright in a real Chromium. The
 * last line is "N passed, N failed"; the exit code is 0 only where nothing failed and every part ran.
 */
import { spawn } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { ensurePrograms } from "./ensure-programs";

type Tally = { name: string; passed: number; failed: number; seconds: number };

const ROOT = resolve(import.meta.dirname, "..");
const reports = mkdtempSync(join(tmpdir(), "legroom-tests-"));

async function run(
  command: string,
  args: readonly string[],
  environment: Record<string, string> = {},
): Promise<number> {
  return new Promise((done) => {
    const child = spawn(command, args, {
      cwd: ROOT,
      stdio: ["ignore", "inherit", "inherit"],
      env: { ...process.env, ...environment },
    });
    child.once("error", () => done(127));
    child.once("exit", (code, signal) => done(signal === null ? (code ?? 1) : 1));
  });
}

/** A step that either passes or fails as a whole. */
async function step(name: string, command: string, args: readonly string[]): Promise<Tally> {
  process.stdout.write(`\n== ${name}\n`);
  const began = performance.now();
  const code = await run(command, args);
  const seconds = (performance.now() - began) / 1000;
  return { name, passed: code === 0 ? 1 : 0, failed: code === 0 ? 0 : 1, seconds };
}

/** A runner that writes a report of its own; one that ends badly without one counts as one failure. */
async function suite(
  name: string,
  command: string,
  args: readonly string[],
  environment: Record<string, string>,
  report: string,
  count: (report: string) => { passed: number; failed: number },
): Promise<Tally> {
  process.stdout.write(`\n== ${name}\n`);
  const began = performance.now();
  const code = await run(command, args, environment);
  const seconds = (performance.now() - began) / 1000;
  let passed = 0;
  let failed = 0;
  if (existsSync(report)) ({ passed, failed } = count(readFileSync(report, "utf8")));
  // A suite that ran nothing, or that ended badly with all its tests passed, has failed.
  if ((code !== 0 || passed === 0) && failed === 0) failed = 1;
  return { name, passed, failed, seconds };
}

function vitestCounts(report: string): { passed: number; failed: number } {
  const { numPassedTests, numFailedTests, numFailedTestSuites, testResults } = JSON.parse(report);
  // A file that can't be loaded has no tests that could fail.
  const broken = testResults.filter(
    (file: { status: string; assertionResults: unknown[] }) =>
      file.status === "failed" && file.assertionResults.length === 0,
  ).length;
  return {
    passed: numPassedTests,
    failed: Math.max(numFailedTests + broken, numFailedTestSuites > 0 ? 1 : 0),
  };
}

function playwrightCounts(report: string): { passed: number; failed: number } {
  const { stats, errors } = JSON.parse(report);
  return { passed: stats.expected + stats.flaky, failed: stats.unexpected + errors.length };
}

const tallies: Tally[] = [];
try {
  ensurePrograms();
  tallies.push(await step("types", "npm", ["run", "-s", "typecheck"]));
  tallies.push(await step("lint", "npm", ["run", "-s", "lint"]));
  const vitestReport = join(reports, "vitest.json");
  tallies.push(
    await suite(
      "vitest",
      "npx",
      ["vitest", "run", "--reporter=default", "--reporter=json", `--outputFile.json=${vitestReport}`],
      {},
      vitestReport,
      vitestCounts,
    ),
  );
  const faultsReport = join(reports, "faults.json");
  tallies.push(
    await suite(
      "planted faults",
      "npx",
      ["tsx", "tests/faults/run.ts", "--check"],
      { FAULTS_REPORT: faultsReport },
      faultsReport,
      (report) => JSON.parse(report),
    ),
  );
  tallies.push(await step("build, with no database", "npm", ["run", "-s", "build"]));
  const playwrightReport = join(reports, "playwright.json");
  tallies.push(
    await suite(
      "browser",
      "npx",
      ["playwright", "test", "--reporter=list,json"],
      { PLAYWRIGHT_JSON_OUTPUT_NAME: playwrightReport },
      playwrightReport,
      playwrightCounts,
    ),
  );
} finally {
  rmSync(reports, { recursive: true, force: true });
}

let passed = 0;
let failed = 0;
process.stdout.write("\n");
for (const tally of tallies) {
  passed += tally.passed;
  failed += tally.failed;
  process.stdout.write(
    `${tally.name.padEnd(26)} ${tally.passed} passed, ${tally.failed} failed (${tally.seconds.toFixed(0)} s)\n`,
  );
}
process.stdout.write(`${passed} passed, ${failed} failed\n`);
process.exitCode = failed === 0 ? 0 : 1;
