import { AppError } from "../app-error";
import type { ServerFolder } from "./server-folder";

/**
 * Why the embedded PostgreSQL did not start, from what it said, as an error that a person can act on.
 *
 * `said` is the end of its output and log.
 */
export function startFailure(said: string, folder: ServerFolder, cause?: unknown): AppError {
  if (/No space left on device|Disk quota exceeded/i.test(said)) {
    return new AppError(
      "disk-full",
      `The database server can't start: the disk that holds ${folder.home} is full. Free some space on it and start ` +
        "again; nothing that was stored is lost.",
      { cause },
    );
  }
  if (/error while loading shared libraries|Library not loaded/i.test(said)) {
    return new AppError(
      "server-start",
      'The PostgreSQL in node_modules is not complete. Run "npm ci" again, without --ignore-scripts. ' +
        lastOf(said),
      { cause },
    );
  }
  if (/Permission denied|invalid permissions|wrong ownership|Operation not permitted/i.test(said)) {
    return new AppError(
      "data-folder",
      `The database server can't use its data folder ${folder.home}. Give it back to the user that runs the server, ` +
        `or name another folder in LEGROOM_DATA_DIR. ${lastOf(said)}`,
      { cause },
    );
  }
  return new AppError(
    "server-start",
    `The database server did not start. ${lastOf(said)} More is in ${folder.startLog} and ${folder.logs}.`,
    { cause },
  );
}

function lastOf(said: string): string {
  const lines = said.split("\n").filter((line) => line.trim() !== "");
  const from = lines.findLastIndex((line) => /FATAL|PANIC|ERROR|^(postgres|initdb): /.test(line));
  const telling = from < 0 ? lines.slice(-1) : lines.slice(from, from + 3);
  return telling.length > 0 ? `It said: ${telling.map((line) => line.trim()).join(" ")}` : "It said nothing.";
}
