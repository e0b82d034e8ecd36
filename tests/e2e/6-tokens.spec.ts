import { expect, expectAccessible, programUrl, test } from "./program";

const BASE = "/sites/alder-creek-first-visit";

test("a token is made on the site's sheet, shown once, lets a program send a log, and is revoked", async ({
  page,
}) => {
  await page.goto(`${BASE}/settings`, { waitUntil: "networkidle" });
  const form = page.getByRole("form", { name: "New token" });
  await form.getByLabel("What will use it").fill("meter in the shed");
  await form.getByLabel("It may").selectOption("send logs and read");
  await form.getByRole("button", { name: "Make a token" }).click();
  const shown = form.getByRole("status").locator("code");
  await expect(shown).toHaveText(/^legroom_[\w-]{43}$/);
  const token = (await shown.textContent()) ?? "";
  await expectAccessible(page);

  const list = page.getByRole("region", { name: "Tokens that are good for this site" });
  await expect(list.getByRole("row", { name: /meter in the shed/ })).toContainText("never");
  await page.reload({ waitUntil: "networkidle" });
  await expect(page.getByText(token)).toHaveCount(0);

  const send = () =>
    fetch(`${programUrl()}/api/v1${BASE}/logs?name=shed.csv`, {
      method: "POST",
      headers: { authorization: `Bearer ${token}`, "content-type": "text/csv" },
      body: "Time,Load L1 W,Load L2 W\n2026-06-20T00:00:00Z,610,320\n2026-06-20T00:00:10Z,640,300\n",
    });
  const taken = await send();
  expect(taken.status).toBe(201);
  expect((await send()).status).toBe(200);
  const { log } = await taken.json();
  await page.goto(`${BASE}/logs`);
  await expect(page.getByRole("link", { name: "shed.csv" })).toHaveAttribute("href", log.screen);
  await page.goto(`${BASE}/logs?before=${log.logId}`);
  await expect(page.getByRole("link", { name: "shed.csv" })).toHaveCount(0);
  await page.getByRole("link", { name: "The latest logs" }).click();
  await expect(page.getByRole("link", { name: "shed.csv" })).toBeVisible();

  await page.goto(`${BASE}/settings`, { waitUntil: "networkidle" });
  await expect(list.getByRole("row", { name: /meter in the shed/ })).not.toContainText("never");
  const choice = page.getByLabel("Token to revoke");
  await choice.selectOption(
    await choice.getByRole("option", { name: /meter in the shed/ }).getAttribute("value"),
  );
  await page.getByRole("button", { name: "Revoke this token" }).click();
  await expect(page.getByLabel("Token to revoke")).toHaveCount(0);
  expect((await send()).status).toBe(401);
});
