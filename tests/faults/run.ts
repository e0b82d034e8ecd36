/**
 * Plants the faults of `faults.ts` one at a time, each in memory only, and runs the tests that must notice it: a
 * fault counts as noticed where a test fails, not where a file can't be loaded or a run doesn't end. The last line is
 * "N faults noticed, M not"; ends with 1 where one isn't, or where a fault's text is gone from its file.
 *
 * `npm run faults -- NAME-PART` runs those whose name or file holds that. What came of each is written to RESULT.md;
 * with `--check`, and where CI is set, nothing is written: it fails where RESULT.md tells of other faults.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { FAULTS, type Fault } from "./faults";
import { plantIn } from "./plant-in";

const ROOT = resolve(import.meta.dirname, "../..");
const RESULT = join(import.meta.dirname, "RESULT.md");
const VITEST = join(ROOT, "node_modules/vitest/vitest.mjs");
const AT_A_TIME = 2;
const LIMIT_MS = 120_000;
const UNPLANTED_LIMIT_MS = 600_000;

type Outcome = { noticed: boolean; by: string };
type Report = {
  numFailedTests: number;
  numPassedTests: number;
  testResults: {
    name: string;
    message: string;
    assertionResults: { status: string; fullName: string; failureMessages: string[] }[];
  }[];
};

const reports = mkdtempSync(join(tmpdir(), "legroom-faults-"));
const children = new Set<ChildProcess>();
let runs = 0;

function leaveNothing(): void {
  for (const child of children) child.kill("SIGKILL");
  rmSync(reports, { recursive: true, force: true });
}
for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) {
  process.once(signal, () => {
    leaveNothing();
    process.exit(1);
  });
}

/** One run of vitest, with a fault planted or none; null where it didn't end in time. */
async function vitest(
  files: readonly string[],
  fault: Fault | null,
  limitMs: number,
): Promise<{ report: Report | null; output: string } | null> {
  const path = join(reports, `${runs++}.json`);
  const { FAULT: _, ...environment } = process.env;
  const child = spawn(
    process.execPath,
    [
      VITEST,
      "run",
      ...files,
      "--config=tests/faults/vitest.config.ts",
      "--bail=1",
      "--reporter=json",
      `--outputFile=${path}`,
    ],
    {
      cwd: ROOT,
      stdio: ["ignore", "pipe", "pipe"],
      env: fault === null ? environment : { ...environment, FAULT: JSON.stringify(fault) },
    },
  );
  children.add(child);
  let output = "";
  for (const stream of [child.stdout, child.stderr]) {
    stream.setEncoding("utf8").on("data", (text: string) => {
      output = (output + text).slice(-4000);
    });
  }
  let late = false;
  const timer = setTimeout(() => {
    late = true;
    child.kill("SIGKILL");
  }, limitMs);
  await new Promise((done) => child.once("close", done));
  clearTimeout(timer);
  children.delete(child);
  if (late) return null;
  const report = existsSync(path) ? (JSON.parse(readFileSync(path, "utf8")) as Report) : null;
  return { report, output };
}

async function outcomeOf(fault: Fault): Promise<Outcome> {
  const run = await vitest(fault.tests, fault, LIMIT_MS);
  if (run === null) return { noticed: false, by: `stopped after ${LIMIT_MS / 1000} s` };
  if (run.report === null) return { noticed: false, by: `no report: ${run.output.trim().slice(-300)}` };
  for (const file of run.report.testResults) {
    const failed = file.assertionResults.find((test) => test.status === "failed");
    if (failed !== undefined) {
      return { noticed: true, by: `${file.name.slice(ROOT.length + 1)}: ${failed.fullName}` };
    }
  }
  const broken = run.report.testResults.find((file) => file.assertionResults.length === 0);
  return {
    noticed: false,
    by: broken === undefined ? "every test passed" : `can't be loaded: ${broken.message.slice(0, 300)}`,
  };
}

/** Runs all named files without a fault: a test that fails by itself notices nothing. */
async function expectGreen(files: readonly string[]): Promise<boolean> {
  const run = await vitest(files, null, UNPLANTED_LIMIT_MS);
  const report = run?.report ?? null;
  const red = report?.testResults.filter(({ assertionResults: tests }) => {
    return tests.length === 0 || tests.some((test) => test.status === "failed");
  });
  if (report !== null && red?.length === 0 && report.testResults.length === files.length) {
    process.stdout.write(`no fault: ${report.numPassedTests} tests of ${files.length} files pass\n`);
    return true;
  }
  process.stdout.write("no fault: the named tests must pass first\n");
  for (const { name, message, assertionResults } of red ?? []) {
    const test = assertionResults.find(({ status }) => status === "failed");
    process.stdout.write(`  ${name}: ${test?.fullName ?? message}\n`);
    if (test !== undefined) process.stdout.write(`    ${test.failureMessages.join("\n").slice(0, 600)}\n`);
  }
  if (red === undefined || red.length === 0) process.stdout.write(`${run?.output ?? "stopped"}\n`);
  return false;
}

