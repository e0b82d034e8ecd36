import { link, lstat, mkdir, open, rename, unlink } from "node:fs/promises";

/** How many files of one name are kept apart by a number. */
const MAX_NUMBER = 10_000;

/** Bytes of a file's name, on every file system that is in use. */
const MAX_NAME_BYTES = 255;

const REASON = ".reason.txt";

/**
 * Moves a file of an inbox into a folder beside it, which is made where it isn't there, under its own name or, where
 * that is taken, with a number: nothing is ever written over. With a reason, that goes into a text file beside it first,
 * so that no file is refused without one.
 *
 * @param folder folder that the file is in; `name` its name there, as bytes
 * @throws what the file system says: the file is where it was then
 */
export async function moveAside(
  folder: Buffer,
  name: Buffer,
  into: "done" | "refused",
  reason: string | null,
): Promise<void> {
  const target = joined(folder, Buffer.from(into));
  await mkdir(target, { mode: 0o700 }).catch((error: NodeJS.ErrnoException) => {
    if (error.code !== "EEXIST") throw error;
  });
  if (!(await lstat(target)).isDirectory()) {
    throw Object.assign(new Error(`${target} is no folder`), { code: "ENOTDIR" });
  }
  const from = joined(folder, name);
  for (let number = 1; number <= MAX_NUMBER; number++) {
    const free = numbered(name, number, reason === null ? 0 : REASON.length);
    const to = joined(target, free);
    if (await exists(to)) continue;
    const reasonPath = joined(target, Buffer.concat([free, Buffer.from(REASON)]));
    if (reason !== null && !(await writeNew(reasonPath, reason))) continue;
    try {
      if (await moveTo(from, to)) return;
    } catch (error) {
      if (reason !== null) await unlink(reasonPath).catch(() => undefined);
      throw error;
    }
    if (reason !== null) await unlink(reasonPath);
  }
  throw new Error(`${target} holds ${MAX_NUMBER} files of that name`);
}

/** A path of a folder and a name in it, as bytes: a name need not be text. */
export function joined(folder: Buffer, name: Buffer): Buffer {
  return Buffer.concat([folder, Buffer.from("/"), name]);
}

/** False where something of that name came in between. */
async function moveTo(from: Buffer, to: Buffer): Promise<boolean> {
  try {
    // A link fails where the name is taken; a rename would write over what has it.
    await link(from, to);
    await unlink(from);
    return true;
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === "EEXIST") return false;
    if (code === "ENOENT" || code === "ENOSPC" || code === "EDQUOT") throw error;
    // File systems without links, and systems that protect them.
    if (await exists(to)) return false;
    await rename(from, to);
    return true;
  }
}

/** "log.csv", "log (2).csv" …, cut where the name would be too long. */
function numbered(name: Buffer, number: number, more: number): Buffer {
  const dot = name.lastIndexOf(".");
  const stem = dot > 0 ? name.subarray(0, dot) : name;
  const end = dot > 0 ? name.subarray(dot) : Buffer.alloc(0);
  const mark = number === 1 ? "" : ` (${number})`;
  const room = Math.max(1, MAX_NAME_BYTES - more - mark.length - end.length);
  return Buffer.concat([stem.subarray(0, room), Buffer.from(mark), end.subarray(0, MAX_NAME_BYTES >> 1)]);
}

async function exists(path: Buffer): Promise<boolean> {
  return lstat(path).then(
    () => true,
    () => false,
  );
}

/** False where a file of that name is there. */
async function writeNew(path: Buffer, text: string): Promise<boolean> {
  try {
    const handle = await open(path, "wx", 0o600);
    try {
      await handle.writeFile(text);
    } catch (error) {
      await unlink(path).catch(() => undefined);
      throw error;
    } finally {
      await handle.close();
    }
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "EEXIST") return false;
    throw error;
  }
}
