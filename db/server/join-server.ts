import { statfs } from "node:fs/promises";
import lockfile from "proper-lockfile";
import { AppError } from "../app-error";
import { joinMembers, serverStopped } from "./members";
import { runningServer } from "./running-server";
import { type ServerFolder, serverFolder } from "./server-folder";
import { serverUser } from "./server-user";
import { startServer } from "./start-server";
import { takeFolder } from "./take-folder";

/** A process's hold on the database server: as long as one process has one, the server stays up. */
export type JoinedServer = {
  /** postgres:// address with user, password and database. */
  readonly url: string;
  /** Whether it is the embedded server; false when DATABASE_URL named another. */
  readonly embedded: boolean;
  /**
   * Starts the embedded server again if it has died, and gives back its address: the same one, unless somebody
   * has taken its port meanwhile.
   */
  ensure(): Promise<string>;
  /**
   * Why the embedded server broke off, as far as it can be told: it can't be started again, or its disk is as good as
   * full. Null where it runs and has room, and for another server.
   */
  trouble(): Promise<AppError | null>;
  /** Lets go. The last one to let go stops the server, and this resolves when it has stopped. */
  leave(): Promise<void>;
};

/** A starter that was killed leaves its lock; after this long without a sign of life it counts as dead. */
const LOCK_STALE_MS = 4_000;
const LOCK_RETRY_MS = 40;
const LOCK_LIMIT_MS = 150_000;
/** A write-ahead file takes 16 MB and a start needs room for two: below this the server can't go on. */
const LOW_ROOM_MB = 48;

/**
 * Joins the database server: the one DATABASE_URL names, or else the embedded PostgreSQL, started if nobody has
 * started it yet. A process that ends without letting go, even killed, counts as having left.
 *
 * @param options.dataDir The data folder, instead of LEGROOM_DATA_DIR or the platform's.
 * @throws AppError `server-start`, `server-version`, `data-folder`, `disk-full`, `busy`.
 */
export async function joinServer(options: { dataDir?: string } = {}): Promise<JoinedServer> {
  const given = process.env.DATABASE_URL;
  if (given) {
    return {
      url: given,
      embedded: false,
      ensure: async () => given,
      trouble: async () => null,
      leave: async () => {},
    };
  }
  const folder = serverFolder(options.dataDir);
  const user = serverUser();
  takeFolder(folder, user);
  const membership = await locked(folder, () => joinMembers(folder, user));
  const ensure = () =>
    locked(folder, async () => {
      membership.ensureKeeper();
      return (await runningServer(folder)) ?? (await startServer(folder, user));
    });
  const trouble = async () => {
    try {
      await ensure();
    } catch (error) {
      if (error instanceof AppError) return error;
      throw error;
    }
    const { bavail, bsize } = await statfs(folder.home);
    const roomMb = Math.floor((bavail * bsize) / 1_000_000);
    if (roomMb >= LOW_ROOM_MB) return null;
    return new AppError(
      "disk-full",
      `The database server broke off: the disk that holds ${folder.home} is full (${roomMb} MB left). Nothing of this ` +
        "was stored, and nothing that was stored before is lost. Free some space on it and try again.",
    );
  };
  const leave = async () => {
    const last = await locked(folder, async () => membership.leave());
    if (last) await serverStopped(folder);
  };
  try {
    return { url: await ensure(), embedded: true, ensure, trouble, leave };
  } catch (error) {
    await leave();
    throw error;
  }
}

/** Runs `work` while no other process starts, joins or leaves this server. */
async function locked<T>(folder: ServerFolder, work: () => Promise<T>): Promise<T> {
  let release: () => Promise<void>;
  try {
    release = await lockfile.lock(folder.start, {
      realpath: false,
      stale: LOCK_STALE_MS,
      update: LOCK_STALE_MS / 4,
      retries: { retries: LOCK_LIMIT_MS / LOCK_RETRY_MS, factor: 1, minTimeout: LOCK_RETRY_MS },
      // Should this process be held up so long that it counts as dead, PostgreSQL's own lock on its data still holds.
      onCompromised: () => {},
    });
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code !== "ELOCKED") throw cause;
    throw new AppError(
      "busy",
      `Another process has been starting the database server in ${folder.home} for ${LOCK_LIMIT_MS / 1000} s. End it ` +
        "and start again.",
      { cause },
    );
  }
  try {
    return await work();
  } finally {
    await release().catch((error: NodeJS.ErrnoException) => {
      if (error.code !== "ERELEASED" && error.code !== "ENOTACQUIRED") throw error;
    });
  }
}
