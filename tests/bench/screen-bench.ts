import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Browser, chromium, type Page } from "@playwright/test";
import { openDatabase } from "../../db/open-database";
import { joinServer } from "../../db/server/join-server";
import { programRoot } from "../../db/server/program-root";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { fileLogSource } from "../../src/ingest/file-log-source";
import { findChromium } from "../e2e/find-chromium";
import { type BenchLine, median } from "./bench-line";
import type { BenchLog } from "./simulated-log";
import { untilAnswers } from "./until-answers";

const TURNS = 7;
const TAPS = 9;

/**
 * How long a sheet takes to show its largest piece (Largest Contentful Paint, W3C), and to answer a tap (from the
 * event to the frame after it), each against a page of the same server that shows nothing but a sentence. The site has
 * a month at one second.
 */
export async function screenBench(log: BenchLog): Promise<BenchLine[]> {
  const executablePath = findChromium();
  if (executablePath === null) throw new Error("No Chromium was found; name one in LEGROOM_CHROMIUM.");
  const dataDir = mkdtempSync(join(tmpdir(), "legroom-bench-screens-"));
  const port = 5000 + Math.floor(Math.random() * 1000);
  const base = `http://127.0.0.1:${port}`;
  const serve = spawn(
    process.execPath,
    ["--import", "tsx", join("src", "cli", "main.ts"), "serve", "--port", String(port)],
    {
      cwd: programRoot(),
      env: { ...process.env, LEGROOM_DATA_DIR: dataDir },
      stdio: ["ignore", "ignore", "inherit"],
    },
  );
  let browser: Browser | null = null;
  try {
    await untilAnswers(base, serve);
    const site = await sheetsOf(dataDir, log);
    browser = await chromium.launch({
      executablePath,
      args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
    });
    const empty = `${base}/no-such-sheet`;
    const lines: BenchLine[] = [];
    for (const { name, path, limit } of site) {
      const ofSheet: Measured[] = [];
      const ofEmpty: Measured[] = [];
      for (let turn = 0; turn < TURNS; turn++) {
        ofEmpty.push(await measure(browser, empty));
        ofSheet.push(await measure(browser, `${base}${path}`));
      }
      for (const [what, of, most] of [
        ["largest contentful paint", ({ paintMs }: Measured) => paintMs, limit],
        ["answer to a tap", ({ tapMs }: Measured) => tapMs, 3],
      ] as const) {
        const [sheet, none] = [median(ofSheet.map(of)), median(ofEmpty.map(of))];
        lines.push({
          name: `${name}: ${what} against that of an empty page`,
          value: sheet / none,
          limit: most,
          unit: "×",
          from: `${sheet.toFixed(0)} ms, ${none.toFixed(0)} ms`,
        });
      }
    }
    return lines;
  } finally {
    await browser?.close();
    serve.kill("SIGTERM");
    await new Promise((resolve) => serve.once("exit", resolve));
    rmSync(dataDir, { recursive: true, force: true });
  }
}

/** Imports the log; the sheets to look at, each with what its paint may take at most. */
async function sheetsOf(dataDir: string, log: BenchLog) {
  const server = await joinServer({ dataDir });
  const database = await openDatabase({ url: server.url, max: 4 });
  try {
    const { siteId, slug } = await addSite(database, log.siteJson);
    const outcome = await importLog(database, {
      siteId,
      loggerName: "main",
      source: await fileLogSource(log.path),
      columnMap: log.map,
      receivedAtMs: Date.now(),
    });
    if (outcome.kind !== "imported") throw new Error(`the log was not imported: ${outcome.kind}`);
    await runDueJobs(database, { siteId, wait: true });
    const [{ date }] = await database.sql<{ date: string }[]>`
      select date from day_result where site_id = ${siteId} order by peak_loading desc nulls last limit 1`;
    const [month, day] = [date.slice(0, 7), date.slice(8)];
    const at = `/sites/${slug}`;
    return [
      { name: "Month", path: `${at}/${month}`, limit: 6 },
      { name: "Day", path: `${at}/${month}/${day}`, limit: 6 },
      { name: "Transfers", path: `${at}/transfers`, limit: 6 },
      { name: "Legs", path: `${at}/legs`, limit: 6 },
    ];
  } finally {
    await database.close();
    await server.leave();
  }
}

type Measured = { paintMs: number; tapMs: number };

/** A page in a profile of its own, so that nothing is kept from before. */
async function measure(browser: Browser, url: string): Promise<Measured> {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  try {
    const page = await context.newPage();
    await page.addInitScript(() => {
      const kept = window as unknown as { largestMs: number };
      kept.largestMs = 0;
      new PerformanceObserver((list) => {
        for (const entry of list.getEntries()) kept.largestMs = Math.max(kept.largestMs, entry.startTime);
      }).observe({ type: "largest-contentful-paint", buffered: true });
    });
    await page.goto(url, { waitUntil: "networkidle" });
    const paintMs = await page.evaluate(() => (window as unknown as { largestMs: number }).largestMs);
    if (!(paintMs > 0)) throw new Error(`${url} painted nothing`);
    return { paintMs, tapMs: await tapped(page) };
  } finally {
    await context.close();
  }
}

/** From a tap on the sheet's heading to the frame after it, ms. */
async function tapped(page: Page): Promise<number> {
  await page.evaluate(() => {
    const kept = window as unknown as { tapsMs: number[] };
    kept.tapsMs = [];
    addEventListener(
      "pointerdown",
      (event) => {
        requestAnimationFrame(() => {
          const channel = new MessageChannel();
          channel.port1.onmessage = () => kept.tapsMs.push(performance.now() - event.timeStamp);
          channel.port2.postMessage(null);
        });
      },
      { capture: true },
    );
  });
  const heading = page.getByRole("heading", { level: 1 });
  for (let tap = 0; tap < TAPS; tap++) {
    await heading.click();
    await page.waitForTimeout(30);
  }
  return median(await page.evaluate(() => (window as unknown as { tapsMs: number[] }).tapsMs));
}
