import { existsSync } from "node:fs";
import { resolve } from "node:path";

const FOLDER = resolve(import.meta.dirname, "../../../shared/datasets");

/**
 * Where files of the open data sets lie, beside the checkout: each set's SOURCE.txt says whose they are and under
 * which licence. Where one isn't there, `missing` is true and a line on the console says so; a run in CI fails.
 *
 * @throws Error under CI=true where a file is missing
 */
export function openData<const Name extends string>(
  ...names: readonly Name[]
): { paths: Record<Name, string>; missing: boolean } {
  const paths = Object.fromEntries(names.map((name) => [name, resolve(FOLDER, name)])) as Record<
    Name,
    string
  >;
  const missing = names.filter((name) => !existsSync(paths[name]));
  if (missing.length > 0) {
    const what = `Not among the open data sets beside the checkout: ${missing.join(", ")}.`;
    if (process.env.CI === "true") throw new Error(what);
    console.warn(`${what} What they hold is not checked.`);
  }
  return { paths, missing: missing.length > 0 };
}
