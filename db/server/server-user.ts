import { spawnSync } from "node:child_process";
import { AppError } from "../app-error";

/** The user that PostgreSQL and its keeper run as. */
export type ServerUser = { readonly name: string; readonly uid: number; readonly gid: number };

/**
 * The unprivileged user to run PostgreSQL as when this process is root, which PostgreSQL refuses to be: the
 * system's `postgres` user if there is one, else a system user `legroom`, made on first use. Undefined when this
 * process is an ordinary user: the server then runs as that user.
 *
 * @throws AppError `server-start` when no such user can be made.
 */
export function serverUser(): ServerUser | undefined {
  if (process.getuid?.() !== 0) return undefined;
  const known = lookUp("postgres") ?? lookUp("legroom");
  if (known) return known;
  const made = spawnSync(
    "useradd",
    ["--system", "--no-create-home", "--shell", "/usr/sbin/nologin", "legroom"],
    {
      encoding: "utf8",
    },
  );
  const user = lookUp("legroom");
  if (user) return user;
  const said = made.error ? made.error.message : made.stderr.trim();
  throw new AppError(
    "server-start",
    `PostgreSQL doesn't run as root, and a system user "legroom" to run it as could not be made (${said}). ` +
      "Make one (for example: useradd --system legroom), start this program as an ordinary user, or name a " +
      "server of your own in DATABASE_URL.",
  );
}

function lookUp(name: string): ServerUser | undefined {
  const [uid, gid] = [id("-u", name), id("-g", name)];
  return uid === undefined || gid === undefined || uid === 0 ? undefined : { name, uid, gid };
}

function id(option: string, name: string): number | undefined {
  const { status, stdout } = spawnSync("id", [option, name], { encoding: "utf8" });
  return status === 0 && /^\d+\s*$/.test(stdout) ? Number(stdout) : undefined;
}
