import { spawn } from "node:child_process";
import { mkdtemp, open, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { CommandError } from "./command-error";

const LIMIT_MS = 120_000;
/** Of what a browser says when it fails, so much is passed on. */
const MAX_SAID = 2_000;

/**
 * Prints a page of this program as a PDF by a headless Chromium with a profile of its own, which is gone afterwards.
 *
 * @param browser Path of the browser.
 * @param url Address of the page, which must answer with 200.
 * @param path The file to write.
 * @throws CommandError 1 where the page isn't there or the browser doesn't print it
 */
export async function printPage(browser: string, url: string, path: string): Promise<void> {
  const answer = await fetch(url);
  const text = await answer.text();
  if (!answer.ok) {
    throw new CommandError(1, `The page to print answered with ${answer.status}: ${text.slice(0, 200)}`);
  }
  const profile = await mkdtemp(join(tmpdir(), "legroom-print-"));
  try {
    const said = await run(browser, [
      "--headless",
      "--disable-gpu",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      "--no-first-run",
      // Chromium refuses its sandbox to root.
      ...(process.getuid?.() === 0 ? ["--no-sandbox"] : []),
      `--user-data-dir=${profile}`,
      "--no-pdf-header-footer",
      `--print-to-pdf=${path}`,
      url,
    ]);
    if (!(await isPdf(path))) {
      throw new CommandError(1, `${browser} printed nothing.`, [said.slice(-MAX_SAID)]);
    }
  } finally {
    await rm(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
  }
}

/** Runs it to its end and gives back what it said. */
function run(browser: string, args: readonly string[]): Promise<string> {
  return new Promise((resolve, reject) => {
    const child = spawn(browser, args, { stdio: ["ignore", "ignore", "pipe"] });
    let said = "";
    child.stderr.setEncoding("utf8");
    child.stderr.on("data", (text: string) => {
      said = `${said}${text}`.slice(-2 * MAX_SAID);
    });
    const late = setTimeout(() => child.kill("SIGKILL"), LIMIT_MS);
    child.once("error", (error) => {
      clearTimeout(late);
      reject(new CommandError(1, `${browser} can't be started: ${error.message}`));
    });
    child.once("close", (code, signal) => {
      clearTimeout(late);
      if (code === 0) resolve(said);
      else {
        const how = signal === null ? `exit code ${code}` : `${signal}`;
        reject(new CommandError(1, `${browser} ended with ${how}.`, [said.slice(-MAX_SAID)]));
      }
    });
  });
}

async function isPdf(path: string): Promise<boolean> {
  const file = await open(path).catch(() => null);
  if (file === null) return false;
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(5), 0, 5, 0);
    return bytesRead === 5 && buffer.toString("latin1") === "%PDF-";
  } finally {
    await file.close();
  }
}
