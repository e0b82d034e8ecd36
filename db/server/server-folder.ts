import { homedir } from "node:os";
import { join, resolve } from "node:path";

/** Where everything of the embedded server lies; all of it belongs to the user that runs PostgreSQL. */
export type ServerFolder = {
  /** The platform's data folder of this program. */
  readonly home: string;
  /** The embedded server's own part of it, readable by its user only. */
  readonly server: string;
  /** PostgreSQL's data directory. */
  readonly data: string;
  /** The FIFO (a pipe's name on Windows) that every member holds open for writing. */
  readonly members: string;
  /** The name the FIFO has while the keeper stops the server. */
  readonly closing: string;
  /** The keeper's program. */
  readonly keeper: string;
  /** What the start lock is taken on. */
  readonly start: string;
  /** The generated password of the database role. */
  readonly password: string;
  /** The port of the last start, tried first at the next one. */
  readonly port: string;
  /** What initdb and the server say before their log is open. */
  readonly startLog: string;
  /** The server's log, one file a weekday. */
  readonly logs: string;
};

/**
 * The places of the embedded server under `dataDir`, or else under LEGROOM_DATA_DIR, or else under the
 * platform's data folder: /var/lib/legroom as root, $XDG_DATA_HOME/legroom or ~/.local/share/legroom,
 * ~/Library/Application Support/Legroom on macOS, %LOCALAPPDATA%\Legroom on Windows.
 */
export function serverFolder(dataDir?: string): ServerFolder {
  const home = resolve(
    /* turbopackIgnore: true */ dataDir ?? process.env.LEGROOM_DATA_DIR ?? platformFolder(),
  );
  const server = join(home, "server");
  return {
    home,
    server,
    data: join(server, "data"),
    members: join(server, "members"),
    closing: join(server, "closing"),
    keeper: join(server, "keeper.sh"),
    start: join(server, "start"),
    password: join(server, "password"),
    port: join(server, "port"),
    startLog: join(server, "start.log"),
    logs: join(server, "log"),
  };
}

function platformFolder(): string {
  if (process.platform === "win32") {
    return join(process.env.LOCALAPPDATA ?? join(homedir(), "AppData", "Local"), "Legroom");
  }
  if (process.getuid?.() === 0) return "/var/lib/legroom";
  if (process.platform === "darwin") return join(homedir(), "Library", "Application Support", "Legroom");
  const xdg = process.env.XDG_DATA_HOME;
  return join(xdg?.startsWith("/") ? xdg : join(homedir(), ".local", "share"), "legroom");
}
