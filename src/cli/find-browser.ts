import { existsSync, statSync } from "node:fs";
import { delimiter, join } from "node:path";

/** Names under which a Chromium or one of its kin is on the path. */
const NAMES = ["chromium", "chromium-browser", "google-chrome-stable", "google-chrome", "microsoft-edge"];

const ELSEWHERE = [
  "/Applications/Chromium.app/Contents/MacOS/Chromium",
  "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
];

/**
 * Path of a Chromium that can print: the one LEGROOM_CHROMIUM names, or else the first on the path; null where there is
 * none, or where the named one is no file.
 */
export function findBrowser(environment: NodeJS.ProcessEnv = process.env): string | null {
  const named = environment.LEGROOM_CHROMIUM;
  if (named !== undefined && named !== "") return isFile(named) ? named : null;
  const folders = (environment.PATH ?? "").split(delimiter).filter((folder) => folder !== "");
  const ending = process.platform === "win32" ? ".exe" : "";
  const places = NAMES.flatMap((name) => folders.map((folder) => join(folder, `${name}${ending}`)));
  return [...places, ...ELSEWHERE].find(isFile) ?? null;
}

function isFile(path: string): boolean {
  return existsSync(path) && statSync(path).isFile();
}
