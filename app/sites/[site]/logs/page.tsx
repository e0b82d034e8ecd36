import Link from "next/link";
import { type JobRow, jobsOf } from "../../../../db/queries/jobs-of";
import { type LogRow, logsOf } from "../../../../db/queries/logs-of";
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

export default async function Logs({ params }: PageProps<"/sites/[site]/logs">) {
  const { site, monthHref } = await sitePage((await params).site);
  const logs = await read((database) => logsOf(database, site.siteId));
  const jobs = await read((database) => jobsOf(database, site.siteId));
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
        { label: "Kept", value: formatCount(logs.length, "log") },
        {
          label: "Imported",
          value: formatCount(logs.filter(({ state }) => state === "imported").length, "log"),
        },
        ...(logs.some(({ state }) => state === "withdrawn")
          ? [
              {
                label: "Taken back",
                value: formatCount(logs.filter(({ state }) => state === "withdrawn").length, "log"),
              },
            ]
          : []),
      ]}
    >
      <Freshness slug={site.slug} timezone={site.timezone} revision={site} />
      <Entry
        title={logs.length === 0 ? "Begin with the first log." : "Import a further log."}
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
          logs.length === 0 ? undefined : (
            <p>An import is taken back, and put in again, on the log’s own sheet: behind its name.</p>
          )
        }
      >
        {logs.length === 0 ? (
          <Empty title="No log so far.">
            <p>
              To try it with an invented one, take the two days of Alder Creek Pottery in the folder
              sample-logs, or look at <Link href="/">the other sites</Link>.
            </p>
          </Empty>
        ) : (
          <DataTable table={logsTable(logs, jobs, site.timezone, base)} />
        )}
      </Entry>
    </Sheet>
  );
}

function logsTable(
  logs: readonly LogRow[],
  jobs: readonly JobRow[],
  timezone: string,
  base: string,
): Table<LogRow> {
  const count = (title: string, of: (log: LogRow) => number | undefined) => ({
    title,
    numeric: true,
    text: (log: LogRow) => formatNumber(of(log)),
    value: (log: LogRow) => of(log) ?? null,
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

function stateWords(log: LogRow, jobs: readonly JobRow[]): string {
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
