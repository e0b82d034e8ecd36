import { lstat, readdir } from "node:fs/promises";
import { setTimeout as sleep } from "node:timers/promises";
import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { type Inbox, inboxes } from "../../db/queries/inboxes";
import { toAppError } from "../../db/to-app-error";
import { joined, moveAside } from "./move-aside";
import { takeInboxFile } from "./take-inbox-file";

/** How inboxes are looked after. */
export type InboxTimes = {
  /** Between two looks into the folders. */
  lookS: number;
  /** How long a file's size and time must stand before it counts as whole. */
  quietS: number;
  /** How often at most the new rows of a file in `growing` are taken. */
  growS: number;
  /** How long a file is left alone after something went wrong that is not its fault. */
  retryS: number;
};

/** The times of LEGROOM_INBOX_LOOK_S, LEGROOM_INBOX_QUIET_S and LEGROOM_INBOX_GROW_S, or 2, 10 and 60 s. */
export function inboxTimes(environment: NodeJS.ProcessEnv = process.env): InboxTimes {
  const seconds = (name: string, usual: number) => {
    const given = Number(environment[name]);
    return environment[name] !== undefined && given > 0 && given <= 86_400 ? given : usual;
  };
  const quietS = seconds("LEGROOM_INBOX_QUIET_S", 10);
  return {
    lookS: seconds("LEGROOM_INBOX_LOOK_S", 2),
    quietS,
    growS: seconds("LEGROOM_INBOX_GROW_S", 60),
    retryS: 6 * quietS,
  };
}

/** A file as it was seen. */
type Seen = {
  size: number;
  modifiedMs: number;
  ino: number;
  /** Since when it has been so. */
  sinceMs: number;
  /** Not to be looked at before. */
  notBeforeMs: number;
  /** Its size when it was last taken and left where it is. */
  takenSize: number;
  takenModifiedMs: number;
};

const GROWING = "growing";

/** Names in an inbox that are never taken for a file, even where they are a link. */
const OWN_FOLDERS = ["done", "refused", GROWING];

/** Files that are remembered at once; an inbox with more is taken piece by piece. */
const MAX_FILES = 10_000;

/**
 * Looks after the inboxes of all sites until `signal`: imports each file that has stopped growing and moves it to `done`
 * beside it, or to `refused` with the reason in a text file beside it. Files in `growing` stay where they are: what they
 * have grown by is taken again and again. Files in a folder named as one of the site's loggers are that logger's, the
 * others the first one's. Hidden files and other folders are left alone. What goes wrong outside a file (no room on the
 * disk, the server away) is said once and tried again later: the file stays.
 */
export async function watchInboxes(
  database: Database,
  signal: AbortSignal,
  times: InboxTimes = inboxTimes(),
): Promise<void> {
  const seen = new Map<string, Seen>();
  const said = new Set<string>();
  const say = (message: string) => {
    if (said.has(message)) return;
    // What is said again after so many other things is news.
    if (said.size > 1000) said.clear();
    said.add(message);
    console.error(message);
  };
  while (!signal.aborted) {
    try {
      const present = new Set<string>();
      for (const inbox of await inboxes(database)) {
        if (signal.aborted) return;
        await look({ database, signal, times, seen, present, say }, inbox);
      }
      for (const key of seen.keys()) if (!present.has(key)) seen.delete(key);
    } catch (error) {
      const known = toAppError(error);
      if (!(known instanceof AppError)) console.error(error);
      else if (known.code !== "server-unreachable") say(known.message);
    }
    await sleep(times.lookS * 1000, undefined, { signal }).catch(() => undefined);
  }
}

type Look = {
  database: Database;
  signal: AbortSignal;
  times: InboxTimes;
  seen: Map<string, Seen>;
  present: Set<string>;
  say: (message: string) => void;
};

async function look(on: Look, inbox: Inbox): Promise<void> {
  const folder = Buffer.from(inbox.folder);
  if (!(await isRealFolder(folder))) {
    if (inbox.isChosen)
      on.say(`The inbox of "${inbox.siteName}", ${inbox.folder}, is not there, or is no folder.`);
    return;
  }
  const first = inbox.loggers[0];
  await lookInto(on, inbox, folder, first, false);
  await lookInto(on, inbox, joined(folder, Buffer.from(GROWING)), first, true);
  for (const logger of inbox.loggers) {
    // A logger's name that is no name of a folder has none.
    if (/[/\\\0]|^\.\.?$/.test(logger) || OWN_FOLDERS.includes(logger)) continue;
    const own = joined(folder, Buffer.from(logger));
    await lookInto(on, inbox, own, logger, false);
    await lookInto(on, inbox, joined(own, Buffer.from(GROWING)), logger, true);
  }
}

