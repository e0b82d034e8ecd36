import { readFile } from "node:fs/promises";
import { addSite, chooseLog, expect, expectAccessible, TWO_DAYS, test } from "./program";

test.describe.configure({ mode: "serial" });

const SITE = "Alder Creek, first visit";
const BASE = "/sites/alder-creek-first-visit";

test("the first visit leads to the first site and its logs", async ({ page }) => {
  await page.goto("/");
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("Does the inverter carry the load?");
  await expect(page.getByRole("button", { name: "Load the invented month" })).toBeVisible();
  await expectAccessible(page);
  await addSite(page, SITE);
  await expect(page.getByText("No log so far.")).toBeVisible();
  await expectAccessible(page);
});

test("a site that can't be is refused by name, and what was typed stays", async ({ page }) => {
  await page.goto("/new-site");
  await page.getByLabel("Name").fill("Zero");
  await page.getByLabel("Time zone").fill("America/Denvr");
  await page.getByLabel("Limit of one leg").fill("0");
  await page.getByRole("button", { name: "Add the site" }).click();
  const problem = page.getByRole("alert").filter({ hasText: "Not saved" });
  await expect(problem).toContainText("legLimitW");
  await expect(problem).toContainText('Did you mean "America/Denver"?');
  await expect(page.getByLabel("Time zone")).toHaveValue("America/Denvr");
  await page.goto("/sites/zero");
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("There is no such sheet");
});
test.use({ quiet: false });

test("before the first log every sheet says what to do", async ({ page }) => {
  await page.goto(`${BASE}/transfers`);
  await expect(page.getByRole("link", { name: "Import the first log" })).toBeVisible();
  await expectAccessible(page);
  await page.goto(`${BASE}/2026-06`);
  await expect(page.getByText("There are no samples of June 2026.")).toBeVisible();
});

test("the two-day log is looked over, imported, and its transfer followed to its samples", async ({
  page,
}) => {
  // One journey through an import; the sheets' own checks stand in 3-every-sheet.
  test.setTimeout(120_000);
  await page.goto(`${BASE}/logs`);
  await chooseLog(page, TWO_DAYS);
  await expect(page.getByRole("heading", { name: /How its columns are read/ })).toBeVisible();
  await expect(page.getByLabel("Load L1 (W) is taken for")).toHaveValue("loadL1W");
  await expect(page.getByLabel("Battery current (A) counts up when")).toHaveValue("discharge");
  await expectAccessible(page);

  // The days settle which way the grid counts, and say by what figure.
  await expect(page.getByLabel("Grid (W) counts up when")).toHaveValue("import");
  await page.getByRole("button", { name: "Import this log" }).click();

  await expect(page.getByRole("row", { name: /^Taken/ })).toContainText("172,800");
  await expect(page.getByRole("row", { name: /^Records of the log/ })).toContainText("172,800");
  await expectAccessible(page);
  await page.getByRole("link", { name: "Look at the month" }).click();

  await expect(page.getByRole("heading", { level: 1 })).toHaveText("June 2026");
  await expect(page.getByText(/the loads went over to the utility \d+ times/)).toBeVisible();
  await expect(page.getByRole("table", { name: /Greatest loading of every hour/ })).toBeVisible();

  await page.getByRole("link", { name: "Overload", exact: true }).click();
  await expect(page).toHaveURL(/cause=overload/);
  await page.getByRole("link", { name: "10 Jun 2026, 09:22:17" }).click();

  await expect(page.getByRole("heading", { level: 1 })).toHaveText("Transfer of 10 Jun 2026, 09:22:17");
  await expect(page.getByText(/L1 reached 1\.08 of its limit/)).toBeVisible();
  await expect(page.getByText(/Without a grid the loads would have been dead/)).toBeVisible();
  await page.getByRole("link", { name: "± 1 min" }).click();
  await expect(page).toHaveURL(/around=1/);
  await page.getByText(/^The table behind it \(120/).click();
  await expect(page.getByRole("row", { name: /^09:22:17.*On utility/ })).toBeVisible();
});

test("what a log doesn't settle is asked, and nothing is imported unasked", async ({ page }) => {
  await page.goto("/new-site");
  await addSite(page, "Alder Creek, asked");
  // A quarter of an hour: too little to tell which way the grid counts.
  const lines = (await readFile(TWO_DAYS, "utf8")).split("\n").slice(0, 900);
  await chooseLog(page, { name: "short.csv", mimeType: "text/csv", buffer: Buffer.from(lines.join("\n")) });
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("alert").filter({ hasText: "Not saved" })).toContainText(
    "Still to be settled:\nchannels.gridW.positive",
  );
  await page.getByLabel("Grid (W) counts up when").selectOption("import");
  await page.getByLabel("A time stands at the").selectOption("start");
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("row", { name: /^Taken/ })).toContainText("899");
});

test("the samples behind a transfer are downloaded as they stand in the log", async ({ page, request }) => {
  const answer = await request.get(`${BASE}/transfers/20260610T152217Z/samples.csv`);
  expect(answer.headers()["content-type"]).toContain("text/csv");
  const [head, ...rows] = (await answer.text()).trim().split("\r\n");
  expect(head.split(",").slice(0, 3)).toEqual(["Time", "loadL1W", "loadL2W"]);
  expect(rows).toHaveLength(1200);
  const log = await readFile(TWO_DAYS, "utf8");
  const given = log.split("\n").find((line) => line.startsWith("2026-06-10T09:22:17"))!;
  const read = rows.find((row) => row.startsWith("2026-06-10T09:22:17-06:00"))!;
  expect(read.split(",").slice(1, 3)).toEqual(given.split(",").slice(1, 3));
  await page.goto(BASE);
});

test("the same log again changes nothing and says so", async ({ page }) => {
  await page.goto(`${BASE}/logs`);
  await chooseLog(page, TWO_DAYS);
  await expect(page.getByRole("row", { name: /^Taken/ })).toContainText("172,800");
  await page.goto(`${BASE}/logs`);
  await expect(page.getByRole("row", { name: /alder-creek-2026-06-09-1s/ })).toHaveCount(1);
});

test("a changed limit computes the results anew, and the sheet renews itself", async ({ page }) => {
  await page.goto(`${BASE}/settings`);
  await expectAccessible(page);
  await page.getByLabel("Limit of one leg").fill("6000");
  await page.getByRole("button", { name: "Save and compute anew" }).click();
  await expect(page.getByText("Saved.")).toBeVisible();
  await page.goto(`${BASE}/2026-06`);
  await expect(page.getByText("Results are being computed")).toBeHidden({ timeout: 30_000 });
  await expect(page.getByText("6.00 kW a leg, 12.0 kW in all")).toBeVisible();
  await expect(page.getByText(/revision [2-9]/)).toBeVisible();
});
