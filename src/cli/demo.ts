import { spawnSync } from "node:child_process";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { openDatabase } from "../../db/open-database";
import { siteByName } from "../../db/queries/site-by-name";
import { programRoot } from "../../db/server/program-root";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { fileLogSource } from "../ingest/file-log-source";
import { mapLog } from "./map-log";
import { serve } from "./serve";

const SITE_FOLDER = join("sample-logs", "alder-creek-pottery", "month");
const LOG = "alder-creek-2026-05-60s.csv";

/** Builds the app, loads the sample month of Alder Creek Pottery, and serves it until it is stopped. */
async function demo(): Promise<number> {
  const root = programRoot();
  say("Building the app …");
  const built = spawnSync(
    process.execPath,
    [join(root, "node_modules", "next", "dist", "bin", "next"), "build"],
    {
      cwd: root,
      stdio: ["ignore", "pipe", "inherit"],
      encoding: "utf8",
    },
  );
  if (built.status !== 0) {
    say(`${built.stdout}\nThe app could not be built; what is above says why.`);
    return 1;
  }
  say("Starting the database …");
  const database = await openDatabase();
  try {
    const folder = join(root, SITE_FOLDER);
    const config: unknown = JSON.parse(await readFile(join(folder, "site.json"), "utf8"));
    const name = (config as { name: string }).name;
    if ((await siteByName(database, name)) === null) await addSite(database, config);
    const site = await siteByName(database, name);
    if (site === null) throw new Error(`the site "${name}" was added and is not there`);
    say(`Loading the sample month of ${name} …`);
    const receivedAtMs = Date.now();
    const log = await mapLog(await fileLogSource(join(folder, LOG)), join(folder, "columns.json"), {
      strict: false,
    });
    const outcome = await importLog(database, {
      siteId: site.siteId,
      loggerName: site.site.loggers[0].name,
      source: log.source,
      columnMap: log.map,
      evidence: log.evidence,
      guessed: [...log.guessed],
      receivedAtMs,
    });
    if (outcome.kind === "refused")
      throw new Error(`the sample month was refused: ${JSON.stringify(outcome.verdict)}`);
    await runDueJobs(database, { siteId: site.siteId, wait: true });
    const port = process.argv[2];
    return await serve({ port: port === undefined ? undefined : Number(port) });
  } finally {
    await database.close();
  }
}

function say(line: string): void {
  process.stderr.write(`${line}\n`);
}

demo().then(
  (code) => {
    process.exitCode = code;
  },
  (error: unknown) => {
    say(`The demo could not start: ${error instanceof Error ? error.message : String(error)}`);
    process.exitCode = 1;
  },
);
