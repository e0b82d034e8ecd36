import { execFile } from "node:child_process";
import { readFile, writeFile } from "node:fs/promises";
import { promisify } from "node:util";
import type { Page } from "@playwright/test";
import { importInvented } from "./import-invented";
import { addSite, chooseLog, expect, expectAccessible, expectFits, test } from "./program";

// A month of minutes with all of its rows is much to look through for violations.
test.describe.configure({ timeout: 240_000 });
// An import's first poll may still be on its way when the page goes on.
test.use({ quiet: false });

const MONTH = "sample-logs/alder-creek-pottery/month";
const LOG = `${MONTH}/alder-creek-2026-05-60s.csv`;
const NAME = "Alder Creek, evidence";
const BASE = "/sites/alder-creek-evidence";

test("the demo month is imported with the ratings and the map that belong to it", async ({ page }) => {
  const config = JSON.parse(await readFile(`${MONTH}/site.json`, "utf8"));
  await page.goto("/new-site");
  await addSite(page, NAME);
  await page.goto(`${BASE}/settings`);
  await page.locator("textarea#config").fill(JSON.stringify({ ...config, name: NAME }));
  await page.getByRole("button", { name: "Save this text and compute anew" }).click();
  await expect(page.getByText("Saved.")).toBeVisible();
  await page.goto(`${BASE}/logs`);
  await chooseLog(page, LOG);
  await page.getByText("Give a columns.json instead").click();
  await page.locator('input[name="useJson"]').check();
  await page.locator("textarea#json").fill(JSON.stringify(await columnMap()));
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("row", { name: /^Records of the log/ })).toBeVisible({ timeout: 90_000 });
});

test("the month says every figure that the command line says of the same log, to the letter", async ({
  page,
}) => {
  const said = await reviewFigures();
  await page.goto(`${BASE}/2026-05`);
  for (const [title, sentences] of said) {
    const part = page.locator("#words details", {
      has: page.getByRole("heading", { level: 3, name: title, exact: true }),
    });
    await part.locator("summary").first().click();
    // Behind each sentence stands the way to where its figure comes from.
    const shown = await part.locator("ol > li > span:first-child").allInnerTexts();
    expect(
      shown.map((text) =>
        text.replaceAll("\u00a0", " ").replace(/ This is known for [\d.]+ % of the period\.$/, ""),
      ),
    ).toEqual(sentences);
  }
  expect(said.size).toBe(7);
});

test("what each part stands on is reached by the keyboard and stands open on paper", async ({ page }) => {
  await page.goto(`${BASE}/2026-05`);
  const basis = page.getByText(
    "nearLimitEnter 0.9, nearLimitLeave 0.85, nearLimitJoinS 60, nearLimitMinS 60",
  );
  const meaning = page.getByText("loading at which a near-limit interval begins");
  await expect(basis).toBeHidden();
  await page.locator("#words summary", { hasText: /^Loading/ }).focus();
  await page.keyboard.press("Enter");
  await page.locator("summary", { hasText: "How this is reckoned: Loading" }).focus();
  await page.keyboard.press("Enter");
  await expect(basis).toBeVisible();
  await expect(meaning).toBeVisible();
  await expectAccessible(page);
  await page.reload();
  await page.emulateMedia({ media: "print" });
  await expect(page.getByText("Figure 1", { exact: true }).first()).toBeVisible();
  expect(await basis.evaluate((element) => element.getBoundingClientRect().height)).toBeGreaterThan(0);
});

