const REASONS: { readonly [code: string]: string } = {
  ENOENT: "there is no such file",
  ENOTDIR: "a part of its path is not a folder",
  EISDIR: "it is a folder",
  EACCES: "this user may not read it",
  EPERM: "this user may not read it",
  ENAMETOOLONG: "its name is too long",
  ELOOP: "its links go round in a circle",
  EMFILE: "this program has too many files open",
  EIO: "its disk reports an error",
};

/** Why a file can't be read, from what the system said, as the rest of a sentence. */
export function fileProblem(error: unknown): string {
  const { code, message } = error as NodeJS.ErrnoException;
  return REASONS[code ?? ""] ?? message;
}
