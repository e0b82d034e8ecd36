import { AppError } from "../../db/app-error";

/** How much of importing goes on at once in one web server. */
export type TurnLimits = {
  /** Imports under way; each takes up to two of the server's connections to the database. */
  running: number;
  /** Imports of one site, and of all, that may wait their turn, each with its log in memory. */
  waitingOfSite: number;
  waiting: number;
};

/** Lets imports of logs that came in a request go on one after the other. */
export type ImportTurns = <T>(siteId: number, work: () => Promise<T>) => Promise<T>;

/**
 * Turns for imports: of a site one after the other, since they change the same samples, and of all sites only so many at
 * once that connections are left for those who read. They are taken in the order in which they came.
 *
 * The line is this process's own: with several web servers each has one, and the site's lock in the database keeps
 * their imports apart.
 *
 * @throws AppError too-many where the line is full
 */
export function createImportTurns({ running, waitingOfSite, waiting }: TurnLimits): ImportTurns {
  const line: { siteId: number; start: () => void }[] = [];
  const busy = new Set<number>();

  function next(): void {
    while (busy.size < running) {
      const at = line.findIndex(({ siteId }) => !busy.has(siteId));
      if (at < 0) return;
      const [turn] = line.splice(at, 1);
      busy.add(turn.siteId);
      turn.start();
    }
  }

  return async (siteId, work) => {
    const ofSite = line.filter((turn) => turn.siteId === siteId).length;
    if (ofSite >= waitingOfSite || line.length >= waiting) {
      throw new AppError("too-many", "Too many logs wait to be imported. Nothing of this one was stored.", {
        more: {
          hint: "Send it again after as many seconds as Retry-After says; several rows in one log are taken faster than one log a row.",
          retryAfterS: RETRY_AFTER_S,
        },
      });
    }
    await new Promise<void>((start) => {
      line.push({ siteId, start });
      next();
    });
    try {
      return await work();
    } finally {
      busy.delete(siteId);
      next();
    }
  };
}

const RETRY_AFTER_S = 2;
