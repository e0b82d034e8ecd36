import { addSite, chooseLog, expect, expectAccessible, expectFits, test } from "./program";

test.describe.configure({ mode: "serial" });

const BASE = "/sites/maps-kept";

/** An hour of a log that says everything, from a minute of 12 May on; `l1` is added to the load of L1. */
function log(name: string, from: number, l1 = 0, header = "Time,Load L1 (W),Load L2 (W),Feed") {
  const rows = Array.from({ length: 60 }, (_, at) => {
    const minute = from + at;
    const time = `2026-05-12 ${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;
    return `${time},${400 + minute + l1},${300 + (minute % 7)},own`;
  });
  return { name, mimeType: "text/csv", buffer: Buffer.from([header, ...rows, ""].join("\n")) };
}

test("the map of a first log is kept, and the next one of its shape is read by it", async ({ page }) => {
  await page.goto("/new-site");
  await addSite(page, "Maps kept");
  await chooseLog(page, log("first.csv", 0));
  await page.getByLabel("Words of the source column").fill("own = inverter");
  await page.getByLabel("A time stands at the").selectOption("start");
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("row", { name: /^Taken/ })).toContainText("60");

  await page.goto(`${BASE}/logs`);
  await chooseLog(page, log("second.csv", 30, 50));
  await expect(page.getByText(/Recognised: the map of "first\.csv", imported on/)).toBeVisible();
  await expect(page.getByLabel("Words of the source column")).toHaveValue("own = inverter");
  await expectAccessible(page);
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("row", { name: /^Conflicts/ })).toContainText("30");
});

test("every conflict of a log is downloaded with what stands, what came and from which log", async ({
  page,
}) => {
  await page.goto(`${BASE}/logs`);
  await page.getByRole("link", { name: "second.csv" }).click();
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("link", { name: "Download every conflict as CSV" }).click(),
  ]);
  const pieces: Buffer[] = [];
  for await (const piece of await download.createReadStream()) pieces.push(piece as Buffer);
  const lines = Buffer.concat(pieces).toString().trimEnd().split("\r\n");
  expect(lines.length).toBe(31);
  expect(lines[0]).toContain("loadL1W stands,loadL1W came");
  expect(lines[1]).toMatch(/^2,2026-05-12T00:30:00.*,430,480,.*,first\.csv$/);
});

test("a log of a changed shape says what has gone, and one can take the place of others", async ({
  page,
}) => {
  await page.goto(`${BASE}/logs`);
  await chooseLog(page, log("third.csv", 30, 90, "Time,Load L1 (W),Somewhere,Feed"));
  await expect(page.getByText(/The log's shape has changed against the map of "first\.csv"/)).toBeVisible();
  await expect(
    page.getByText(/takes loadL2W from "Load L2 \(W\)", which this log doesn't have any more/),
  ).toBeVisible();
  await page.getByLabel("Somewhere is taken for").selectOption("loadL2W");
  await page.getByLabel("Unit of Somewhere").selectOption("W");
  await page.getByLabel(/Let it take the place/).check();
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("row", { name: /^Taken/ })).toContainText("60");
  await expect(page.getByText(/It takes the place of what earlier logs/)).toBeVisible();
});

test("the map of an imported log is mended, and the log read again with it", async ({ page }) => {
  await page.goto(`${BASE}/logs`);
  await page.getByRole("link", { name: "first.csv" }).click();
  await page.getByRole("link", { name: "Mend it and read the log again" }).click();
  await expect(page.getByRole("heading", { level: 1, name: "How first.csv is read" })).toBeVisible();
  await expectAccessible(page);
  await expectFits(page, 360);
  await page.getByLabel("Unit of Load L1 (W)").selectOption("kW");
  await page.getByLabel(/Read all logs of this logger with the same columns/).check();
  await page.getByRole("button", { name: "Read again with this map" }).click();
  await expect(page.getByRole("link", { name: "Mend it and read the log again" })).toBeVisible({
    timeout: 30_000,
  });
  await page.getByText("columns.json", { exact: true }).first().click();
  await expect(page.getByText('"unit": "kW"')).toBeVisible();
});
