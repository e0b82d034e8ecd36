import { importInvented } from "./import-invented";
import { expect, expectAccessible, expectFits, test } from "./program";

// An import's first poll may still be on its way when the page goes on.
test.use({ quiet: false });

/** Two days at a minute: L1 full from 18:00 to 18:30 on the first, L2 at a quarter of its rating. */
function rows(): string[] {
  const lines = [];
  for (let minute = 0; minute < 2 * 1440; minute++) {
    const at = new Date(Date.UTC(2026, 4, 4, 0, minute)).toISOString().slice(0, 19).replace("T", " ");
    const full = minute >= 18 * 60 && minute < 18 * 60 + 30;
    lines.push(`${at},${full ? 4200 : 900},${full ? 1000 : 600},inverter`);
  }
  return lines;
}

test("an installer sees which leg is full, follows the figure to its day, and takes the table along", async ({
  page,
  request,
}) => {
  await importInvented(page, "Full leg", "full.csv", ["Time,Load L1 (W),Load L2 (W),Source", ...rows()]);
  await page.goto("/sites/full-leg/legs");
  await expect(page.getByRole("heading", { level: 1, name: "The two legs" })).toBeVisible();
  await expect(async () => {
    await page.reload();
    await expect(
      page.getByText(/In May 2026 L1 was full for 30\smin while L2 had 3\.00\skW of headroom/),
    ).toBeVisible();
  }).toPass({ timeout: 30_000 });
  await expect(page.getByText(/L2 never reached its limit/)).toBeVisible();
  await expect(page.getByText(/for licensed people under the local code/)).toBeVisible();
  await expect(page.getByRole("img", { name: /Held time by the load of both legs/ })).toBeVisible();
  await expect(page.getByText("The voltage of the legs is not in this log.")).toBeVisible();
  await expectFits(page, 360);
  await expectAccessible(page);

  await page.setViewportSize({ width: 1280, height: 900 });
  await page.getByLabel("From").fill("2026-05-05");
  await page.getByLabel("To", { exact: true }).fill("2026-05-05");
  await page.getByRole("button", { name: "Show these days" }).click();
  await expect(page).toHaveURL(/\/legs\?from=2026-05-05&to=2026-05-05$/);
  await expect(
    page.getByText(/On 5 May 2026 neither leg was full: L1 came to 22\.5\s% of its limit/),
  ).toBeVisible();
  await page.getByRole("link", { name: "The whole log" }).click();
  await expect(page.getByText(/In the whole log L1 was full for 30\smin/)).toBeVisible();

  const file = await request.get("/sites/full-leg/legs/tables/leg-density.csv?from=2026-05-04&to=2026-05-04");
  expect(file.headers()["content-disposition"]).toContain(
    "full-leg-2026-05-04-to-2026-05-04-leg-density.csv",
  );
  expect((await file.text()).trim().split(/\r?\n/).slice(1)).toEqual([
    "900,600,84600,84600",
    "4200,1000,1800,1800",
  ]);

  await page.getByRole("link", { name: "4 May 2026, 18:00" }).first().click();
  await expect(page).toHaveURL(/\/sites\/full-leg\/2026-05\/04\?at=18/);
});

test("an address without a period that can be read says what is wrong with it", async ({ page }) => {
  await page.goto("/sites/full-leg/legs?from=2026-05-05&to=2026-05-04");
  await expect(page.getByText("ends (2026-05-04) before it begins (2026-05-05)")).toBeVisible();
  await expect(page.getByText(/In May 2026 L1 was full/)).toBeVisible();
});
