import { join } from "node:path";
import type { Database } from "../open-database";
import { serverFolder } from "../server/server-folder";

/** A site's folder of logs to be taken. */
export type Inbox = {
  siteId: number;
  siteName: string;
  timezone: string;
  /** Its loggers, the first one first. */
  loggers: string[];
  folder: string;
  /** Whether a person chose the folder; else it is the one in the data folder, which need not exist. */
  isChosen: boolean;
};

/** The inbox of every site, or of one: the folder that was chosen for it, or one named as the site is in addresses. */
export async function inboxes(
  database: Pick<Database, "sql">,
  siteId: number | null = null,
): Promise<Inbox[]> {
  const rows = await database.sql<
    {
      siteId: number;
      siteName: string;
      timezone: string;
      slug: string;
      loggers: string[] | null;
      folder: string | null;
    }[]
  >`
    select s.site_id as "siteId", s.name as "siteName", s.timezone, s.slug, i.folder,
      (select array_agg(one ->> 'name' order by place)
        from jsonb_array_elements(s.config -> 'loggers') with ordinality as listed(one, place)) as loggers
    from site s left join inbox i using (site_id)
    where ${siteId}::int is null or s.site_id = ${siteId} order by s.site_id`;
  return rows.map(({ slug, folder, loggers, ...row }) => ({
    ...row,
    loggers: loggers ?? ["main"],
    folder: folder ?? join(inboxHome(), slug),
    isChosen: folder !== null,
  }));
}

/** Where inboxes lie that nobody chose: LEGROOM_INBOX_DIR, or `inbox` in the data folder. */
function inboxHome(): string {
  return process.env.LEGROOM_INBOX_DIR || join(serverFolder().home, "inbox");
}
