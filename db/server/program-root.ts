import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

/**
 * The folder that holds the program (its package.json, node_modules and db/migrations).
 *
 * LEGROOM_ROOT says it; `serve` sets that for its children. Without it the folder is looked for upwards from
 * this module and then from the working folder: under tsx the module's own address is right, in a Next build it
 * has been rewritten by the bundler and the working folder is the checkout.
 */
export function programRoot(): string {
  const given = process.env.LEGROOM_ROOT;
  if (given) return given;
  const starts = [process.cwd()];
  const here = import.meta.url;
  if (here?.startsWith("file:")) starts.unshift(dirname(fileURLToPath(here)));
  for (const start of starts) {
    const root = rootAbove(start);
    if (root) return root;
  }
  return process.cwd();
}

function rootAbove(start: string): string | undefined {
  for (let folder = start; ; folder = dirname(folder)) {
    const manifest = join(folder, "package.json");
    if (existsSync(manifest) && JSON.parse(readFileSync(manifest, "utf8")).name === "legroom") return folder;
    if (dirname(folder) === folder) return undefined;
  }
}
