import { existsSync, readdirSync, readFileSync, readlinkSync } from "node:fs";

/** A process that has to do with a data folder. */
export type FoundProcess = { readonly pid: number; readonly commandLine: string };

/**
 * The running processes that name `dataDir` on their command line or work in it: PostgreSQL, its backends, the
 * keeper. Linux only, where the tests of processes run. A process that has ended and waits for its parent has
 * neither and doesn't count.
 */
export function processesOf(dataDir: string): FoundProcess[] {
  if (!existsSync("/proc/self")) throw new Error("the tests of processes need /proc");
  return readdirSync("/proc")
    .filter((name) => /^\d+$/.test(name) && Number(name) !== process.pid)
    .flatMap((name) => {
      const commandLine = read(() => readFileSync(`/proc/${name}/cmdline`, "utf8")).replaceAll("\0", " ");
      const folder = read(() => readlinkSync(`/proc/${name}/cwd`));
      const concerned =
        commandLine.includes(dataDir) || folder === dataDir || folder.startsWith(`${dataDir}/`);
      return concerned ? [{ pid: Number(name), commandLine }] : [];
    });
}

/** A process may end between being listed and being read. */
function read(from: () => string): string {
  try {
    return from();
  } catch {
    return "";
  }
}
