import type { Page } from "@playwright/test";
import { expect, test } from "./program";

/*
 * What each sheet looks like, held against pictures that were looked at by a person (tests/e2e/looks). Made anew with
 *   npx playwright test 4-evidence c-looks --update-snapshots
 * where 4-evidence imports what is shown; then look at each. All of it is invented data. Letters are
 * set in the Liberation fonts, which have the same measures everywhere; a machine without them can't compare.
 */

test.describe.configure({ timeout: 240_000 });

const BASE = "/sites/alder-creek-evidence";
const SHEETS = [
  ["new-site", "/new-site"],
  ["month", `${BASE}/2026-05`],
  ["year", `${BASE}/2026`],
  ["day", `${BASE}/2026-05/14`],
  ["day-zoomed", `${BASE}/2026-05/14?from=19:00:00&to=20:30:00`],
  ["compare", `${BASE}/compare?change=2026-05-15&days=14`],
  ["transfers", `${BASE}/transfers`],
  ["transfer", `${BASE}/transfers/20260515T011200Z`],
  ["legs", `${BASE}/legs`],
  ["battery", `${BASE}/battery`],
  ["logs", `${BASE}/logs`],
  ["quality", `${BASE}/quality`],
  ["site", `${BASE}/settings`],
  ["report", `${BASE}/2026-05/report`],
] as const;

const VIEWS = [
  { view: "desktop", width: 1280, colorScheme: "light", media: "screen" },
  { view: "phone-dark", width: 390, colorScheme: "dark", media: "screen" },
  { view: "print", width: 688, colorScheme: "light", media: "print" },
] as const;

/** Edges of letters differ by a shade from one build of the browser to the next; a moved line doesn't pass. */
const TOLERANCE = { maxDiffPixelRatio: 0.004 };

/** So much of a sheet's length is compared, px: the tables under it are held by tests of their own. */
const MAX_HEIGHT = 3200;

for (const [name, path] of SHEETS) {
  test(`${name} looks as it was looked at`, async ({ page }) => {
    await page.goto("/new-site");
    test.skip(
      !(await hasFonts(page)),
      "the Liberation fonts are not installed: there is nothing to compare with",
    );
    for (const { view, width, colorScheme, media } of VIEWS) {
      await page.setViewportSize({ width, height: 900 });
      await page.emulateMedia({ colorScheme, media, reducedMotion: "reduce" });
      await page.goto(path, { waitUntil: "networkidle" });
      await settle(page);
      const height = await page.evaluate(() => document.documentElement.scrollHeight);
      await page.setViewportSize({ width, height: Math.min(height, MAX_HEIGHT) });
      await expect(page).toHaveScreenshot(`${name}-${view}.png`, {
        animations: "disabled",
        caret: "hide",
        ...TOLERANCE,
      });
    }
  });
}

test("home looks as it was looked at", async ({ page }) => {
  await page.goto("/", { waitUntil: "networkidle" });
  test.skip(
    !(await hasFonts(page)),
    "the Liberation fonts are not installed: there is nothing to compare with",
  );
  for (const { view, width, colorScheme, media } of VIEWS) {
    await page.setViewportSize({ width, height: 900 });
    await page.emulateMedia({ colorScheme, media, reducedMotion: "reduce" });
    await page.goto("/", { waitUntil: "networkidle" });
    await settle(page);
    const site = page.getByRole("article").filter({ hasText: "Alder Creek, evidence" });
    // Where it stands, to a part of a px, hangs on the sites above it.
    await site.evaluate((article) => document.body.replaceChildren(article));
    await expect(site).toHaveScreenshot(`home-${view}.png`, { animations: "disabled", ...TOLERANCE });
  }
});

/** Whether the letters that the pictures were made with are here: a width that no other serif and sans have. */
async function hasFonts(page: Page): Promise<boolean> {
  const [serif, sans] = await page.evaluate(() => {
    const context = document.createElement("canvas").getContext("2d") as CanvasRenderingContext2D;
    return ["Liberation Serif", "Liberation Sans"].map((font) => {
      context.font = `100px "${font}", monospace`;
      return context.measureText("Which leg is full?").width;
    });
  });
  return Math.abs(serif - 713.7) < 1 && Math.abs(sans - 750.3) < 1;
}

/** Sets the letters, and puts what hangs on today's clock or on the order of imports to one text. */
async function settle(page: Page): Promise<void> {
  await page.addStyleTag({
    content: `:root { --serif: "Liberation Serif"; --sans: "Liberation Sans"; --mono: "Liberation Mono"; }`,
  });
  await page.evaluate(() => {
    const months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    const days = [-1, 0, 1].map((ahead) => {
      const day = new Date(Date.now() + ahead * 86_400_000);
      return `${day.getUTCDate()} ${months[day.getUTCMonth()]} ${day.getUTCFullYear()}`;
    });
    const today = new RegExp(`(?<!\\d)(${days.join("|")})(, \\d\\d:\\d\\d(:\\d\\d)?)?`, "g");
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let text = texts.nextNode(); text !== null; text = texts.nextNode()) {
      const value = (text.nodeValue ?? "")
        .replace(/\u00a0/g, " ")
        .replace(today, "1 Jan 2026, 12:00")
        .replace(/revision \d+/g, "revision 1");
      if (value !== (text.nodeValue ?? "").replace(/\u00a0/g, " ")) text.nodeValue = value;
    }
  });
  await page.evaluate(() => document.fonts.ready);
}
