import type { Page } from "@playwright/test";
import { expect, test } from "./program";

test.describe.configure({ timeout: 240_000 });

// The demo month, imported by the tests of evidence before.
const BASE = "/sites/alder-creek-evidence";
const SHEETS = [
  "/",
  `${BASE}/2026`,
  `${BASE}/2026-05`,
  `${BASE}/2026-05/14`,
  `${BASE}/2026-05/report`,
  `${BASE}/compare?change=2026-05-15&days=14`,
  `${BASE}/transfers`,
  `${BASE}/legs`,
  `${BASE}/battery`,
  `${BASE}/logs`,
  `${BASE}/quality`,
  `${BASE}/settings`,
];

test("text of twice its size loses nothing on any sheet (WCAG 2.2, 1.4.4)", async ({ page }) => {
  await page.setViewportSize({ width: 1280, height: 900 });
  for (const path of SHEETS) {
    await page.goto(path, { waitUntil: "networkidle" });
    await page.addStyleTag({ content: "html { font-size: 200% }" });
    expect(await page.evaluate(() => document.documentElement.scrollWidth), path).toBeLessThanOrEqual(1280);
    expect(await cutOff(page), path).toEqual([]);
  }
});

test("nothing moves for whoever asked for no motion", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  for (const path of SHEETS) {
    await page.goto(path, { waitUntil: "networkidle" });
    const moving = await page.evaluate(() =>
      [...document.querySelectorAll("*")]
        .filter((element) => {
          const { transitionDuration, animationName, animationDuration } = getComputedStyle(element);
          const lasts = (durations: string) => durations.split(",").some((one) => Number.parseFloat(one) > 0);
          return lasts(transitionDuration) || (animationName !== "none" && lasts(animationDuration));
        })
        .map((element) => element.outerHTML.slice(0, 100)),
    );
    expect(moving, path).toEqual([]);
    expect(await page.evaluate(() => document.getAnimations().length), path).toBe(0);
  }
});

test("the keyboard alone leads from the sites to the samples behind a transfer", async ({ page }) => {
  await page.goto("/");
  await enter(page, "Alder Creek, evidence");
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("May 2026");
  await enter(page, "Transfers");
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("Transfers to the utility");
  await enter(page, "14 May 2026, 19:12:00");
  await expect(page.getByRole("heading", { level: 1 })).toHaveText(/Transfer of 14 May 2026, 19:12:00/);
  const samples = page.locator("summary", { hasText: "The table behind it" }).first();
  await focusByTab(page, samples);
  await page.keyboard.press("Enter");
  await expect(page.getByRole("row", { name: /^19:12:00/ })).toBeVisible();
});

/** Goes on by Tab alone until the link has the focus, and follows it. */
async function enter(page: Page, name: string): Promise<void> {
  const link = page.getByRole("link", { name, exact: true }).first();
  await focusByTab(page, link);
  await page.keyboard.press("Enter");
}

async function focusByTab(page: Page, target: ReturnType<Page["locator"]>): Promise<void> {
  await target.waitFor();
  for (let tabs = 0; tabs < 400; tabs++) {
    await page.keyboard.press("Tab");
    if (await target.evaluate((element) => element === document.activeElement)) {
      // Where the focus is must be seen (2.4.7).
      const outline = await target.evaluate((element) => getComputedStyle(element).outlineStyle);
      expect(outline).not.toBe("none");
      return;
    }
  }
  throw new Error("Tab doesn't reach it");
}

/** Texts that are cut off by their own box. */
function cutOff(page: Page): Promise<string[]> {
  return page.evaluate(() =>
    [...document.querySelectorAll("main *")]
      .filter((element) => {
        const style = getComputedStyle(element);
        if (!/hidden|clip/.test(style.overflowX + style.overflowY)) return false;
        if (element.closest(".visually-hidden") !== null || element.closest("svg") !== null) return false;
        if (!element.textContent?.trim() || style.clipPath !== "none") return false;
        return (
          element.scrollWidth > element.clientWidth + 1 || element.scrollHeight > element.clientHeight + 1
        );
      })
      .map((element) => element.outerHTML.slice(0, 120)),
  );
}
