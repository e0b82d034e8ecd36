import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import {
  chownSync,
  closeSync,
  existsSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { createServer } from "node:net";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { AppError } from "../app-error";
import { childEnvironment } from "./child-environment";
import { createData } from "./create-data";
import { folderError } from "./folder-error";
import { readPostmasterFile, runningServer } from "./running-server";
import { serverBinaries } from "./server-binaries";
import type { ServerFolder } from "./server-folder";
import { serverSettings } from "./server-settings";
import type { ServerUser } from "./server-user";
import { startFailure } from "./start-failure";

const START_LIMIT_MS = 120_000;
const LEFTOVER_LIMIT_MS = 8_000;
const PORT_TRIES = 5;
const LOG_LIMIT_BYTES = 10_000_000;
const LOG_KEPT_MS = 7 * 86_400_000;

/**
 * Starts the embedded PostgreSQL on its data directory, made first if there is none, and gives back its address
 * when it takes connections. Only one process may do this at a time: call it while holding the start lock.
 *
 * After a crash PostgreSQL recovers by itself; what a killed postmaster left running is ended first. The port
 * of the last start is taken again if it is free, so that those who were connected find the server again.
 *
 * @throws AppError `server-start`, `server-version`, `data-folder`, `disk-full`.
 */
export async function startServer(folder: ServerFolder, user: ServerUser | undefined): Promise<string> {
  const binaries = await serverBinaries(folder, user);
  await createData(folder, binaries, user);
  const earlier = await earlierStart(folder);
  if (earlier) return earlier;
  endLeftovers(folder, user);
  trimLogs(folder);
  const deadline = Date.now() + LEFTOVER_LIMIT_MS;
  for (let attempt = 1; ; attempt++) {
    const port = await freePort(attempt === 1 ? lastPort(folder) : 0);
    const failed = await startOn(port, folder, join(binaries.bin, "postgres"), user);
    if (failed === undefined) {
      writeFileSync(folder.port, `${port}\n`);
      const url = await runningServer(folder);
      if (url) return url;
      throw startFailure(tailOfLogs(folder), folder);
    }
    // A killed postmaster counts as running until the system has buried it and those who shared its memory.
    if (/lock file ".*" already exists|is still in use/.test(failed) && Date.now() < deadline) {
      await sleep(100);
      endLeftovers(folder, user);
      attempt--;
      continue;
    }
    const portTaken = /Address already in use|could not create any TCP\/IP sockets|could not bind/.test(
      failed,
    );
    if (!portTaken || attempt === PORT_TRIES) throw startFailure(failed, folder);
  }
}

/** A starter may have died after starting PostgreSQL: its server is then taken over, or waited for. */
async function earlierStart(folder: ServerFolder): Promise<string | undefined> {
  const deadline = Date.now() + START_LIMIT_MS;
  for (;;) {
    const file = readPostmasterFile(folder);
    if (!file || !isPostmaster(file.pid, folder)) return undefined;
    const url = await runningServer(folder);
    if (url) return url;
    if (Date.now() > deadline) {
      throw new AppError(
        "server-start",
        `A database server (process ${file.pid}) runs on ${folder.data} and takes no connections. Its log is in ` +
          `${folder.logs}. End that process and start again.`,
      );
    }
    await sleep(50);
  }
}

function isPostmaster(pid: number, folder: ServerFolder): boolean {
  if (existsSync("/proc/self/cmdline")) {
    try {
      return readFileSync(`/proc/${pid}/cmdline`, "utf8").split("\0").includes(folder.data);
    } catch {
      // No such process.
      return false;
    }
  }
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "EPERM";
  }
}

/**
 * Ends the server processes of a postmaster that was killed: they hold its shared memory, and PostgreSQL rightly
 * doesn't start beside them. Most end by themselves; one in the middle of a long statement doesn't notice. Run as
 * the server's user, who may look at them where root in a container may not.
 */
