import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { findChromium } from "./e2e/find-chromium";

/**
 * The programs that tests need beside npm's packages: a Chromium with the Liberation fonts, and a PostgreSQL 15
 * for the second server.
 * As root on a Debian they are installed where they are missing; elsewhere the tests that need them fail and
 * say so. Says what it found.
 */
export function ensurePrograms(): void {
  if (findChromium() === null) install("chromium");
  const chromium = findChromium();
  process.stdout.write(
    chromium === null
      ? "No Chromium found: the browser tests will fail. Install one, or name it in LEGROOM_CHROMIUM.\n"
      : `Chromium: ${chromium}\n`,
  );
  // The pictures of the sheets are held against ones that are set in these letters.
  if (!existsSync("/usr/share/fonts/truetype/liberation")) install("fonts-liberation");
  if (!postgres15()) install("postgresql-15");
  process.stdout.write(
    postgres15()
      ? "PostgreSQL 15: found\n"
      : "No PostgreSQL 15 found: tests on it will fail. Install one, or name its bin folder in LEGROOM_POSTGRES_15_BIN.\n",
  );
}

function postgres15(): boolean {
  return (
    process.env.LEGROOM_POSTGRES_15_BIN !== undefined || existsSync("/usr/lib/postgresql/15/bin/postgres")
  );
}

function install(name: string): void {
  if (process.platform !== "linux" || process.getuid?.() !== 0 || !existsSync("/usr/bin/apt-get")) return;
  process.stdout.write(`Installing ${name} …\n`);
  const quiet = { stdio: ["ignore", "ignore", "inherit"] as ["ignore", "ignore", "inherit"] };
  spawnSync("apt-get", ["update", "-qq"], quiet);
  spawnSync("apt-get", ["install", "-y", "-qq", "--no-install-recommends", name], {
    ...quiet,
    env: { ...process.env, DEBIAN_FRONTEND: "noninteractive" },
  });
}
