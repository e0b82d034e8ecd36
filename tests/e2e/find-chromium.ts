import { existsSync } from "node:fs";
import { chromium } from "@playwright/test";

const PLACES = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome-stable"];

/** Path of a Chromium: LEGROOM_CHROMIUM, the system's, or Playwright's own; null where there is none. */
export function findChromium(): string | null {
  const named = process.env.LEGROOM_CHROMIUM;
  if (named !== undefined && named !== "") return existsSync(named) ? named : null;
  for (const place of PLACES) if (existsSync(place)) return place;
  const own = chromium.executablePath();
  return existsSync(own) ? own : null;
}
