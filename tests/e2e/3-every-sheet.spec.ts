import { gzipSync } from "node:zlib";
import { expect, expectAccessible, programUrl, test } from "./program";

const BASE = "/sites/alder-creek-first-visit";
const SHEETS = [
  "/",
  "/new-site",
  `${BASE}/2026-06`,
  `${BASE}/2026-06/report`,
  `${BASE}/2026-06/10`,
  `${BASE}/2026-06/10?from=09:20:00&to=09:25:00`,
  `${BASE}/2026`,
  `${BASE}/compare`,
  `${BASE}/compare?change=2026-06-10&days=1`,
  `${BASE}/transfers`,
  `${BASE}/transfers?tag=avoidable&hour=9`,
  `${BASE}/transfers/20260610T152217Z`,
  `${BASE}/legs`,
  `${BASE}/battery`,
  `${BASE}/logs`,
  `${BASE}/quality`,
  `${BASE}/settings`,
];

/** Scripts that a sheet may bring with it, compressed. */
const MAX_SCRIPT_BYTES = 170_000;

for (const path of SHEETS) {
  test(`${path} fits a phone of 360 px and a wide screen, light and dark, without a violation`, async ({
    page,
  }) => {
    for (const [width, colorScheme] of [
      [360, "dark"],
      [1600, "light"],
    ] as const) {
      await page.setViewportSize({ width, height: 800 });
      await page.emulateMedia({ colorScheme });
      await page.goto(path, { waitUntil: "networkidle" });
      await expect(page.getByRole("heading", { level: 1 })).toHaveCount(1);
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
      await expectAccessible(page);
    }
  });

  test(`${path} brings at most ${MAX_SCRIPT_BYTES / 1000} kB of script`, async ({ page }) => {
    const sizes = new Map<string, number>();
    page.on("response", async (response) => {
      if (response.request().resourceType() !== "script") return;
      sizes.set(response.url(), gzipSync(await response.body()).length);
    });
    await page.goto(path, { waitUntil: "networkidle" });
    expect(sizes.size).toBeGreaterThan(0);
    expect([...sizes.values()].reduce((sum, bytes) => sum + bytes, 0)).toBeLessThanOrEqual(MAX_SCRIPT_BYTES);
  });
}

test("the keyboard reaches the sheet past the masthead", async ({ page }) => {
  await page.goto(`${BASE}/transfers`);
  await page.keyboard.press("Tab");
  await expect(page.getByRole("link", { name: "Skip to the sheet" })).toBeFocused();
  await page.keyboard.press("Enter");
  await expect(page.locator("main")).toBeFocused();
});

test.describe("without scripts", () => {
  test.use({ javaScriptEnabled: false });

  test("a transfer has its picture, its evidence and its table", async ({ page }) => {
    await page.goto(`${BASE}/transfers/20260610T152217Z`);
    await expect(page.getByRole("img", { name: /Load of L1 and L2/ })).toBeVisible();
    await expect(page.getByText("transfer 09:22:17").first()).toBeVisible();
    await expect(page.getByText(/L1 reached/)).toBeVisible();
  });
});

test("a foreign name and a foreign origin are refused", async ({ request }) => {
  const named = await request.get("/", { headers: { host: "legroom.example" } });
  expect(named.status()).toBe(421);
  const upload = `${BASE}/logs/upload?name=a.csv`;
  const body = { data: Buffer.from("a,b\n"), headers: { "content-type": "application/octet-stream" } };
  const foreign = await request.post(upload, {
    ...body,
    headers: { ...body.headers, origin: "http://evil.example" },
  });
  expect(foreign.status()).toBe(403);
  const without = await request.post(upload, body);
  expect(without.status()).toBe(403);
  const renamed = await request.post(upload, {
    ...body,
    headers: { ...body.headers, host: "legroom.example", origin: "http://legroom.example" },
  });
  expect(renamed.status()).toBe(421);
  const form = await request.post(upload, {
    data: "a,b\n",
    headers: { "content-type": "text/plain", origin: programUrl() },
  });
  expect(form.status()).toBe(415);
  const page = await request.post(`${BASE}/settings`, {
    data: "x",
    headers: { origin: "http://evil.example", "content-type": "text/plain" },
  });
  expect(page.status()).toBe(403);
});

test("every answer carries the headers that keep others out", async ({ request }) => {
  for (const path of ["/", `${BASE}/2026-06`, `${BASE}/2026-06/tables/loading-by-hour.csv`]) {
    const headers = (await request.get(path)).headers();
    expect(headers["content-security-policy"]).toContain("frame-ancestors 'none'");
    expect(headers["content-security-policy"]).not.toMatch(/https?:|unsafe-eval/);
    expect(headers["x-content-type-options"]).toBe("nosniff");
  }
});

test("what isn't there is answered with 404", async ({ request }) => {
  for (const path of [
    "/nothing",
    "/sites/nobody",
    "/sites/nobody/logs",
    `${BASE}/2026-13`,
    `${BASE}/2026-06/31`,
    `${BASE}/2026-06/1`,
    `${BASE}/2026-06/2026-06-10`,
    `${BASE}/2026-06/10/tables/nothing.csv`,
    `${BASE}/20266`,
    `${BASE}/transfers/20260610T000000Z`,
    `${BASE}/2026-06/tables/nothing.csv`,
    `${BASE}/battery/tables/nothing.csv`,
  ]) {
    expect((await request.get(path)).status(), path).toBe(404);
  }
});

test("the schemas of site.json and columns.json are served", async ({ request }) => {
  for (const name of ["site", "columns"]) {
    const schema = await (await request.get(`/schemas/${name}.json`)).json();
    expect(schema.properties.version).toBeDefined();
  }
});
