import { defineConfig } from "@playwright/test";
import { findChromium } from "./tests/e2e/find-chromium";

const executablePath = findChromium();
if (executablePath === null) {
  throw new Error(
    "No Chromium was found: install the system's (apt-get install chromium), or Playwright's own (npx playwright install chromium), or name one in LEGROOM_CHROMIUM.",
  );
}

/** A browser in front of the whole program: `serve` with a server, a worker and a web server of its own. */
export default defineConfig({
  testDir: "tests/e2e",
  testMatch: "*.spec.ts",
  globalSetup: "./tests/e2e/global-setup.ts",
  // One program, one database, and journeys that follow one another.
  workers: 1,
  fullyParallel: false,
  maxFailures: 10,
  timeout: 60_000,
  expect: { timeout: 15_000 },
  outputDir: "test-results",
  snapshotPathTemplate: "tests/e2e/looks/{arg}{ext}",
  reporter: "list",
  use: {
    browserName: "chromium",
    viewport: { width: 1280, height: 900 },
    trace: "retain-on-failure",
    launchOptions: {
      executablePath,
      args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
    },
  },
});
