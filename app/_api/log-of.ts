import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { logById } from "../../db/queries/log-by-id";
import type { LogRow } from "../../db/queries/logs-of";
import type { SiteRow } from "../../db/queries/site-by-slug";

/** A site's log by the number in the address. @throws AppError not-found */
export async function logOf(database: Database, site: SiteRow, number: string): Promise<LogRow> {
  const log = /^[1-9]\d{0,8}$/.test(number) ? await logById(database, site.siteId, Number(number)) : null;
  if (log !== null) return log;
  throw new AppError(
    "not-found",
    `"${site.name}" has no log ${number.slice(0, 20)}; it may have been discarded.`,
    {
      more: { hint: `GET /api/v1/sites/${site.slug}/logs lists its logs.` },
    },
  );
}
