import { AppError } from "./app-error";

/**
 * An error of the database driver as one that a person can act on, where there is something to do: the server is
 * away, its disk is full, all its connections are taken, the statement was cancelled. What is none of these is a
 * defect and is given back as it came.
 */
export function toAppError(error: unknown): unknown {
  if (error instanceof AppError || !(error instanceof Error)) return error;
  // drizzle wraps the driver's error.
  const inner = error.cause instanceof Error ? error.cause : error;
  const code = (inner as { code?: unknown }).code;
  if (typeof code !== "string") return error;
  if (code === "53100") {
    return new AppError(
      "disk-full",
      "The database's disk is full: nothing of this was stored. Free some space on it and try again.",
      { cause: error },
    );
  }
  // The sort of a log whose rows are not in order: its message says which folder.
  if (code === "ENOSPC" || code === "EDQUOT")
    return new AppError("disk-full", error.message, { cause: error });
  if (code === "53300") {
    return new AppError("busy", "The database has no connection to spare. Try again in a moment.", {
      cause: error,
    });
  }
  if (code === "57014")
    return new AppError("cancelled", "Cancelled: nothing of this was stored.", { cause: error });
  if (UNREACHABLE.has(code)) {
    return new AppError(
      "server-unreachable",
      `The database server can't be reached (${inner.message}). Nothing of this was stored. The embedded server comes ` +
        "back by itself within seconds; for a server of your own look whether it runs, and at DATABASE_URL.",
      { cause: error },
    );
  }
  if (code === "28P01" || code === "28000" || code === "3D000") {
    return new AppError(
      "server-unreachable",
      `The database server refuses this program: ${inner.message}. Mend user, password or database in DATABASE_URL.`,
      { cause: error },
    );
  }
  return error;
}

const UNREACHABLE = new Set([
  "ECONNREFUSED",
  "ECONNRESET",
  "ENOTFOUND",
  "EAI_AGAIN",
  "EHOSTUNREACH",
  "ENETUNREACH",
  "ETIMEDOUT",
  "EPIPE",
  "CONNECT_TIMEOUT",
  "CONNECTION_CLOSED",
  "CONNECTION_ENDED",
  "CONNECTION_DESTROYED",
  "57P01",
  "57P02",
  "57P03",
]);
