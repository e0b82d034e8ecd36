import type { Page } from "@playwright/test";
import { addSite, chooseLog, expect } from "./program";

/** Adds a site and imports an invented log of it, whose header and rows are given; every row has to be taken. */
export async function importInvented(
  page: Page,
  site: string,
  name: string,
  lines: readonly string[],
): Promise<void> {
  await page.goto("/new-site");
  await addSite(page, site);
  await chooseLog(page, { name, mimeType: "text/csv", buffer: Buffer.from(`${lines.join("\n")}\n`) });
  await page.getByLabel("A time stands at the").selectOption("start");
  await page.getByRole("button", { name: "Import this log" }).click();
  await expect(page.getByRole("row", { name: /^Taken/ })).toContainText(
    (lines.length - 1).toLocaleString("en-US"),
  );
}