async function lookInto(
  on: Look,
  inbox: Inbox,
  folder: Buffer,
  loggerName: string,
  grows: boolean,
): Promise<void> {
  const { seen, present, times, signal } = on;
  if (!(await isRealFolder(folder))) return;
  let names: Buffer[];
  try {
    names = await readdir(folder, { encoding: "buffer" });
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== "ENOENT" && code !== "ENOTDIR") on.say(`The inbox ${folder} can't be read: ${code}.`);
    return;
  }
  for (const name of names.sort((a, b) => Buffer.compare(a, b)).slice(0, MAX_FILES)) {
    if (signal.aborted) return;
    if (name[0] === DOT || OWN_FOLDERS.includes(name.toString("latin1"))) continue;
    const path = joined(folder, name);
    const found = await lstat(path).catch(() => null);
    if (found === null || found.isDirectory()) continue;
    const key = path.toString("latin1");
    present.add(key);
    const now = Date.now();
    const before = seen.get(key);
    const state = { size: found.size, modifiedMs: found.mtimeMs, ino: found.ino };
    if (before === undefined || before.ino !== state.ino) {
      seen.set(key, { ...state, sinceMs: now, notBeforeMs: 0, takenSize: -1, takenModifiedMs: Number.NaN });
      // What can't grow need not be waited for.
      if (found.isFile() && !grows) continue;
    } else if (before.size !== state.size || before.modifiedMs !== state.modifiedMs) {
      Object.assign(before, state, { sinceMs: now });
      if (!grows) continue;
    }
    const file = seen.get(key)!;
    if (now < file.notBeforeMs) continue;
    if (!grows && found.isFile() && now - file.sinceMs < times.quietS * 1000) continue;
    if (grows && file.takenSize === file.size && file.takenModifiedMs === file.modifiedMs) continue;
    await takeOne(on, inbox, { folder, name, path, file, loggerName, grows });
  }
}

const DOT = 46;

async function takeOne(
  { database, signal, times, say }: Look,
  { siteId, siteName }: Inbox,
  {
    folder,
    name,
    path,
    file,
    loggerName,
    grows,
  }: { folder: Buffer; name: Buffer; path: Buffer; file: Seen; loggerName: string; grows: boolean },
): Promise<void> {
  const label = labelOf(name);
  try {
    const outcome = await takeInboxFile(database, { siteId, loggerName, signal }, path, label);
    if (outcome === null) return;
    const { taken, refusals } = outcome;
    if (grows) {
      Object.assign(file, { takenSize: file.size, takenModifiedMs: file.modifiedMs });
      file.notBeforeMs = Date.now() + times.growS * 1000;
      for (const refusal of refusals) say(`Inbox of "${siteName}": ${label} was not taken. ${refusal}`);
      return;
    }
    // It was written to meanwhile: what is new is taken when it stands still again.
    const now = await lstat(path).catch(() => null);
    if (now === null) return;
    if (now.ino !== file.ino || now.size !== file.size || now.mtimeMs !== file.modifiedMs) return;
    if (refusals.length === 0) await moveAside(folder, name, "done", null);
    else await moveAside(folder, name, "refused", reasonText(label, siteName, loggerName, taken, refusals));
  } catch (error) {
    if (signal.aborted) return;
    file.notBeforeMs = Date.now() + times.retryS * 1000;
    const known = toAppError(error);
    const message = known instanceof Error ? known.message : String(known);
    if (!(known instanceof AppError) && (error as NodeJS.ErrnoException).code === undefined)
      console.error(error);
    say(`Inbox of "${siteName}": ${label} stays where it is and is tried again later. ${message}`);
  }
}

function reasonText(
  label: string,
  siteName: string,
  loggerName: string,
  taken: number,
  refusals: readonly string[],
): string {
  const some =
    taken === 0 ? "" : `${taken} of ${taken + refusals.length} logs in it were imported all the same.\n`;
  return `${label} was not imported into "${siteName}", logger "${loggerName}".\n${some}\n${refusals.join("\n\n")}\n\nMend it and put it into the inbox again.\n`;
}

/** The folder itself, not what a link leads to. */
async function isRealFolder(path: Buffer): Promise<boolean> {
  return lstat(path).then(
    (found) => found.isDirectory(),
    () => false,
  );
}

/** A file's name as text that can be shown. */
function labelOf(name: Buffer): string {
  return name.toString("utf8").replace(/\p{Cc}/gu, "\u{fffd}");
}