function endLeftovers(folder: ServerFolder, user: ServerUser | undefined): void {
  if (!existsSync("/proc/self/cwd") || !existsSync(folder.data)) return;
  // biome-ignore lint/suspicious/noTemplateCurlyInString: it is the shell's.
  const program = 'for p in /proc/[0-9]*; do [ "$p/cwd" -ef "$1" ] && kill -KILL "${p#/proc/}"; done; true';
  spawnSync("/bin/sh", ["-c", program, "sh", folder.data], {
    cwd: folder.server,
    stdio: "ignore",
    ...(user && { uid: user.uid, gid: user.gid }),
  });
}

/** Starts PostgreSQL on a port; gives back what it said when it failed. */
async function startOn(
  port: number,
  folder: ServerFolder,
  program: string,
  user: ServerUser | undefined,
): Promise<string | undefined> {
  const owned = (path: string, text: string) => {
    writeFileSync(path, text, { mode: 0o600 });
    if (user) chownSync(path, user.uid, user.gid);
  };
  let log: number;
  try {
    owned(join(folder.data, "postgresql.conf"), serverSettings(port, folder.logs));
    owned(folder.startLog, "");
    log = openSync(folder.startLog, "a");
  } catch (error) {
    throw folderError(error, folder.data);
  }
  const postmaster = spawn(program, ["-D", folder.data], {
    cwd: folder.server,
    env: childEnvironment(),
    detached: true,
    stdio: ["ignore", log, log],
    ...(user && { uid: user.uid, gid: user.gid }),
  });
  closeSync(log);
  postmaster.unref();
  return untilReady(postmaster, folder);
}

async function untilReady(postmaster: ChildProcess, folder: ServerFolder): Promise<string | undefined> {
  let ended: string | undefined;
  postmaster.on("error", (error) => {
    ended = error.message;
  });
  postmaster.on("exit", (code, signal) => {
    ended ??= `${tailOfLogs(folder)}\nIt ended with ${signal ?? code}`;
  });
  const deadline = Date.now() + START_LIMIT_MS;
  while (ended === undefined) {
    const file = readPostmasterFile(folder);
    if (file?.pid === postmaster.pid && file?.status === "ready") return undefined;
    if (Date.now() > deadline) {
      return `${tailOfLogs(folder)}\nerror: not ready after ${START_LIMIT_MS / 1000} s`;
    }
    await sleep(15);
  }
  return ended;
}

/** The port if it is free on the loopback address, else one that the system chooses. */
async function freePort(wanted: number): Promise<number> {
  for (const port of wanted ? [wanted, 0] : [0]) {
    const found = await new Promise<number | undefined>((resolve) => {
      const server = createServer();
      server.once("error", () => resolve(undefined));
      server.listen({ port, host: "127.0.0.1", exclusive: true }, () => {
        const address = server.address();
        server.close(() => resolve(typeof address === "object" ? address?.port : undefined));
      });
    });
    if (found) return found;
  }
  throw new AppError("server-start", "There is no free port on 127.0.0.1 for the database server.");
}

function lastPort(folder: ServerFolder): number {
  if (!existsSync(folder.port)) return 0;
  const port = Number(readFileSync(folder.port, "utf8"));
  return Number.isInteger(port) && port > 0 && port < 65_536 ? port : 0;
}

/** A weekday's log is emptied when its day comes round, but not over a restart, nor when it grows without end. */
function trimLogs(folder: ServerFolder): void {
  for (const name of readdirSync(folder.logs)) {
    const path = join(folder.logs, name);
    const { size, mtimeMs } = statSync(path);
    if (size > LOG_LIMIT_BYTES || Date.now() - mtimeMs > LOG_KEPT_MS - 86_400_000) rmSync(path);
  }
}

/** The end of what the server said before and after its log was open. */
function tailOfLogs(folder: ServerFolder): string {
  // Whoever took the folder away has stopped the server too: there is nothing left to read.
  if (!existsSync(folder.logs)) return "";
  const newest = readdirSync(folder.logs)
    .map((name) => join(folder.logs, name))
    .sort((a, b) => statSync(a).mtimeMs - statSync(b).mtimeMs)
    .at(-1);
  return [newest, folder.startLog]
    .map((path) => (path && existsSync(path) ? readFileSync(path, "utf8").slice(-4000) : ""))
    .join("\n");
}
