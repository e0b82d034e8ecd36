import { chmodSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { findBrowser } from "../../../src/cli/find-browser";

describe("the browser that prints", () => {
  const folder = mkdtempSync(join(tmpdir(), "legroom-browser-"));
  const first = join(folder, "first");
  const second = join(folder, "second");
  for (const place of [first, second]) mkdirSync(place);
  const chromium = join(second, "chromium");
  writeFileSync(chromium, "");
  chmodSync(chromium, 0o755);
  mkdirSync(join(first, "chromium"));
  afterAll(() => rmSync(folder, { recursive: true }));

  it("is the one that is named, if it is a file", () => {
    expect(findBrowser({ NODE_ENV: "test", LEGROOM_CHROMIUM: chromium, PATH: "" })).toBe(chromium);
    expect(findBrowser({ NODE_ENV: "test", LEGROOM_CHROMIUM: folder, PATH: second })).toBeNull();
    expect(
      findBrowser({ NODE_ENV: "test", LEGROOM_CHROMIUM: join(folder, "gone"), PATH: second }),
    ).toBeNull();
  });

  it.skipIf(process.platform === "win32")("is the first on the path that is a file", () => {
    const PATH = ["", first, second].join(delimiter);
    expect(findBrowser({ NODE_ENV: "test", PATH })).toBe(chromium);
  });

  it.runIf(process.platform === "linux")("is none on an empty path", () => {
    expect(findBrowser({ NODE_ENV: "test", PATH: "" })).toBeNull();
    expect(findBrowser({ NODE_ENV: "test" })).toBeNull();
  });
});
