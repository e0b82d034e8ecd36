import { AppError } from "../../db/app-error";
import type { SiteRow } from "../../db/queries/site-by-slug";

/**
 * The site's logger that a request names, its first one where it names none.
 *
 * @throws AppError bad-input where the site has no such logger
 */
export function loggerOf({ name, site }: SiteRow, given: string | undefined): string {
  if (given === undefined) return site.loggers[0].name;
  if (site.loggers.some((logger) => logger.name === given)) return given;
  throw new AppError("bad-input", `"${name}" has no logger "${given.slice(0, 100)}".`, {
    more: {
      where: "query, logger",
      hint: `Its loggers: ${site.loggers.map((logger) => logger.name).join(", ")}. Add it to site.json, or name one of these.`,
    },
  });
}