test("load over time stands beside the rating, and the whole curve is had as a file", async ({
  page,
  request,
}) => {
  await page.goto(`${BASE}/2026-05`);
  const table = page.getByRole("table", { name: /Load that is reached or exceeded .*beside the rating/ });
  await expect(table.getByRole("columnheader")).toHaveText([
    "Load",
    "Greatest",
    "1 % of the time",
    "5 % of the time",
    "10 % of the time",
    "50 % of the time",
    "Rating",
  ]);
  await expect(table.getByRole("row", { name: /^L1/ })).toContainText("5.54 kW");
  await expect(table.getByRole("row", { name: /^L1/ })).toContainText("4.00 kW");
  const csv = await (await request.get(`${BASE}/2026-05/tables/load-duration.csv`)).text();
  const [head, first, ...rest] = csv.trim().split("\r\n");
  expect(head).toBe("Part of the time (ratio),L1 (W),L2 (W),Total (W)");
  const greatest = first.split(",").map(Number);
  expect(greatest[0]).toBe(0);
  const log = (await readFile(LOG, "utf8")).trim().split("\n").slice(1);
  // Cells that a recorder garbled are no numbers.
  const most = (column: number) =>
    Math.max(...log.map((line) => Number(line.split(",")[column])).filter(Number.isFinite));
  expect(greatest.slice(1, 3)).toEqual([most(1), most(2)]);
  for (const column of [1, 2, 3]) {
    const loads = [first, ...rest].map((line) => Number(line.split(",")[column]));
    expect(loads).toEqual(loads.toSorted((a, b) => b - a));
  }
});

