import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, expectAccessible, expectFits, test } from "./program";
import { runCli } from "./run-cli";

test.describe.configure({ timeout: 240_000 });

// The demo month, imported by the tests of evidence before.
const NAME = "Alder Creek, evidence";
const BASE = "/sites/alder-creek-evidence/2026-05";

test("the month leads to its report, which says what the month says", async ({ page }) => {
  await page.goto(BASE);
  const headline = await page.locator("header p").filter({ hasText: "the loads went over" }).textContent();
  await page.getByRole("link", { name: "Report on paper" }).click();
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("Report of May 2026");
  await expect(page.getByText(headline ?? "no headline")).toBeVisible();
  await expect(page.getByRole("heading", { name: "Cautions" })).toBeVisible();
  await expect(page.getByRole("table", { name: "Transfers, one by one" }).getByRole("row")).toHaveCount(42);
  await expectFits(page, 360);
  await expectAccessible(page);
});

test("it prints to A4 and to Letter, and its pages are numbered", async ({ page }) => {
  for (const [paper, width, height] of [
    ["a4", 595, 842],
    ["letter", 612, 792],
  ] as const) {
    await page.goto(`${BASE}/report?paper=${paper}`, { waitUntil: "networkidle" });
    const boxes = boxesOf(await page.pdf({ preferCSSPageSize: true }));
    expect(boxes.length).toBeGreaterThan(4);
    expect(boxes.length).toBeLessThan(14);
    for (const box of boxes) {
      expect(Math.abs(box.width - width)).toBeLessThan(1);
      expect(Math.abs(box.height - height)).toBeLessThan(1);
    }
  }
});

test("nothing of it is cut off by the paper's edge", async ({ page }) => {
  await page.emulateMedia({ media: "print" });
  // What Letter leaves between its margins, 8.5 in − 2 × 14 mm, in px; A4 has 688.
  await page.setViewportSize({ width: 688, height: 900 });
  await page.goto(`${BASE}/report`, { waitUntil: "networkidle" });
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(688);
  await expect(page.getByText("Back to May 2026")).toBeHidden();
});

test("the command line writes it as a PDF, and refuses what it can't", async () => {
  const folder = await mkdtemp(join(tmpdir(), "legroom-report-"));
  try {
    const out = join(folder, "may.pdf");
    const { stdout } = await runCli("report", "--site", NAME, "--month", "2026-05", "--out", out);
    expect(stdout).toContain("the report of 2026-05");
    const [box] = boxesOf(await readFile(out));
    expect(Math.round(box.width)).toBe(595);
    const refused = async (...args: string[]) =>
      runCli("report", "--site", NAME, ...args).then(
        () => null,
        (error: { code: number; stderr: string }) => error,
      );
    const empty = await refused("--month", "2026-09", "--out", join(folder, "none.pdf"));
    expect(empty?.code).toBe(1);
    expect(empty?.stderr).toContain("nothing to report");
    const odd = await refused("--month", "2026-05", "--out", join(folder, "may.txt"));
    expect(odd?.code).toBe(2);
    const nowhere = await refused("--month", "2026-05", "--out", join(folder, "gone", "may.pdf"));
    expect(nowhere?.stderr).toContain("no such folder");
    await expect(readFile(join(folder, "none.pdf"))).rejects.toThrow();
  } finally {
    await rm(folder, { recursive: true });
  }
});

/** The sizes of a PDF's pages in points: a MediaBox each (ISO 32000-1, table 30). */
function boxesOf(pdf: Buffer): { width: number; height: number }[] {
  return [...pdf.toString("latin1").matchAll(/\/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]/g)].map((match) => ({
    width: Number(match[1]),
    height: Number(match[2]),
  }));
}
