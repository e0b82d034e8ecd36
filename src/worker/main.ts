import { openDatabase } from "../../db/open-database";
import { recomputeOutdated } from "../../db/writes/recompute-outdated";
import { untilStopped } from "./until-stopped";
import { watchInboxes } from "./watch-inboxes";
import { work } from "./work";

// The process that runs jobs: those that are in line when it starts, those whose runner died, and each new one
// as it is announced. It takes logs from the sites' inboxes, too. Ends on SIGINT, SIGTERM or when whoever started it is gone; a job under way is then
// broken off, leaves nothing, and is back in line.

const signal = untilStopped();
const database = await openDatabase();
try {
  await recomputeOutdated(database);
  await Promise.all([work(database, signal), watchInboxes(database, signal)]);
} finally {
  await database.close();
}
// A standard input that is still open would keep the process.
process.exit(0);
