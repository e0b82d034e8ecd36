"use server";

import { redirect } from "next/navigation";
import { siteBySlug } from "../../db/queries/site-by-slug";
import { enqueueRefold } from "../../db/writes/enqueue-refold";
import { isOpen, logWithJob } from "../_data/log-page";
import { read } from "../_data/read";
import { checkAction } from "../_guard/check-action";

type Address = { slug: string; logId: string };

/** Puts it in line that a log's samples leave the results; the log itself stays. */
export async function withdrawLogAction(address: Address): Promise<void> {
  await change(address, "withdraw");
}

/** Puts it in line that a log that was taken back counts again. */
export async function restoreLogAction(address: Address): Promise<void> {
  await change(address, "restore");
}

/** Where another change of the log is under way already, its sheet shows that one instead. */
async function change({ slug, logId }: Address, action: "withdraw" | "restore"): Promise<void> {
  await checkAction();
  await read(async (database) => {
    const site = await siteBySlug(database, slug);
    const found = site === null ? null : await logWithJob(database, site.siteId, logId);
    if (site === null || found === null || isOpen(found.job)) return;
    await enqueueRefold(database, site.siteId, { logId: found.log.logId, action });
  });
  redirect(`/sites/${slug}/logs/${logId}`);
}
