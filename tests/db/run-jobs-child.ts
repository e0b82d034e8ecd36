import { readFileSync } from "node:fs";
import { openDatabase } from "../../db/open-database";
import { importLog } from "../../db/writes/import-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { SMALL_MAP, textLog } from "./small-log";

// A process that imports a file or runs the jobs of a site, to be killed at a moment that LEGROOM_DIE_AT names.

const [url, siteId, path] = process.argv.slice(2);
const database = await openDatabase({ url });
if (path === undefined) await runDueJobs(database, { siteId: Number(siteId) });
else {
  await importLog(database, {
    siteId: Number(siteId),
    loggerName: "main",
    source: textLog(readFileSync(path, "utf8"), "small.csv"),
    columnMap: SMALL_MAP,
    receivedAtMs: Date.UTC(2026, 11, 1),
  });
}
await database.close();
