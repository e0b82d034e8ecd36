import { addSite, chooseLog, expect, expectAccessible, test } from "./program";
import { simulatedCsv } from "./simulated-csv";

test.describe.configure({ timeout: 180_000 });
// A poll of an import may still be on its way when the page goes on.
test.use({ quiet: false });

test("from nothing to the first answer with the invented month: two clicks and a look at its import", async ({
  page,
}) => {
  await page.goto("/new-site");
  await page.getByRole("button", { name: "Load the invented month" }).click();
  await expect(page).toHaveURL(/\/sites\/alder-creek-pottery\/logs\/\d+$/);
  await page.getByRole("link", { name: "Look at the month" }).click({ timeout: 90_000 });
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("May 2026");
  await expect(page.getByText(/the loads went over to the utility 41 times/).first()).toBeVisible();
  await expectAccessible(page);
  // A second time it isn't loaded again: it leads to the site.
  await page.goto("/new-site");
  await page.getByRole("button", { name: "Load the invented month" }).click();
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("May 2026");
});

test("an import shows how far it is and how long it takes yet, and is stopped by a click with nothing left of it", async ({
  page,
}) => {
  await page.goto("/new-site");
  await addSite(page, "Alder Creek, stopped");
  await chooseLog(page, { name: "long.csv", mimeType: "text/csv", buffer: simulatedCsv(1_200_000) });
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("progressbar")).toBeVisible();
  await expect(page.getByText("Time left")).toBeVisible();
  await expect(page.getByText("Rows a second")).toBeVisible();
  await page.getByRole("button", { name: "Cancel the import" }).click();
  await expect(page.getByText("The import was cancelled.")).toBeVisible({ timeout: 30_000 });
  await page.goto("/sites/alder-creek-stopped/transfers");
  await expect(page.getByRole("link", { name: "Import the first log" })).toBeVisible();
});
