import { spawn, spawnSync } from "node:child_process";
import {
  closeSync,
  constants,
  existsSync,
  fstatSync,
  openSync,
  readSync,
  renameSync,
  statSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { dirname } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { AppError } from "../app-error";
import { childEnvironment } from "./child-environment";
import { KEEPER } from "./keeper";
import type { ServerFolder } from "./server-folder";
import type { ServerUser } from "./server-user";

/** One process's part in keeping the server up. Every call must be made while holding the start lock. */
export type Membership = {
  /** Starts the keeper anew if somebody has killed it. */
  ensureKeeper(): void;
  /** Gives the membership up; true when it was the last one, so that the keeper now stops the server. */
  leave(): boolean;
};

const STOP_LIMIT_MS = 90_000;

/**
 * Becomes a member: holds the FIFO in the data folder open for writing. The kernel closes it when this process
 * ends, however it ends, and the keeper reads end-of-file when the last member is gone. While a keeper stops
 * the server, the FIFO bears another name; this waits for it to be done.
 */
export async function joinMembers(folder: ServerFolder, user: ServerUser | undefined): Promise<Membership> {
  const deadline = Date.now() + STOP_LIMIT_MS;
  for (;;) {
    if (stopping(folder)) {
      if (Date.now() > deadline) {
        throw new AppError(
          "busy",
          `The database server in ${folder.home} has been stopping for ${STOP_LIMIT_MS / 1000} s. Look at ` +
            `${folder.logs}, end it by hand if it hangs, and start again.`,
        );
      }
      await sleep(20);
      continue;
    }
    const fd = openMembers(folder, user);
    if (fd === undefined) continue;
    return membership(fd, folder, user);
  }
}

/** Resolves when the keeper has stopped the server, or another process has started it again. */
export async function serverStopped(folder: ServerFolder): Promise<void> {
  const deadline = Date.now() + STOP_LIMIT_MS;
  let renamed = false;
  while (Date.now() < deadline) {
    const closing = existsSync(folder.closing);
    renamed ||= closing;
    if (!closing && (renamed || !existsSync(folder.members))) return;
    await sleep(10);
  }
}

function membership(first: number, folder: ServerFolder, user: ServerUser | undefined): Membership {
  let fd: number | undefined = first;
  const ensureKeeper = () => {
    const probe = openIfRead(folder.members);
    if (typeof probe === "number") closeSync(probe);
    else if (probe === "no-reader") closeSync(startKeeper(folder, user));
  };
  return {
    ensureKeeper,
    leave() {
      if (fd === undefined) return false;
      ensureKeeper();
      closeSync(fd);
      fd = undefined;
      return !hasMembers(folder.members);
    },
  };
}

/** True while a keeper stops the server. A keeper that died over it leaves the FIFO to be taken up again. */
function stopping(folder: ServerFolder): boolean {
  const probe = openIfRead(folder.closing);
  if (typeof probe === "number") {
    closeSync(probe);
    return true;
  }
  if (probe === "no-reader") {
    try {
      renameSync(folder.closing, folder.members);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== "ENOENT") throw error;
    }
  }
  return false;
}

/** Opens the FIFO as a member, with a keeper at its other end; undefined when it went away meanwhile. */
function openMembers(folder: ServerFolder, user: ServerUser | undefined): number | undefined {
  let fd = openIfRead(folder.members);
  if (fd === "missing") {
    makeFifo(folder.members);
    fd = "no-reader";
  }
  if (fd === "no-reader") fd = startKeeper(folder, user);
  try {
    writeSync(fd, "in\n");
    if (statSync(folder.members).ino === fstatSync(fd).ino) return fd;
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== "EPIPE" && code !== "ENOENT") throw error;
  }
  closeSync(fd);
  return undefined;
}

/** Starts the keeper on the FIFO and gives back a writing end of it. */
function startKeeper(folder: ServerFolder, user: ServerUser | undefined): number {
  const program = `${folder.keeper}.${process.pid}`;
  writeFileSync(program, KEEPER, { mode: 0o755 });
  renameSync(program, folder.keeper);

  // Neither end alone can be opened without waiting for the other; both at once can.
  const both = openSync(folder.members, constants.O_RDWR);
  const reading = openSync(folder.members, constants.O_RDONLY);
  const writing = openSync(folder.members, constants.O_WRONLY);
  closeSync(both);
  const keeper = spawn("/bin/sh", [folder.keeper, folder.members, folder.closing, folder.data], {
    cwd: folder.server,
    env: childEnvironment(),
    detached: true,
    stdio: [reading, "ignore", "ignore"],
    ...(user && { uid: user.uid, gid: user.gid }),
  });
  closeSync(reading);
  let failure: unknown;
  keeper.on("error", (error) => {
    failure = error;
  });
  keeper.unref();
  if (keeper.pid !== undefined) return writing;
  closeSync(writing);
  throw new AppError("server-start", `The database server's keeper could not be started by /bin/sh.`, {
    cause: failure,
  });
}

function makeFifo(path: string): void {
  const made = spawnSync("mkfifo", ["-m", "600", path], { encoding: "utf8" });
  if (made.status === 0) return;
  throw new AppError(
    "data-folder",
    `The data folder ${dirname(path)} can't hold a named pipe (${made.error?.message ?? made.stderr.trim()}). Name a ` +
      "folder on a local disk in LEGROOM_DATA_DIR.",
  );
}

/** Opens a FIFO for writing if somebody reads it. */
function openIfRead(path: string): number | "missing" | "no-reader" {
  try {
    return openSync(path, constants.O_WRONLY | constants.O_NONBLOCK);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === "ENOENT") return "missing";
    if (code === "ENXIO") return "no-reader";
    throw error;
  }
}

/** Whether anybody holds the FIFO open for writing: reading it then finds nothing yet, instead of its end. */
function hasMembers(path: string): boolean {
  let fd: number;
  try {
    fd = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return false;
    throw error;
  }
  try {
    // A line that the keeper has not come to read yet: it goes back, the keeper goes by it.
    const lines = Buffer.alloc(256);
    const read = readSync(fd, lines);
    const back = read > 0 ? openIfRead(path) : undefined;
    if (typeof back === "number") {
      writeSync(back, lines, 0, read);
      closeSync(back);
    }
    return read > 0;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "EAGAIN") return true;
    throw error;
  } finally {
    closeSync(fd);
  }
}
