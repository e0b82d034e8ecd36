import { chmodSync, chownSync, existsSync, mkdirSync, readdirSync, statSync } from "node:fs";
import { dirname } from "node:path";
import { AppError } from "../app-error";
import { folderError } from "./folder-error";
import type { ServerFolder } from "./server-folder";
import type { ServerUser } from "./server-user";

/**
 * Makes the data folder and the server's part of it, for the user that runs PostgreSQL. A folder that holds
 * other things already keeps its owner; it only has to let that user through.
 *
 * @throws AppError `data-folder` when the folder can't be made, or the user can't get to it; `disk-full`.
 */
export function takeFolder(folder: ServerFolder, user: ServerUser | undefined): void {
  try {
    if (!existsSync(folder.home)) mkdirSync(folder.home, { recursive: true, mode: user ? 0o755 : 0o700 });
    if (user && readdirSync(folder.home).length === 0) {
      chownSync(folder.home, user.uid, user.gid);
      chmodSync(folder.home, 0o700);
    }
    for (const path of [folder.server, folder.logs]) {
      if (!existsSync(path)) mkdirSync(path, { mode: 0o700 });
      if (user) chownSync(path, user.uid, user.gid);
    }
  } catch (error) {
    throw folderError(error, folder.home);
  }
  if (user) requirePassage(folder.home, user);
}

function requirePassage(home: string, user: ServerUser): void {
  for (let path = home; ; path = dirname(path)) {
    const { mode, uid, gid } = statSync(path);
    const bit = uid === user.uid ? 0o100 : gid === user.gid ? 0o010 : 0o001;
    if ((mode & bit) === 0) {
      throw new AppError(
        "data-folder",
        `PostgreSQL runs as the user "${user.name}", who may not enter ${path}. Allow it (chmod o+x), or name ` +
          "another folder in LEGROOM_DATA_DIR.",
      );
    }
    if (dirname(path) === path) return;
  }
}
