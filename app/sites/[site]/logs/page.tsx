import Link from "next/link";
import type { JobRow } from "../../../../db/queries/jobs-of";
import { logCounts } from "../../../../db/queries/log-counts";
import { type ListedLog, logsPage } from "../../../../db/queries/logs-page";
import { openJobsOf } from "../../../../db/queries/open-jobs-of";
import { actionOf, isOfLog, isOpen } from "../../../_data/log-page";
import { verdictCounts } from "../../../_data/log-verdict";
import { read } from "../../../_data/read";
import { sitePage } from "../../../_data/site-page";
import { formatBytes, formatCount } from "../../../_format/count";
import { formatInstant, localTime } from "../../../_format/local-time";
import { formatNumber } from "../../../_format/number";
import { DataTable } from "../../../_parts/data-table";
import { DropLog } from "../../../_parts/drop-log";
import { Entry } from "../../../_parts/entry";
import { Freshness } from "../../../_parts/freshness";
import { Empty } from "../../../_parts/message";
import { Sheet } from "../../../_parts/sheet";
import type { Table } from "../../../_tables/table";

export const metadata = { title: "Logs" };

/** Logs of a page of the list: a logger that sends a row at a time has thousands. */
const PAGE_LOGS = 100;

export default async function Logs({ params, searchParams }: PageProps<"/sites/[site]/logs">) {
  const { site, monthHref } = await sitePage((await params).site);
  const before = logNumber((await searchParams).before);
  const { logs, next } = await read((database) =>
    logsPage(database, site.siteId, { before, limit: PAGE_LOGS }),
  );
  const counts = await read((database) => logCounts(database, site.siteId));
  const jobs = await read((database) => openJobsOf(database, site.siteId));
  const kept = Object.values(counts).reduce((sum, count) => sum + count, 0);
  const base = `/sites/${site.slug}/logs`;
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="logs"
      title="Logs"
      fields={[
        { label: "Times", value: site.timezone },
        { label: "Kept", value: formatCount(kept, "log") },
        {
          label: "Imported",
          value: formatCount(counts.imported ?? 0, "log"),
        },
        ...(counts.withdrawn !== undefined
          ? [
              {
                label: "Taken back",
                value: formatCount(counts.withdrawn, "log"),
              },
            ]
          : []),
      ]}
    >
      <Freshness slug={site.slug} timezone={site.timezone} revision={site} />
      <Entry
        title={kept === 0 ? "Begin with the first log." : "Import a further log."}
        aside={
          <p>
            A CSV file with a header line and one line a sample: a time, and the load of each leg or of both.
            Any interval; a second shows most. The file is kept as it came.
          </p>
        }
      >
        <DropLog slug={site.slug}>
          <p>
            Drop a CSV log here, or choose one. You see how its columns are read before anything is imported.
          </p>
        </DropLog>
        <noscript>
          <p>
            Without scripts a log can be imported on the command line: npm run -s legroom -- import LOG.csv
            --site NAME
          </p>
        </noscript>
      </Entry>
      <Entry
        title="What has come in so far."
        aside={
          kept === 0 ? undefined : (
            <p>An import is taken back, and put in again, on the log’s own sheet: behind its name.</p>
          )
        }
      >
        {kept === 0 ? (
          <Empty title="No log so far.">
            <p>
              To try it with an invented one, take the two days of Alder Creek Pottery in the folder
              sample-logs, or look at <Link href="/">the other sites</Link>.
            </p>
          </Empty>
        ) : (
          <>
            <DataTable table={logsTable(logs, jobs, site.timezone, base)} />
            {before === undefined && next === null ? null : (
              <nav aria-label="Pages of the list">
                <p>
                  {before === undefined ? null : <Link href={base}>The latest logs</Link>}
                  {before === undefined || next === null ? null : " · "}
                  {next === null ? null : <Link href={`${base}?before=${next}`}>Earlier logs</Link>}
                </p>
              </nav>
            )}
          </>
        )}
      </Entry>
    </Sheet>
  );
}

/** The number of a log in the address; undefined for anything else. */
function logNumber(text: string | string[] | undefined): number | undefined {
  return typeof text === "string" && /^[1-9]\d{0,8}$/.test(text) ? Number(text) : undefined;
}

function logsTable(
  logs: readonly ListedLog[],
  jobs: readonly JobRow[],
  timezone: string,
  base: string,
): Table<ListedLog> {
  const count = (title: string, of: (log: ListedLog) => number | undefined) => ({
    title,
    numeric: true,
    text: (log: ListedLog) => formatNumber(of(log)),
    value: (log: ListedLog) => of(log) ?? null,
  });
  return {
    name: "logs",
    caption: "Logs of this site, the latest first",
    rows: logs,
    columns: [
      {
        title: "Log",
        text: (log) => log.name,
        value: (log) => log.name,
        href: (log) => `${base}/${log.logId}`,
      },
      { title: "State", text: (log) => stateWords(log, jobs), value: (log) => log.state },
      {
        title: "Received",
        text: (log) => formatInstant(log.receivedAtMs, timezone, false),
        value: (log) => log.receivedAtMs,
      },
      {
        title: "From",
        text: (log) => (log.firstMs === null ? "–" : localTime(log.firstMs, timezone).day),
        value: (log) => log.firstMs,
      },
      {
        title: "To",
        text: (log) => (log.lastMs === null ? "–" : localTime(log.lastMs, timezone).day),
        value: (log) => log.lastMs,
      },
      count("Taken", (log) => verdictCounts(log.verdict)?.taken),
      count("Rejected", (log) => verdictCounts(log.verdict)?.rejected),
      {
        title: "Size",
        numeric: true,
        text: (log) => formatBytes(log.sizeBytes),
        value: (log) => log.sizeBytes,
      },
    ],
  };
}

function stateWords(log: ListedLog, jobs: readonly JobRow[]): string {
  const job = jobs.find((one) => isOfLog(one, log.logId)) ?? null;
  if (isOpen(job)) return job.state === "waiting" ? "in line" : CHANGE_WORDS[actionOf(job)];
  if (log.state === "imported") return "imported";
  if (log.state === "withdrawn") return "taken back";
  return log.problem === null ? "waits for you" : "refused";
}

const CHANGE_WORDS = {
  import: "being imported",
  withdraw: "being taken back",
  restore: "being put in again",
  remap: "being read anew",
} as const;
