"use server";

import { createReadStream } from "node:fs";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { redirect } from "next/navigation";
import { AppError } from "../../db/app-error";
import { logById } from "../../db/queries/log-by-id";
import { logsOf } from "../../db/queries/logs-of";
import { siteByName } from "../../db/queries/site-by-name";
import { programRoot } from "../../db/server/program-root";
import { addSite } from "../../db/writes/add-site";
import { enqueueImport } from "../../db/writes/enqueue-import";
import { receiveUpload } from "../../db/writes/receive-upload";
import { sniffLog } from "../../src/ingest/sniff-log";
import { parseColumnMap } from "../../src/site/parse-column-map";
import { logHead } from "../_data/log-head";
import { read } from "../_data/read";
import { checkAction } from "../_guard/check-action";
import { type Outcome, problemOf } from "./outcome";

const FOLDER = join("sample-logs", "alder-creek-pottery", "month");
const LOG = "alder-creek-2026-05-60s.csv";

/** Adds the invented site with its month of samples, and goes on to its import; where it is there, to the site. */
export async function loadInventedSiteAction(_: Outcome, form: FormData): Promise<Outcome> {
  let address: string;
  try {
    await checkAction();
    address = await load();
  } catch (error) {
    return problemOf(error, form);
  }
  redirect(address);
}

async function load(): Promise<string> {
  const folder = join(programRoot(), FOLDER);
  const [site, map] = (await Promise.all(
    ["site.json", "columns.json"].map(async (name) => JSON.parse(await sample(join(folder, name)))),
  )) as [{ name: string }, unknown];
  return read(async (database) => {
    const there = await siteByName(database, site.name);
    if (there !== null && (await logsOf(database, there.siteId)).length > 0) return `/sites/${there.slug}`;
    const { siteId, slug } = there ?? (await addSite(database, site));
    const parsed = parseColumnMap(map);
    if (!parsed.ok) throw new AppError("bad-input", parsed.problems.map(({ message }) => message).join("\n"));
    const { logs } = await receiveUpload(database, {
      siteId,
      loggerName: "main",
      name: LOG,
      body: createReadStream(join(folder, LOG)),
    });
    const [{ logId }] = logs;
    const log = await logById(database, siteId, logId);
    if (log === null) throw new AppError("not-found", "The log was discarded meanwhile.");
    const head = await logHead(database, siteId, log);
    const sniffed = sniffLog(head, parsed.map, { name: LOG, strict: true, receivedAtMs: log.receivedAtMs });
    if (sniffed.map === null) throw new AppError("bad-input", "The invented log can't be read by its map.");
    await enqueueImport(database, siteId, {
      logId,
      columnMap: sniffed.map,
      evidence: sniffed.evidence,
      allOrNothing: false,
    });
    return `/sites/${slug}/logs/${logId}`;
  });
}

async function sample(path: string): Promise<string> {
  try {
    return await readFile(path, "utf8");
  } catch (error) {
    throw new AppError("not-found", "The folder sample-logs is not beside the program any more.", {
      cause: error,
    });
  }
}
