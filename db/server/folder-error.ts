import { AppError } from "../app-error";

/**
 * A failed operation on the data folder as an error that a person can act on: a full disk, or a folder that can't
 * be written. What is neither is given back as it came.
 */
export function folderError(error: unknown, path: string): unknown {
  const code = (error as NodeJS.ErrnoException | null)?.code;
  if (code === "ENOSPC" || code === "EDQUOT") {
    return new AppError(
      "disk-full",
      `The disk that holds ${path} is full. Free some space on it and start again.`,
      {
        cause: error,
      },
    );
  }
  if (code === "EACCES" || code === "EPERM" || code === "EROFS" || code === "ENOTDIR" || code === "EEXIST") {
    return new AppError(
      "data-folder",
      `The data folder can't be used: ${path} (${code}). Give this user the right to write there, or name another ` +
        "folder in LEGROOM_DATA_DIR.",
      { cause: error },
    );
  }
  return error;
}