/** What is wrong with the list itself. */
function listProblems(faults: readonly Fault[]): string[] {
  const problems: string[] = [];
  const names = new Set<string>();
  for (const fault of faults) {
    if (names.has(fault.name)) problems.push(`"${fault.name}" is there twice; mend the list`);
    names.add(fault.name);
    const path = join(ROOT, fault.file);
    if (!existsSync(path)) problems.push(`${fault.file} is gone; mend the list: "${fault.name}"`);
    else {
      try {
        plantIn(readFileSync(path, "utf8"), fault);
      } catch (error) {
        problems.push(`"${fault.name}": ${(error as Error).message}`);
      }
    }
    for (const test of fault.tests) {
      if (!existsSync(join(ROOT, test))) problems.push(`${test} is gone; mend the list: "${fault.name}"`);
    }
  }
  return problems;
}

/** The table with the outcomes of this run, and of a fault that wasn't run what `before` says of it. */
function tableOf(outcomes: readonly (Outcome | undefined)[], before: string): string {
  const cell = (text: string) => text.replaceAll("|", "\\|").replaceAll("\n", " ");
  const known = new Map(cellsOf(before).map(([name, file, by]) => [`${name} ${file}`, by]));
  const rows = FAULTS.map((fault, i) => {
    const outcome = outcomes[i];
    const by =
      outcome === undefined
        ? (known.get(`${cell(fault.name)} ${fault.file}`) ?? NOT_RUN)
        : `${outcome.noticed ? "" : NOT_NOTICED}${cell(outcome.by)}`;
    return `| ${cell(fault.name)} | ${fault.file} | ${by} |`;
  });
  return [
    "# Planted faults",
    "",
    "Written by `npm run faults`: each fault of `faults.ts`, planted by itself, and the first test that failed.",
    "",
    "| fault | file | noticed by |",
    "| --- | --- | --- |",
    ...rows,
    "",
  ].join("\n");
}

const NOT_RUN = "**not run**";
const NOT_NOTICED = "**not noticed:** ";

function cellsOf(table: string): string[][] {
  return table
    .split("\n")
    .filter((line) => line.startsWith("| "))
    .slice(2)
    .map((line) => line.split(/(?<!\\)\|/).slice(1, -1))
    .map((cells) => cells.map((text) => text.trim()));
}

/** Whether the committed table tells of the faults of the list, all of them noticed; which test came first may differ. */
function isUpToDate(committed: string): boolean {
  const named = (table: string) => JSON.stringify(cellsOf(table).map(([name, file]) => [name, file]));
  return (
    named(committed) === named(tableOf([], "")) &&
    cellsOf(committed).every(([, , by]) => by !== NOT_RUN && !by.startsWith(NOT_NOTICED))
  );
}

async function main(): Promise<boolean> {
  const check = process.argv.includes("--check") || Boolean(process.env.CI);
  const part = process.argv.slice(2).find((argument) => !argument.startsWith("--"));
  const wanted = FAULTS.map((fault, number) => ({ fault, number })).filter(
    ({ fault }) =>
      part === undefined || `${fault.name} ${fault.file}`.toLowerCase().includes(part.toLowerCase()),
  );
  if (wanted.length === 0) {
    process.stdout.write(`no fault's name or file holds "${part}"\n`);
    return false;
  }
  const problems = listProblems(wanted.map(({ fault }) => fault));
  for (const problem of problems) process.stdout.write(`${problem}\n`);
  if (problems.length > 0) return false;
  const files = [...new Set(wanted.flatMap(({ fault }) => fault.tests))].sort();
  if (!(await expectGreen(files))) return false;

  const began = performance.now();
  const outcomes: (Outcome | undefined)[] = [];
  const queue = [...wanted];
  await Promise.all(
    Array.from({ length: AT_A_TIME }, async () => {
      for (let next = queue.shift(); next !== undefined; next = queue.shift()) {
        const { fault, number } = next;
        const outcome = await outcomeOf(fault);
        outcomes[number] = outcome;
        process.stdout.write(
          `${outcome.noticed ? "noticed" : "NOT NOTICED"}  ${fault.name}  (${outcome.by})\n`,
        );
      }
    }),
  );
  const isNoticed = ({ number }: { number: number }) => outcomes[number]?.noticed === true;
  const noticed = wanted.filter(isNoticed).length;
  let good = noticed === wanted.length;
  const committed = existsSync(RESULT) ? readFileSync(RESULT, "utf8") : "";
  if (!check) writeFileSync(RESULT, tableOf(outcomes, committed));
  else if (!isUpToDate(committed)) {
    process.stdout.write(
      "RESULT.md isn't of this list; run npm run faults and commit what it writes there\n",
    );
    good = false;
  }
  const report = process.env.FAULTS_REPORT;
  if (report !== undefined) {
    writeFileSync(report, JSON.stringify({ passed: noticed, failed: wanted.length - noticed }));
  }
  for (const { fault, number } of wanted) {
    if (!outcomes[number]?.noticed)
      process.stdout.write(`not noticed: ${fault.name} (${outcomes[number]?.by})\n`);
  }
  process.stdout.write(`after ${((performance.now() - began) / 1000).toFixed(0)} s\n`);
  process.stdout.write(`${noticed} faults noticed, ${wanted.length - noticed} not\n`);
  return good;
}

try {
  if (!(await main())) process.exitCode = 1;
} finally {
  leaveNothing();
}
