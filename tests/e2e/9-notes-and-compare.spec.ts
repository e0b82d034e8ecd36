import { importInvented } from "./import-invented";
import { expect, expectAccessible, expectFits, test } from "./program";

test.describe.configure({ timeout: 60_000 });
// A poll of an import may still be on its way when the page goes on.
test.use({ quiet: false });

const BASE = "/sites/two-months";

/** Six days at five minutes about the end of April, which is 06:00 UTC at the site; over to the utility now and then. */
function sixDays(): string[] {
  const first = Date.UTC(2026, 3, 28, 6);
  const rows = Array.from({ length: 6 * 288 }, (_, at) => {
    const time = new Date(first + at * 300_000 - 6 * 3_600_000).toISOString().slice(0, 19);
    // In April twice a day for a quarter of an hour with L1 above its limit, in May once.
    const minute = (at % 288) * 5;
    const over = (minute >= 300 && minute < 315) || (at < 3 * 288 && minute >= 720 && minute < 735);
    return `${time}-06:00,${over ? 4600 : 900},800,${over ? "utility" : "inverter"}`;
  });
  return ["Time,Load L1 (W),Load L2 (W),Source", ...rows];
}

/** 30 April, 12:00 at the site. */
const TRANSFER = `${BASE}/transfers/20260430T180000Z`;

test("two months are imported", async ({ page }) => {
  await importInvented(page, "Two months", "six-days.csv", sixDays());
  await page.goto(`${BASE}/2026-05`);
  await expect(page.getByText("Results are being computed")).toBeHidden({ timeout: 60_000 });
});

test("the month stands beside the one before per covered day, and leads to both in full", async ({
  page,
  request,
}) => {
  await page.goto(`${BASE}/2026-05`);
  const beside = page.getByRole("table", { name: "April 2026 and May 2026 side by side" });
  // 28 to 30 April: six transfers in three days; 1 to 3 May: three in three.
  await expect(beside.getByRole("row", { name: /^Transfers, a day/ })).toContainText("2.00 (6)1.00 (3)−1.00");
  await page.getByRole("link", { name: "Both months in full" }).click();
  await expect(page).toHaveURL(`${BASE}/compare?a=2026-04&b=2026-05`);
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("April 2026 beside May 2026");
  await expect(
    page.getByText("Transfers a covered day: 2.00 in April 2026, 1.00 in May 2026: 1.00 fewer.").first(),
  ).toBeVisible();
  await expect(page.getByRole("img", { name: /^Transfers a covered day by cause/ })).toBeVisible();
  await expect(page.getByRole("img", { name: /^Load-duration curves of each leg/ })).toBeVisible();
  await expectFits(page, 360);
  await expectAccessible(page);
  for (const [name, head] of [
    ["comparison", "Figure,Unit,April 2026,"],
    ["transfers-by-cause", "Figure,Unit,April 2026,"],
    ["load-duration", 'Part of the time (ratio),"L1, April 2026 (W)"'],
  ]) {
    const answer = await request.get(`${BASE}/compare/tables/${name}.csv?a=2026-04&b=2026-05`);
    expect(answer.status(), name).toBe(200);
    expect((await answer.text()).split("\r\n")[0], name).toContain(head);
  }
  expect((await request.get(`${BASE}/compare/tables/nothing.csv`)).status()).toBe(404);
});

