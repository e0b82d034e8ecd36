import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { expect } from "vitest";

/** Folder of logs with the results of an independent implementation, beside the checkout. */
const FOLDER = resolve(import.meta.dirname, "../../../shared/conformance");

/** Figures that a case expects, in the shape of `review --json`. */
export type Expected = {
  coverage: Figures & { gaps: Figures[] };
  nearLimit: Figures[];
  transfers: Figures[];
  shares: { total: Figures; days: Figures[] };
  returnDelay: Figures;
  imbalance: Figures;
  demand: Figures;
};
type Figures = { readonly [key: string]: unknown };

export type ConformanceCase = {
  name: string;
  log: string;
  site: string;
  columns: string;
  expected: Expected;
};

/**
 * The cases of the conformance pack. Where it isn't beside the checkout there are none, and a run in CI fails
 * for that.
 */
export function conformanceCases(): ConformanceCase[] {
  if (!existsSync(FOLDER)) {
    if (process.env.CI === "true")
      throw new Error("The conformance pack is missing: it must lie beside the checkout.");
    console.warn("The conformance pack is not beside the checkout: this run goes without it.");
    return [];
  }
  return readdirSync(FOLDER, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map(({ name }) => ({
      name,
      log: join(FOLDER, name, "log.csv"),
      site: join(FOLDER, name, "site.json"),
      columns: join(FOLDER, name, "columns.json"),
      expected: JSON.parse(readFileSync(join(FOLDER, name, "expected.json"), "utf8")),
    }));
}

/** Holds figures, times and lists of `got` against all that `want` names; figures within 1e-4, times within 1 s. */
export function expectAgreement(got: unknown, want: unknown, path: string): void {
  const differences: string[] = [];
  let compared = 0;
  walk(got, want, path);
  expect(differences).toEqual([]);
  // An empty expectation would agree with anything.
  expect(compared, path).toBeGreaterThan(0);

  function walk(a: unknown, b: unknown, at: string): void {
    compared++;
    if (Array.isArray(b)) {
      if (!Array.isArray(a)) differences.push(`${at}: a list was expected, got ${JSON.stringify(a)}`);
      else if (a.length !== b.length)
        differences.push(`${at}: ${b.length} entries were expected, got ${a.length}`);
      else {
        b.forEach((entry, i) => {
          walk(a[i], entry, `${at}[${i}]`);
        });
      }
    } else if (b !== null && typeof b === "object") {
      for (const [key, value] of Object.entries(b)) walk((a as Figures | null)?.[key], value, `${at}.${key}`);
    } else if (typeof b === "number") {
      if (typeof a !== "number" || !(Math.abs(a - b) <= 1e-4 * Math.max(1, Math.abs(b)))) {
        differences.push(`${at}: ${b} was expected, got ${a}`);
      }
    } else if (typeof b === "string" && /^\d{4}-\d\d-\d\dT/.test(b)) {
      const offset = (text: string) => text.slice(19).replace(/^\.\d+/, "");
      if (
        typeof a !== "string" ||
        !(Math.abs(Date.parse(a) - Date.parse(b)) <= 1000) ||
        offset(a) !== offset(b)
      ) {
        differences.push(`${at}: ${b} was expected, got ${a}`);
      }
    } else if (a !== b)
      differences.push(`${at}: ${JSON.stringify(b)} was expected, got ${JSON.stringify(a)}`);
  }
}

/** Lists by time, then quantity: the order of equal beginnings is nobody's result. */
export function byTime(list: readonly Figures[], key: "from" | "at"): Figures[] {
  const place = (one: Figures) =>
    `${Date.parse(String(one[key])).toString().padStart(16, "0")} ${one.quantity ?? ""}`;
  return [...list].sort((a, b) => (place(a) < place(b) ? -1 : 1));
}
