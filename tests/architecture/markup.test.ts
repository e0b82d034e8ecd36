import { readdirSync, readFileSync } from "node:fs";
import { join, relative } from "node:path";
import { expect, test } from "vitest";

const APP = join(import.meta.dirname, "../../app");

test("markup comes from components alone: texts of logs and sites can't become any", () => {
  const found = readdirSync(APP, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name))
    .filter((path) =>
      /dangerouslySetInnerHTML|innerHTML|outerHTML|insertAdjacentHTML|document\.write|srcDoc/.test(
        readFileSync(path, "utf8"),
      ),
    )
    .map((path) => relative(APP, path).replaceAll("\\", "/"));
  // Drawn by the chart library, which escapes texts: tests/unit/app/_charts/render-svg.test.ts.
  expect(found).toEqual(["_parts/drawing.tsx"]);
});
