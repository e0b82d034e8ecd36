import { spawn, spawnSync } from "node:child_process";
import { chmodSync, existsSync, mkdtempSync, readdirSync, rmSync, statSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { findChromium } from "./find-chromium";

const ROOT = resolve(import.meta.dirname, "../..");
const READY_MS = 120_000;
const STOP_MS = 20_000;

/**
 * Starts the program as a person does, with an empty data folder of its own, and says where in
 * LEGROOM_E2E_URL, and with which data folder in LEGROOM_E2E_DATA. Builds it first where the build is older than what it is made from.
 */
export default async function globalSetup(): Promise<() => Promise<void>> {
  process.stdout.write(`Chromium: ${findChromium()}\n`);
  buildIfStale();
  const folder = mkdtempSync(join(tmpdir(), "legroom-e2e-"));
  // The server's own user has to get through to its part.
  chmodSync(folder, 0o755);
  const port = await freePort();
  const program = spawn(
    process.execPath,
    ["--import", "tsx", join("src", "cli", "main.ts"), "serve", "--port", String(port)],
    { cwd: ROOT, env: { ...process.env, LEGROOM_DATA_DIR: folder }, stdio: ["ignore", "pipe", "pipe"] },
  );
  let said = "";
  program.stdout.on("data", (text) => {
    said += text;
  });
  program.stderr.on("data", (text) => {
    said += text;
  });
  const ended = new Promise<void>((done) => program.once("exit", () => done()));
  const url = `http://127.0.0.1:${port}`;
  await untilReady(
    url,
    () => program.exitCode !== null,
    () => said,
  );
  process.env.LEGROOM_E2E_URL = url;
  process.env.LEGROOM_E2E_DATA = folder;
  return async () => {
    program.kill("SIGTERM");
    const late = setTimeout(() => program.kill("SIGKILL"), STOP_MS);
    await ended;
    clearTimeout(late);
    rmSync(folder, { recursive: true, force: true });
  };
}

function buildIfStale(): void {
  const mark = join(ROOT, ".next", "BUILD_ID");
  const builtMs = existsSync(mark) ? statSync(mark).mtimeMs : 0;
  const newest = ["app", "db", "src", "proxy.ts", "next.config.js"].map((name) => newestMs(join(ROOT, name)));
  if (builtMs > Math.max(...newest)) return;
  process.stdout.write("Building the app …\n");
  const built = spawnSync("npm", ["run", "-s", "build"], { cwd: ROOT, stdio: "inherit" });
  if (built.status !== 0) throw new Error("The app could not be built; what is above says why.");
}

function newestMs(path: string): number {
  const found = statSync(path);
  if (!found.isDirectory()) return found.mtimeMs;
  return Math.max(0, ...readdirSync(path).map((name) => newestMs(join(path, name))));
}

function freePort(): Promise<number> {
  return new Promise((done, fail) => {
    const server = createServer();
    server.once("error", fail);
    server.listen(0, "127.0.0.1", () => {
      const { port } = server.address() as { port: number };
      server.close(() => done(port));
    });
  });
}

async function untilReady(url: string, hasEnded: () => boolean, said: () => string): Promise<void> {
  const until = Date.now() + READY_MS;
  while (Date.now() < until) {
    if (hasEnded()) throw new Error(`serve ended before it answered. It said:\n${said()}`);
    const answer = await fetch(url).catch(() => null);
    if (answer !== null) return;
    await new Promise((next) => setTimeout(next, 250));
  }
  throw new Error(`serve did not answer within ${READY_MS / 1000} s. It said:\n${said()}`);
}
