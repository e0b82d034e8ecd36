import { AxeBuilder } from "@axe-core/playwright";
import { test as base, expect, type Page } from "@playwright/test";

/** The two-day log at one second, of the sample logs. */
export const TWO_DAYS = "sample-logs/alder-creek-pottery/two-days/alder-creek-2026-06-09-1s.csv";
export const BROKEN = "sample-logs/broken/broken.csv";

/** Address of the running program. */
export function programUrl(): string {
  const url = process.env.LEGROOM_E2E_URL;
  if (url === undefined) throw new Error("The program was not started: run this by playwright test.");
  return url;
}

/** A test in whose pages nothing may be written to the console as an error. */
export const test = base.extend<{ page: Page; quiet: boolean }>({
  // biome-ignore lint/correctness/noEmptyPattern: the form that Playwright reads a fixture's needs from
  baseURL: async ({}, use) => use(programUrl()),
  quiet: [true, { option: true }],
  page: async ({ page, quiet }, use) => {
    const errors: string[] = [];
    page.on("console", (message) => message.type() === "error" && errors.push(message.text()));
    page.on("pageerror", (error) => errors.push(error.message));
    await use(page);
    if (quiet) expect(errors).toEqual([]);
  },
});

export type { Page } from "@playwright/test";
export { expect };

/** Adds a site by the form and waits for its logs. */
export async function addSite(page: Page, name: string): Promise<void> {
  await page.getByLabel("Name").fill(name);
  await page.getByLabel("Time zone").fill("America/Denver");
  await page.getByLabel("Limit of one leg").fill("4000");
  await page.getByRole("button", { name: "Add the site" }).click();
  await expect(page.getByRole("heading", { level: 1, name: "Logs" })).toBeVisible();
}

/** Chooses a log and waits for its sheet. */
export async function chooseLog(
  page: Page,
  file: string | { name: string; mimeType: string; buffer: Buffer },
): Promise<void> {
  // The input listens once its script has come.
  await page.waitForLoadState("networkidle");
  await page.getByLabel("Choose a log").setInputFiles(file);
  await page.waitForURL(/\/logs\/\d+$/);
}

/** Nothing but tables of their own makes the page wider than a screen of so many px. */
export async function expectFits(page: Page, width: number): Promise<void> {
  await page.setViewportSize({ width, height: 800 });
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
}

/** Rules of WCAG 2.2 A and AA that a machine can check. */
export async function expectAccessible(page: Page): Promise<void> {
  const { violations } = await new AxeBuilder({ page })
    .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"])
    .analyze();
  expect(
    violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 160)).join(" | ")}`),
  ).toEqual([]);
}