test.describe("without scripts", () => {
  test.use({ javaScriptEnabled: false });

  test("a note is written beside a transfer and shown as it was typed, as text", async ({ page }) => {
    await page.goto(TRANSFER);
    const writing = page.getByRole("form", { name: "Write a note" });
    await page.getByText("Write a note").click();
    await writing.getByLabel("Note", { exact: true }).fill('<b>Kiln</b> & "glaze"\nsecond line');
    await writing.getByRole("button", { name: "Keep this note" }).click();
    await expect(page).toHaveURL(`${TRANSFER}#notes`);
    const note = page.locator("#notes li");
    await expect(note.locator("> p").first()).toHaveText('<b>Kiln</b> & "glaze"\nsecond line');
    await expect(page.locator("#notes b")).toHaveCount(0);
    await page.getByText("Change or remove").click();
    await note.getByLabel("Note", { exact: true }).fill("Kiln and glaze <script>1</script>");
    await note.getByRole("button", { name: "Save the note" }).click();
    await expect(note.locator("> p").first()).toHaveText("Kiln and glaze <script>1</script>");
    await expect(note.getByText(/^Written .*, changed /)).toBeVisible();
  });

  test("a note about the day marks a change, and leads to what was before and after it", async ({ page }) => {
    await page.goto(`${BASE}/2026-04/30`);
    // The transfer's note stands here too, and says of what it is.
    await expect(page.getByText("Transfer of 30 Apr, 12:00:00")).toBeVisible();
    await page.getByText("Write another note").click();
    const writing = page.getByRole("form", { name: "Write a note" });
    await writing.getByLabel("About").selectOption("the day");
    await writing.getByLabel("Note", { exact: true }).fill("Moved the kiln to L2.");
    await writing.getByRole("checkbox", { name: /^Something was changed then/ }).check();
    await writing.getByRole("button", { name: "Keep this note" }).click();
    await expect(page).toHaveURL(`${BASE}/2026-04/30#notes`);
    await expect(page.getByText("30 Apr (change)")).toBeVisible();
    await page.getByRole("link", { name: "Before and after it" }).click();
    await expect(page.getByRole("heading", { level: 1 })).toHaveText("Before and after 30 April 2026");
    await expect(page.getByText("Moved the kiln to L2.").first()).toBeVisible();
    // Two days before it, four transfers; three days after, three.
    await expect(
      page.getByText("Transfers a covered day: 2.00 before, 1.00 after: 1.00 fewer.").first(),
    ).toBeVisible();
  });

  test("transfers are narrowed by what one chooses, and the answer in words is of those", async ({
    page,
  }) => {
    await page.goto(`${BASE}/transfers`);
    await page.getByLabel("Month", { exact: true }).selectOption("2026-04");
    await page.getByText("By time and certainty").click();
    await page.getByLabel("Began in the hour").selectOption("12");
    await page.getByRole("button", { name: "Show these" }).click();
    await expect(page).toHaveURL(/month=2026-04.*hour=12/);
    await expect(page.getByText(/^3 transfers, all with the cause overload/)).toBeVisible();
    await page.getByLabel("From the day").fill("2026-04-29");
    await page.getByLabel("Tag").selectOption("avoidable");
    await page.getByRole("button", { name: "Show these" }).focus();
    await page.keyboard.press("Enter");
    await expect(page).toHaveURL(/from=2026-04-29.*tag=avoidable|tag=avoidable.*from=2026-04-29/);
    await expect(page.getByText(/^2 transfers, all with/)).toBeVisible();
    await page.getByRole("link", { name: "Show all of them" }).click();
    await expect(page.getByText(/^9 transfers, all with/)).toBeVisible();
  });
});

test("the month and its report list what was written by hand, with the way to it", async ({ page }) => {
  await page.goto(`${BASE}/2026-04`);
  const notes = page.locator("section", { hasText: "What was written down by hand." });
  await expect(notes.getByRole("link", { name: "30 Apr (change)" })).toBeVisible();
  await expect(notes.getByText("Moved the kiln to L2.")).toBeVisible();
  await expectAccessible(page);
  await notes.getByRole("link", { name: "Transfer of 30 Apr, 12:00:00" }).click();
  await expect(page).toHaveURL(`${TRANSFER}#notes`);
  await page.goto(`${BASE}/2026-04/report`);
  await expect(page.getByText("30 Apr (change): Moved the kiln to L2.")).toBeVisible();
});

test("a note that is too long is refused with its length, and what was typed stays", async ({ page }) => {
  await page.goto(TRANSFER, { waitUntil: "networkidle" });
  await page.getByText("Write another note").click();
  const writing = page.getByRole("form", { name: "Write a note" });
  const field = writing.getByLabel("Note", { exact: true });
  await field.evaluate((element) => element.removeAttribute("maxlength"));
  const long = "x".repeat(2001);
  await field.fill(long);
  await writing.getByRole("button", { name: "Keep this note" }).click();
  const problem = page.getByRole("alert").filter({ hasText: "Not saved" });
  await expect(problem).toContainText("The note has 2001 characters; at most 2000 are kept.");
  await expect(field).toHaveValue(long);
  await expectAccessible(page);
  await expectFits(page, 360);
});

test("a note is removed for good", async ({ page }) => {
  await page.goto(TRANSFER, { waitUntil: "networkidle" });
  await page.getByText("Change or remove").click();
  await page.getByLabel("Remove this note for good").check();
  await page.getByRole("button", { name: "Save the note" }).click();
  await expect(page.getByText("Write a note")).toBeVisible();
  await expect(page.getByText("Kiln and glaze")).toHaveCount(0);
});

test("from the first sheet to the samples behind a transfer are four clicks", async ({ page }) => {
  await page.goto("/");
  const site = page.getByRole("article").filter({ hasText: "Two months" });
  await site.getByRole("link", { name: /^Why/ }).click();
  await page.getByRole("link", { name: /^3 May 2026, 05:00:00/ }).click();
  await page.getByRole("link", { name: "Its samples" }).click();
  await expect(page.getByRole("row", { name: /^05:00:00/ })).toBeVisible();
});
