import { readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { describe, expect, it } from "vitest";

/** What each folder may import of the project, as folders or single modules; the first match counts. */
const ALLOWED: readonly { from: string; to: readonly string[] }[] = [
  { from: "src/analysis", to: ["src/analysis"] },
  { from: "src/site", to: ["src/site", "src/analysis"] },
  {
    from: "src/ingest",
    to: [
      "src/ingest",
      "src/analysis/series",
      "src/analysis/local-time",
      "src/analysis/holds",
      "src/analysis/frame",
      "src/site",
    ],
  },
  { from: "src/simulate", to: ["src/simulate", "src/site"] },
  { from: "src/report", to: ["src/report", "src/analysis", "src/site"] },
  { from: "db", to: ["db", "src/ingest", "src/analysis", "src/site"] },
  { from: "src/worker", to: ["src/worker", "db", "src/ingest", "src/analysis", "src/site"] },
  {
    from: "src/cli",
    to: [
      "src/cli",
      "db",
      "src/ingest",
      "src/analysis",
      "src/site",
      "src/report",
      "src/simulate",
      "src/worker",
    ],
  },
  { from: "app", to: ["app", "db", "src/ingest", "src/analysis", "src/site", "src/report"] },
];

const ROOT = resolve(import.meta.dirname, "../..");

function sourceFiles(folder: string): string[] {
  const found: string[] = [];
  for (const name of readdirSync(join(ROOT, folder))) {
    const path = join(folder, name);
    if (statSync(join(ROOT, path)).isDirectory()) found.push(...sourceFiles(path));
    else if (/\.(ts|tsx)$/.test(name)) found.push(path);
  }
  return found;
}

function importsOf(source: string): string[] {
  const found: string[] = [];
  for (const match of source.matchAll(/(?:from|import)\s*\(?\s*["']([^"']+)["']/g)) found.push(match[1]);
  return found;
}

/** Imports of the project in a file that its folder doesn't allow. */
function violations(path: string, source: string): string[] {
  const rule = ALLOWED.find(({ from }) => path.startsWith(`${from}/`));
  if (rule === undefined) return [`${path}: no rule for its folder`];
  const wrong: string[] = [];
  for (const specifier of importsOf(source)) {
    if (!specifier.startsWith(".")) continue;
    const target = relative(ROOT, resolve(ROOT, dirname(path), specifier));
    if (target.startsWith("src/") || target.startsWith("db/") || target.startsWith("app/")) {
      if (!rule.to.some((allowed) => target === allowed || target.startsWith(`${allowed}/`))) {
        wrong.push(`${path} imports ${target}`);
      }
    } else if (target.startsWith("tests/")) wrong.push(`${path} imports ${target}`);
  }
  return wrong;
}

describe("the arrows between folders", () => {
  for (const { from } of ALLOWED) {
    it(`${from} imports only what it may`, () => {
      const files = sourceFiles(from);
      // An empty folder would pass whatever the rule says.
      expect(files.length).toBeGreaterThan(0);
      const wrong = files.flatMap((path) => violations(path, readFileSync(join(ROOT, path), "utf8")));
      expect(wrong).toEqual([]);
    });
  }

  it("finds the imports that it judges by", () => {
    const all = ALLOWED.flatMap(({ from }) => sourceFiles(from)).flatMap((path) =>
      importsOf(readFileSync(join(ROOT, path), "utf8")).filter((specifier) => specifier.startsWith(".")),
    );
    expect(all.length).toBeGreaterThan(100);
  });

  it("catches a planted import against the arrows", () => {
    expect(violations("src/analysis/planted.ts", 'import { x } from "../ingest/read-log";')).toHaveLength(1);
    expect(violations("src/ingest/planted.ts", 'import { x } from "../analysis/review";')).toHaveLength(1);
    expect(violations("app/planted.tsx", 'const x = await import("../src/cli/main");')).toHaveLength(1);
    expect(violations("src/site/planted.ts", 'import type { R } from "../analysis/ratings";')).toEqual([]);
  });
});

describe("src/analysis is functions of columns", () => {
  it("names no clock, random, environment or input and output", () => {
    const files = sourceFiles("src/analysis");
    expect(files.length).toBeGreaterThan(10);
    for (const path of files) {
      const source = readFileSync(join(ROOT, path), "utf8");
      expect(source, path).not.toMatch(
        /\bDate\.now\b|\bnew Date\(\)|Math\.random|process\.|require\(|from "node:/,
      );
    }
  });
});
