import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, expectAccessible, expectFits, test } from "./program";
import { runCli } from "./run-cli";
import { simulatedCsv } from "./simulated-csv";

test.describe.configure({ mode: "serial", timeout: 240_000 });

/** Points of a series that a sheet may carry. */
const MAX_POINTS = 2000;

const MINUTES_OF_A_YEAR = 365 * 1440;
const BASE = "/sites/alder-creek-a-year";

test("a year at one minute is imported on the command line while the program runs", async () => {
  const folder = await mkdtemp(join(tmpdir(), "legroom-year-"));
  try {
    const [site, log] = [join(folder, "site.json"), join(folder, "year.csv")];
    await writeFile(
      site,
      JSON.stringify({
        version: 1,
        name: "Alder Creek, a year",
        timezone: "America/Denver",
        ratings: [{ from: "2025-01-01", legLimitW: 4000 }],
      }),
    );
    await writeFile(log, simulatedCsv(MINUTES_OF_A_YEAR, 60));
    await runCli("site", "add", site);
    const { stdout } = await runCli("import", log, "--site", "Alder Creek, a year");
    expect(stdout).toContain(`${MINUTES_OF_A_YEAR} taken`);
  } finally {
    await rm(folder, { recursive: true });
  }
});

test("it is seen at a glance, and followed to a minute of it", async ({ page }) => {
  await page.goto(`${BASE}/2025`);
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("2025");
  await expect(page.getByText(/the loads went over to the utility/).first()).toBeVisible();
  await expectAccessible(page);
  await page.getByRole("link", { name: "March 2025" }).first().click();
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("March 2025");
  await page.goto(`${BASE}/2025-03/09`);
  // The day on which the clock goes forward has 23 hours.
  await expect(page.getByText("1,380 samples", { exact: false }).first()).toBeVisible();
  await page.goto(`${BASE}/2025-03/09?from=12:00:00&to=12:30:00`);
  await page.getByText(/^The table behind it \(30/).click();
  await expect(page.getByRole("row", { name: /^12:00/ })).toBeVisible();
});

for (const path of [
  "/2025",
  "/2025-03",
  "/2025-03/09",
  "/transfers",
  "/legs?period=all",
  "/battery?period=all",
  "/quality",
]) {
  test(`${path} of it fits a phone, and no line has more than ${MAX_POINTS} points`, async ({ page }) => {
    await page.goto(`${BASE}${path}`, { waitUntil: "networkidle" });
    await expect(page.getByRole("heading", { level: 1 })).toHaveCount(1);
    const most = await page.evaluate(() =>
      Math.max(
        0,
        ...[...document.querySelectorAll("svg path")].map(
          // A step line has two corners a point.
          (path) => (path.getAttribute("d")?.match(/[ML]/g)?.length ?? 0) / 2,
        ),
      ),
    );
    expect(most).toBeLessThanOrEqual(MAX_POINTS);
    await expectFits(page, 360);
  });
}
