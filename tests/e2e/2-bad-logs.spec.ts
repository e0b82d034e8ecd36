import { addSite, BROKEN, chooseLog, expect, expectAccessible, test } from "./program";

test.describe.configure({ mode: "serial" });
test.use({ quiet: false });

const BASE = "/sites/bad-logs";

const file = (name: string, content: string | Buffer) => ({
  name,
  mimeType: "text/csv",
  buffer: Buffer.from(content),
});

test("a site to give bad logs to", async ({ page }) => {
  await page.goto("/new-site");
  await addSite(page, "Bad logs");
});

for (const [name, content, says] of [
  ["empty.csv", "", "No records"],
  [
    "binary.csv",
    Buffer.from(Array.from({ length: 4096 }, (_, at) => (at * 7919) % 256)),
    /Not a table|Not readable as text/,
  ],
  ["notime.csv", "Load L1 (W),Load L2 (W)\n100,200\n110,210\n120,220\n", /No column holds times/],
  ["header.csv", "Time,Load L1 (W),Load L2 (W)\n", /No records|settle/],
] as const) {
  test(`${name} gets an answer that says what is wrong, and is not imported`, async ({ page }) => {
    await page.goto(`${BASE}/logs`);
    await chooseLog(page, file(name, content));
    await expect(page.getByText(says).first()).toBeVisible();
    await expectAccessible(page);
    await page.getByRole("button", { name: "Throw this log away" }).click();
    await expect(page.getByText("No log so far.")).toBeVisible();
  });
}

test("what a log doesn't settle is asked for, and not imported before it is settled", async ({ page }) => {
  // Until the 12th of a month, nothing shows whether the day or the month comes first.
  const rows = Array.from(
    { length: 60 },
    (_, at) => `05/04/2026 10:${String(at).padStart(2, "0")},${400 + at},300`,
  );
  await page.goto(`${BASE}/logs`);
  await chooseLog(page, file("order.csv", ["Stamp,Load L1 (W),Load L2 (W)", ...rows, ""].join("\n")));
  await expect(page.getByText(/don't show whether the day or the month comes first/)).toBeVisible();
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("alert").filter({ hasText: "Not saved" })).toContainText("Still to be settled");
  await page.getByLabel("Form of the times").fill("MM/dd/yyyy HH:mm");
  await page.getByLabel("A time stands at the").selectOption("start");
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("row", { name: /^Taken/ })).toContainText("60");
  await expect(page.getByText("4 May 2026", { exact: false }).first()).toBeVisible();
});

test("of a broken log every row is counted, and what couldn't be taken is shown and downloaded", async ({
  page,
  request,
}) => {
  await page.goto(`${BASE}/logs`);
  await chooseLog(page, BROKEN);
  await page.getByLabel("Zone of the times").fill("site");
  const words = page.getByLabel("Words of the source column");
  await words.fill(`${await words.inputValue()}\nstandby? = unknown`);
  const stamps = page.getByLabel("A time stands at the");
  await stamps.selectOption("start");
  for (const way of await page.getByLabel(/counts up when$/).all()) {
    const label = (await way.getAttribute("aria-label")) ?? "";
    if (/grid/i.test(label)) await way.selectOption("import");
    if (/battery current/i.test(label)) await way.selectOption("discharge");
  }
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("row", { name: /^Records of the log/ })).toContainText("1,450");
  await expect(page.getByText("What was met, and what mends it.")).toBeVisible();
  await expectAccessible(page);
  const csv = await request.get(`${page.url()}/rejects.csv`);
  expect(csv.status()).toBe(200);
  expect((await csv.text()).split("\r\n")[0]).toBe("Line,Column,What,Text,Rule");
  const counts = await page
    .getByRole("table", { name: /Records of the log/ })
    .getByRole("row")
    .allInnerTexts();
  const number = (word: string) =>
    Number(
      counts
        .find((row) => row.startsWith(word))!
        .match(/[\d,]+/)![0]
        .replace(",", ""),
    );
  expect(
    number("Taken") + number("Duplicates") + number("Conflicts") + number("Rejected") + number("Skipped"),
  ).toBe(number("Records of the log"));
});
