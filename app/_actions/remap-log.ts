"use server";

import { redirect } from "next/navigation";
import { AppError } from "../../db/app-error";
import { siteBySlug } from "../../db/queries/site-by-slug";
import { enqueueRefold } from "../../db/writes/enqueue-refold";
import { sniffLog } from "../../src/ingest/sniff-log";
import type { ColumnMapInput } from "../../src/site/column-map-schema";
import { givenMap, refusedMap } from "../_data/given-map";
import { logHead } from "../_data/log-head";
import { isOpen, logWithJob } from "../_data/log-page";
import { read } from "../_data/read";
import { checkAction } from "../_guard/check-action";
import { type Outcome, problemOf } from "./outcome";

type Address = { slug: string; logId: string };

/** Puts it in line that an imported log is read again by the map that the form says. */
export async function remapLogAction(address: Address, _: Outcome, form: FormData): Promise<Outcome> {
  try {
    await checkAction();
    await read(async (database) => {
      const site = await siteBySlug(database, address.slug);
      const found = site === null ? null : await logWithJob(database, site.siteId, address.logId);
      if (site === null || found === null) throw new AppError("not-found", "There is no such log any more.");
      if (isOpen(found.job)) throw new AppError("conflict", "A change of this log is under way already.");
      const { log } = found;
      if (log.state !== "imported") throw new AppError("conflict", "This log isn't in the site any more.");
      const head = await logHead(database, site.siteId, log);
      const options = { name: log.name, strict: true, receivedAtMs: log.receivedAtMs };
      const given = await givenMap(form, sniffLog(head, log.columnMap as ColumnMapInput, options));
      const sniffed = sniffLog(head, given, options);
      if (sniffed.refusal !== null) throw refusedMap([sniffed.refusal.what, sniffed.refusal.hint]);
      if (sniffed.map === null) {
        throw refusedMap([
          "Still to be settled:",
          ...sniffed.ask.map(({ choice, why }) => `${choice}: ${why}`),
        ]);
      }
      await enqueueRefold(database, site.siteId, {
        action: "remap",
        logId: log.logId,
        columnMap: sniffed.map,
        evidence: null,
        allOfShape: form.get("allOfShape") === "on",
      });
    });
  } catch (error) {
    return problemOf(error, form);
  }
  redirect(`/sites/${address.slug}/logs/${address.logId}`);
}