test("rows of near-limit and imbalance intervals have their evidence under them, and files", async ({
  page,
  request,
}) => {
  await page.goto(`${BASE}/2026-05`);
  const imbalance = page.getByRole("table", { name: "Every interval of imbalance" });
  await page.locator("summary", { hasText: /^The table behind it \(37/ }).click();
  await expect(imbalance.locator("tbody > tr")).toHaveCount(2 * 37);
  const evidence = imbalance.locator("details").first();
  await expect(evidence.locator("li").first()).toBeHidden();
  await evidence.locator("summary").click();
  await expect(evidence.locator("li").first()).toContainText(
    /the legs differed by up to .* settings imbalanceEnter/,
  );
  const nearLimit = page.getByRole("table", { name: "Every interval near the limit" });
  await page.locator("summary", { hasText: /^The table behind it \(18/ }).click();
  await nearLimit.locator("summary").first().click();
  await expect(nearLimit.locator("li").first()).toContainText(
    /reached .* of its limit at .* the limit was\s4\.00\skW/,
  );
  for (const [name, rows] of [
    ["imbalance-intervals", 37],
    ["near-limit-intervals", 18],
    ["dropouts", 0],
    ["continuous-load", 0],
  ] as const) {
    const answer = await request.get(`${BASE}/2026-05/tables/${name}.csv`);
    expect(answer.status(), name).toBe(200);
    expect((await answer.text()).trim().split("\r\n"), name).toHaveLength(rows + 1);
  }
});

test("a transfer of a low battery has its evidence, its return, its settings and its samples", async ({
  page,
}) => {
  // 2 May, 02:43 local.
  await page.goto(`${BASE}/transfers/20260502T084300Z`);
  await expect(page.getByText(/The battery was down to 20\s% state of charge at 02:43:00/)).toBeVisible();
  await expect(
    page.getByText(
      /The loads came back on 2 May, 08:31 with the battery at 30\s% state of charge and 52\.2\sV/,
    ),
  ).toBeVisible();
  await expect(page.getByText("30.0 %, 52.2 V")).toBeVisible();
  await page.getByText("The settings compared with, and what they mean").click();
  await expect(page.getByText("points above the low state of charge that still count as low")).toBeVisible();
  await expectAccessible(page);
  await page.getByRole("link", { name: "Its samples" }).click();
  await expect(page).toHaveURL(/around=\d#samples$|#samples$/);
  await expect(page.getByRole("row", { name: /^02:43:00/ })).toBeVisible();
});

test("a transfer that balanced legs would have spared says so with its figures", async ({ page }) => {
  await page.goto(`${BASE}/transfers?cause=overload`);
  await page
    .getByRole("row", { name: /May 2026/ })
    .getByRole("link")
    .first()
    .click();
  await expect(page.getByRole("heading", { name: "What would have prevented it." })).toBeVisible();
  await expect(page.getByText("One leg full", { exact: true })).toBeVisible();
  await expect(page.getByText(/the mean of both legs was .* \(counted up to 0\.95\)/)).toBeVisible();
  await expect(
    page.getByText(/^At .*, the last sample on the inverter, L\d was at .*the first on the utility/),
  ).toBeVisible();
  await expect(page.getByText(/^To have stayed on the inverter for what came after \(up to /)).toBeVisible();
  await page.getByText(/^The table behind it/).click();
  const row = page.getByRole("row", { name: /^\d\d:\d\d:\d\d transfer/ });
  await expect(row).toHaveAttribute("aria-current", "true");
  await expect(row).toContainText("On utility");
});

test("an import is taken back, counts no longer, and is put in again with the same figures", async ({
  page,
}) => {
  await page.goto(`${BASE}/2026-05`);
  const before = await page.locator("ol > li").allInnerTexts();
  await page.goto(`${BASE}/logs`);
  await page.getByRole("link", { name: /alder-creek-2026-05-60s/ }).click();
  await expect(page.getByRole("button", { name: "Yes, take this import back" })).toBeHidden();
  await page.getByText("Take it back …").click();
  await page.getByRole("button", { name: "Yes, take this import back" }).click();
  const again = page.getByRole("button", { name: "Put it in again" });
  await expect(again).toBeVisible({ timeout: 60_000 });
  await expectAccessible(page);
  await page.goto(`${BASE}/logs`);
  await expect(page.getByRole("row", { name: /alder-creek-2026-05-60s/ })).toContainText("taken back");
  await expect(page.getByText("Results are being computed")).toBeHidden({ timeout: 60_000 });
  await page.goto(`${BASE}/2026-05`);
  await expect(page.getByText("There are no samples of May 2026.").first()).toBeVisible();
  await page.goto(`${BASE}/logs`);
  await page.getByRole("link", { name: /alder-creek-2026-05-60s/ }).click();
  await again.click();
  await expect(page.getByRole("row", { name: /^Records of the log/ })).toBeVisible({ timeout: 90_000 });
  await page.goto(`${BASE}/2026-05`);
  await expect(page.getByText("Results are being computed")).toBeHidden({ timeout: 60_000 });
  await expect(page.getByRole("heading", { name: "The month in short." })).toBeVisible({ timeout: 30_000 });
  expect(await page.locator("ol > li").allInnerTexts()).toEqual(before);
});

test("a log that looks like an open neutral is answered by an alert above everything else", async ({
  page,
}) => {
  await importInvented(page, "Open neutral", "neutral.csv", [
    "Time,Load L1 (W),Load L2 (W),Voltage L1 (V),Voltage L2 (V)",
    ...minutes(180, (at) => (at >= 100 && at < 106 ? "2400,300,108.5,131.5" : "900,800,120.2,120.1")),
  ]);
  await page.goto("/sites/open-neutral/2026-05");
  const alert = page.getByRole("alert").filter({ hasText: "Stop: the neutral may be open or bad." });
  await expect(alert).toContainText(
    "the legs lay 23.0 V apart on opposite sides: L1 108.5 V at 2.40 kW, L2 131.5 V at 300 W",
  );
  await expect(alert).toContainText("Switch off what is sensitive");
  await expect(alert).toContainText("Call an electrician");
  const top = async (selector: ReturnType<Page["locator"]>) => (await selector.boundingBox())!.y;
  expect(await top(alert)).toBeLessThan(await top(page.getByRole("heading", { level: 1 })));
  expect(await top(alert)).toBeLessThan(await top(page.getByRole("navigation", { name: "Open neutral" })));
  await alert.getByText("What this stands on").click();
  await expect(alert).toContainText("counted from 6.0 V, setting openNeutralV");
  await expectFits(page, 360);
  await expectAccessible(page);
  for (const sheet of ["transfers", "logs", "settings"]) {
    await page.goto(`/sites/open-neutral/${sheet}`);
    await expect(alert).toContainText("Switch off what is sensitive, and call an electrician now.");
    expect(await top(alert)).toBeLessThan(await top(page.getByRole("navigation", { name: "Open neutral" })));
    await expectAccessible(page);
  }
  await alert.getByRole("link", { name: "What this stands on" }).click();
  await expect(page).toHaveURL(/\/sites\/open-neutral\/2026-05$/);
});

test("months of logs without legs, without load and without voltage say what isn't in them", async ({
  page,
}) => {
  await importInvented(page, "Total only", "total.csv", [
    "Time,Load (W)",
    ...minutes(180, (at) => String(900 + (at % 50))),
  ]);
  await page.goto("/sites/total-only/2026-05");
  for (const part of [/^The two legs/, /^Voltage/])
    await page.locator("#words summary", { hasText: part }).click();
  await expect(page.getByText("What each leg carries: not in this log.")).toBeVisible();
  await expect(page.getByText("What each leg carries is not in this log.")).toBeVisible();
  await expect(page.getByText("Leg voltage, and with it an open neutral: not in this log.")).toBeVisible();
  await expect(page.getByText("The load of each leg is not in this log.")).toBeVisible();
  await expect(page.getByRole("alert").filter({ hasText: "neutral" })).toHaveCount(0);
  await expectFits(page, 360);
  await expectAccessible(page);

  await page.goto("/sites/total-only/2026-04");
  await expect(page.getByText("There are no samples of April 2026.").first()).toBeVisible();
});

/** The map of the log; words of its source column that the recorder garbled are settled, as the sheet asks for. */
async function columnMap(): Promise<{ channels: { source: { words: Record<string, string> } } }> {
  const map = JSON.parse(await readFile(`${MONTH}/columns.json`, "utf8"));
  const [head, ...lines] = (await readFile(LOG, "utf8")).trim().split("\n");
  const at = head.split(",").indexOf("Source");
  for (const word of new Set(lines.map((line) => line.split(",")[at]).filter((text) => text !== "")))
    map.channels.source.words[word] ??= "unknown";
  return map;
}

/** The figures of `review`, sentence by sentence, by the title of their part. */
async function reviewFigures(): Promise<Map<string, string[]>> {
  const columns = test.info().outputPath("columns.json");
  await writeFile(columns, JSON.stringify(await columnMap()));
  const { stdout } = await promisify(execFile)(
    process.execPath,
    [
      "--import",
      "tsx",
      "src/cli/main.ts",
      "review",
      LOG,
      "--site",
      `${MONTH}/site.json`,
      "--columns",
      columns,
    ],
    { maxBuffer: 10_000_000 },
  );
  const parts = new Map<string, string[]>();
  for (const block of stdout.split("\n\n")) {
    const [title, ...lines] = block.split("\n");
    const name = PARTS.find((part) => part.toUpperCase() === title);
    if (name === undefined) continue;
    const text = lines.join("\n").replace(/\n {2}\[[^\]]*\](?=\n|$)/g, "");
    const sentences = text.split(/^- /m).slice(1);
    parts.set(
      name,
      sentences.map((sentence) => sentence.replace(/\s+/g, " ").trim()),
    );
  }
  return parts;
}

const PARTS = [
  "What carried the loads",
  "Transfers and returns",
  "Loading",
  "The two legs",
  "Demand and devices",
  "Voltage",
  "Energy",
];

/** Lines of a log of so many minutes from 4 May 2026, 10:00 at the site. */
function minutes(count: number, values: (at: number) => string): string[] {
  return Array.from({ length: count }, (_, at) => {
    const time = new Date(Date.UTC(2026, 4, 4, 10, at)).toISOString().slice(0, 19);
    return `${time}-06:00,${values(at)}`;
  });
}
