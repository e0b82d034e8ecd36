import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { inboxes } from "../queries/inboxes";

/**
 * Sets the folder that a site's logs are taken from; null for the one in the data folder again.
 *
 * @param folder its real absolute path
 * @throws AppError conflict where another site's inbox is the same folder
 */
export async function setInbox(
  database: Pick<Database, "sql">,
  siteId: number,
  folder: string | null,
): Promise<void> {
  if (folder === null) {
    await database.sql`delete from inbox where site_id = ${siteId}`;
    return;
  }
  const other = (await inboxes(database)).find((one) => one.siteId !== siteId && one.folder === folder);
  if (other !== undefined) {
    throw new AppError(
      "conflict",
      `${folder} is the inbox of "${other.siteName}". Name another folder: each file can belong to one site only.`,
    );
  }
  await database.sql`
    insert into inbox (site_id, folder) values (${siteId}, ${folder})
    on conflict (site_id) do update set folder = excluded.folder`;
}
