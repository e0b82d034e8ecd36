"use server";

import { redirect } from "next/navigation";
import { AppError } from "../../db/app-error";
import { siteBySlug } from "../../db/queries/site-by-slug";
import { cancelJob } from "../../db/writes/cancel-job";
import { discardLog } from "../../db/writes/discard-log";
import { enqueueImport } from "../../db/writes/enqueue-import";
import { sniffLog } from "../../src/ingest/sniff-log";
import type { ColumnMapInput } from "../../src/site/column-map-schema";
import { questionsLeft } from "../_data/column-map-form";
import { givenMap, refusedMap } from "../_data/given-map";
import { logHead } from "../_data/log-head";
import { logMap } from "../_data/log-map";
import { isOpen, logWithJob } from "../_data/log-page";
import { read } from "../_data/read";
import { checkAction } from "../_guard/check-action";
import { type Outcome, problemOf } from "./outcome";

type Address = { slug: string; logId: string };

/** Puts a log's import in line, with the map that the form says and nothing left to be guessed. */
export async function importLogAction(address: Address, _: Outcome, form: FormData): Promise<Outcome> {
  try {
    await checkAction();
    await read(async (database) => {
      const site = await siteBySlug(database, address.slug);
      const found = site === null ? null : await logWithJob(database, site.siteId, address.logId);
      if (site === null || found === null) throw new AppError("not-found", "There is no such log any more.");
      if (isOpen(found.job)) throw new AppError("conflict", "This log is being imported already.");
      const { log } = found;
      const { sniffed: inferred } = await logMap(database, site.siteId, log);
      const given = await givenMap(form, inferred);
      const open = questionsLeft(inferred.ask, given, inferred.draft);
      const head = await logHead(database, site.siteId, log);
      const sniffed = sniffLog(head, given, { name: log.name, strict: true, receivedAtMs: log.receivedAtMs });
      if (sniffed.refusal !== null) throw refusedMap([sniffed.refusal.what, sniffed.refusal.hint]);
      if (open.length > 0 || sniffed.map === null) {
        const asked = new Map(
          [...open, ...sniffed.ask].map(({ choice, why }) => [choice, `${choice}: ${why}`]),
        );
        throw refusedMap(["Still to be settled:", ...asked.values()]);
      }
      await enqueueImport(database, site.siteId, {
        logId: log.logId,
        columnMap: sniffed.map,
        evidence: inferred.evidence,
        guessed: stillGuessed(inferred.draft, inferred.guessed, given),
        allOrNothing: form.get("allOrNothing") === "on",
        replace: form.get("replace") === "on" ? { fromMs: null, toMs: null } : null,
      });
    });
  } catch (error) {
    return problemOf(error, form);
  }
  redirect(`/sites/${address.slug}/logs/${address.logId}`);
}

/** Asks for an import to stop: nothing of it is then stored. */
export async function cancelImportAction(address: Address): Promise<void> {
  await checkAction();
  await read(async (database) => {
    const site = await siteBySlug(database, address.slug);
    const found = site === null ? null : await logWithJob(database, site.siteId, address.logId);
    if (site !== null && found !== null && isOpen(found.job)) {
      await cancelJob(database, site.siteId, found.job.jobId);
    }
  });
  redirect(`/sites/${address.slug}/logs/${address.logId}`);
}

/** Throws a log away that was received and never imported. */
export async function discardLogAction(address: Address): Promise<void> {
  await checkAction();
  await read(async (database) => {
    const site = await siteBySlug(database, address.slug);
    if (site !== null && /^\d{1,9}$/.test(address.logId)) {
      await discardLog(database, site.siteId, Number(address.logId));
    }
  });
  redirect(`/sites/${address.slug}/logs`);
}

/** Choices that a person left as they were inferred: the rejects say that their rule was guessed. */
function stillGuessed(draft: ColumnMapInput, guessed: ReadonlySet<string>, given: ColumnMapInput): string[] {
  const same = (a: unknown, b: unknown) => JSON.stringify(a) === JSON.stringify(b);
  return [...guessed].filter((choice) =>
    choice === "time"
      ? same(draft.time, given.time)
      : same(
          draft.channels?.[choice as keyof typeof draft.channels],
          given.channels?.[choice as keyof typeof given.channels],
        ),
  );
}
