import { importInvented } from "./import-invented";
import { expect, expectAccessible, expectFits, test } from "./program";

// An import's first poll may still be on its way when the page goes on.
test.use({ quiet: false });

const BASE = "/sites/battery-unrated";

test("a log with battery current and no ratings of the battery says what it shows and what is missing", async ({
  page,
  request,
}) => {
  await importInvented(page, "Battery unrated", "battery.csv", [
    "Time,Load L1 (W),Load L2 (W),Battery current (A),Battery voltage (V),Source",
    ...days(),
  ]);
  await page.getByRole("link", { name: "Battery", exact: true }).click();
  await expect(
    page.getByRole("heading", { level: 1, name: "Are bank, cables and fuse big enough?" }),
  ).toBeVisible();
  await expect(page.getByText(/In June 2026 the battery gave 58\.7\sA at most/).first()).toBeVisible();
  await expect(page.getByText(/what it may give and its fuse aren't in the site's settings/)).toBeVisible();
  await expect(page.getByText("The state of charge is not in this log.").first()).toBeVisible();
  await expect(page.getByText(/terminals stay live with the disconnect open/)).toBeVisible();
  await expect(page.getByRole("img", { name: /^Time at or above each battery current/ })).toBeVisible();
  await expectFits(page, 360);
  await expectAccessible(page);

  // The period is in the address, and its days are the site's.
  await page.getByLabel("From", { exact: true }).fill("2026-05-31");
  await page.getByLabel("To", { exact: true }).fill("2026-05-31");
  await page.getByRole("button", { name: "Show these days" }).click();
  await expect(page).toHaveURL(/battery\?from=2026-05-31&to=2026-05-31$/);
  await expect(page.getByText(/On 31 May 2026 the battery gave/).first()).toBeVisible();
  await page.getByRole("link", { name: "The whole log" }).click();
  await expect(page).toHaveURL(/battery\?period=all$/);
  const csv = await request.get(`${BASE}/battery/tables/dc-against-ac.csv?period=all`);
  expect(csv.status()).toBe(200);
  expect((await csv.text()).split("\r\n")[0]).toBe(
    '"AC power, mean (W)","From the battery, mean (W)",Standard deviation (W),Held for (s)',
  );
  expect((await request.get(`${BASE}/battery/tables/none.csv?period=all`)).status()).toBe(404);
});

/** Minutes of 31 May and 1 June 2026 at the site: 55 W idle, 95 %. */
function days(): string[] {
  return Array.from({ length: 2880 }, (_, at) => {
    const time = new Date(Date.UTC(2026, 4, 31, 0, at)).toISOString().slice(0, 19);
    const l1 = 300 + ((at * 37) % 1601);
    const l2 = 200 + ((at * 53) % 697);
    const amps = (55 + (l1 + l2) / 0.95) / 50;
    return `${time}-06:00,${l1},${l2},${amps.toFixed(1)},50.0,inverter`;
  });
}
