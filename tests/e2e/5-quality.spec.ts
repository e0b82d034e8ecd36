import { importInvented } from "./import-invented";
import { expect, expectAccessible, expectFits, test } from "./program";

// An import's first poll may still be on its way when the page goes on.
test.use({ quiet: false });

const BASE = "/sites/hung-sensor";

test("a log with a hung leg, a leap of the charge and a hole says all three, and what they touch", async ({
  page,
  request,
}) => {
  await importInvented(page, "Hung sensor", "hung.csv", [
    "Time,Load L1 (W),Load L2 (W),State of charge (%)",
    ...day(),
  ]);
  await page.getByRole("link", { name: "Whether it can be trusted" }).click();
  await expect(page).toHaveURL(/\/logs\/\d+\/quality$/);
  await expect(page.getByText("The logs are being looked through.")).toHaveCount(0, { timeout: 30_000 });
  await expect(async () => {
    await page.reload();
    await expect(page.getByText(/Load of L1 stood at 912\sW for 4\sh from 4 May, 10:00 on/)).toBeVisible();
  }).toPass({ timeout: 30_000 });
  await expect(page.getByText(/State of charge went from 60\.0\s% to 95\.0\s%/)).toBeVisible();
  await expect(page.getByText("Touches: loading, near-limit intervals").first()).toBeVisible();
  await expectFits(page, 360);
  await expectAccessible(page);

  await page.goto(`${BASE}/quality`);
  await expect(page.getByRole("heading", { level: 1, name: "Can the figures be trusted?" })).toBeVisible();
  await expect(page.getByText(/with 1 gap, the longest of 1\sh/)).toBeVisible();
  await expect(page.getByRole("row", { name: /^Load of L1/ }).first()).toContainText(/96\s%/);
  await expectFits(page, 360);
  await expectAccessible(page);
  for (const [name, rows] of [
    ["doubtful", 2],
    ["gaps", 1],
    ["coverage-by-day-main", 31],
    ["balance-by-day", 0],
  ] as const) {
    const answer = await request.get(`${BASE}/quality/tables/${name}.csv?month=2026-05`);
    expect(answer.status(), name).toBe(200);
    expect((await answer.text()).trim().split("\r\n"), name).toHaveLength(rows + 1);
  }
  expect((await request.get(`${BASE}/quality/tables/none.csv?month=2026-05`)).status()).toBe(404);
});

/** Minutes of 4 May 2026 at the site: L1 hangs from 10 to 14 h, an hour is missing from 16 h, the charge leaps at 20 h. */
function day(): string[] {
  const lines: string[] = [];
  for (let at = 0; at < 1440; at++) {
    if (at >= 960 && at < 1020) continue;
    const time = new Date(Date.UTC(2026, 4, 4, 0, at)).toISOString().slice(0, 19);
    const l1 = at >= 600 && at < 840 ? 912 : 700 + ((at * 37) % 401);
    lines.push(`${time}-06:00,${l1},${500 + ((at * 53) % 397)},${at < 1200 ? 60 : 95}`);
  }
  return lines;
}
