import Link from "next/link";
import { rejectsOf } from "../../../../../db/queries/rejects-of";
import { ERROR_CATALOGUE, type ErrorCode } from "../../../../../src/ingest/error-catalogue";
import type { Refusal } from "../../../../../src/ingest/refusal";
import { sniffLog } from "../../../../../src/ingest/sniff-log";
import type { ColumnMapInput } from "../../../../../src/site/column-map-schema";
import { cancelImportAction, discardLogAction, importLogAction } from "../../../../_actions/import-log";
import { logHead } from "../../../../_data/log-head";
import { isOpen, type LogPage, logPage } from "../../../../_data/log-page";
import { takenVerdict } from "../../../../_data/log-verdict";
import { read } from "../../../../_data/read";
import { formatBytes } from "../../../../_format/count";
import { formatInstant, localTime } from "../../../../_format/local-time";
import { formatNumber } from "../../../../_format/number";
import { ActionForm } from "../../../../_parts/action-form";
import { DataTable } from "../../../../_parts/data-table";
import { Entry } from "../../../../_parts/entry";
import { Freshness } from "../../../../_parts/freshness";
import { ImportProgress } from "../../../../_parts/import-progress";
import { MapForm } from "../../../../_parts/map-form";
import { Message } from "../../../../_parts/message";
import { Sheet } from "../../../../_parts/sheet";
import { errorTitle, rejectsTable } from "../../../../_tables/rejects";
import styles from "./log.module.css";

export const metadata = { title: "One log" };

/** Rejects that a page carries at most; the file has all that are kept. */
const SHOWN_REJECTS = 100;

export default async function LogSheet({ params }: PageProps<"/sites/[site]/logs/[log]">) {
  const { site: slug, log: id } = await params;
  const page = await logPage(slug, id);
  const { site, monthHref, log, job } = page;
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="logs"
      title={log.name}
      fields={[
        { label: "Received", value: formatInstant(log.receivedAtMs, site.timezone, false) },
        { label: "Size", value: formatBytes(log.sizeBytes) },
        { label: "Logger", value: log.loggerName },
        { label: "Times", value: site.timezone },
        {
          label: "State",
          value: isOpen(job) ? "being imported" : log.state === "imported" ? "imported" : "not imported",
        },
      ]}
    >
      <Freshness slug={site.slug} timezone={site.timezone} revision={site} />
      {isOpen(job) ? (
        <Importing page={page} />
      ) : log.state === "imported" ? (
        <Imported page={page} />
      ) : (
        <Received page={page} />
      )}
      <p className="no-print">
        <Link href={`/sites/${site.slug}/logs`}>All logs</Link>
      </p>
    </Sheet>
  );
}

function Importing({ page: { site, log, job } }: { page: LogPage }) {
  const address = { slug: site.slug, logId: String(log.logId) };
  return (
    <Entry
      title="The import is under way."
      aside={<p>It goes on if you leave this page. Stopped or broken off, nothing of it is stored.</p>}
    >
      <ImportProgress
        href={`/sites/${site.slug}/logs/${log.logId}/progress`}
        first={{ state: job!.state, progress: job!.progress, cancelRequested: job!.cancelRequested }}
      />
      <form action={cancelImportAction.bind(null, address)}>
        <button type="submit">Cancel the import</button>
      </form>
    </Entry>
  );
}

async function Received({ page: { site, log, job } }: { page: LogPage }) {
  const address = { slug: site.slug, logId: String(log.logId) };
  const head = await read((database) => logHead(database, site.siteId, log));
  const given = log.columnMap === null ? null : (log.columnMap as ColumnMapInput);
  const sniffed = sniffLog(head, given, { name: log.name, strict: false });
  return (
    <>
      <LastAttempt problem={log.problem} job={job} />
      {sniffed.refusal !== null ? (
        <Entry title="This can’t be read as a log.">
          <Message kind="error" title={errorTitle(sniffed.refusal.code)}>
            <p>
              {sniffed.refusal.what} ({sniffed.refusal.where})
            </p>
            <p>{sniffed.refusal.hint}</p>
          </Message>
        </Entry>
      ) : (
        <Entry
          title="How its columns are read. Look it over, mend what is wrong, then import."
          aside={
            <>
              <p>
                Guessed from the names and figures of the log’s beginning. A wrong sign or unit changes every
                result, so look at those first.
              </p>
              <p>Nothing has been imported yet.</p>
            </>
          }
        >
          <ActionForm
            action={importLogAction.bind(null, address)}
            submit="Import this log"
            busy="Putting it in line …"
            label="Column map"
          >
            <MapForm sniffed={sniffed} />
          </ActionForm>
        </Entry>
      )}
      <Entry title="Or don’t import it.">
        <form action={discardLogAction.bind(null, address)}>
          <button type="submit">Throw this log away</button>
        </form>
      </Entry>
    </>
  );
}

function LastAttempt({ problem, job }: { problem: unknown; job: LogPage["job"] }) {
  if (job?.state === "cancelled") {
    return (
      <Message kind="caution" title="The import was cancelled.">
        <p>Nothing of it was stored.</p>
      </Message>
    );
  }
  if (job?.state === "failed" && job.error !== null) {
    return (
      <Message kind="error" title="The import failed; nothing of it was stored.">
        <p>{job.error.message}</p>
      </Message>
    );
  }
  if (problem === null) return null;
  const refusal = problem as Omit<Partial<Refusal>, "code"> & { code: string };
  return (
    <Message
      kind="error"
      title={
        refusal.code === "all-or-nothing" ? "Refused: some rows can’t be taken." : errorTitle(refusal.code)
      }
    >
      <p>
        {refusal.what === undefined
          ? "You asked for all or nothing; nothing was stored. Mend the map or the log, or import it without that."
          : `${refusal.what} (${refusal.where})\n${refusal.hint}`}
      </p>
    </Message>
  );
}

async function Imported({ page: { site, log } }: { page: LogPage }) {
  const verdict = takenVerdict(log.verdict);
  const { rejects, kept } = await read((database) =>
    rejectsOf(database, site.siteId, log.logId, { pageSize: SHOWN_REJECTS }),
  );
  const table = rejectsTable(rejects);
  const month = log.firstMs === null ? null : localTime(log.firstMs, site.timezone).month;
  return (
    <>
      <Entry
        title="What became of its rows."
        aside={
          month === null ? undefined : (
            <p>
              {formatInstant(log.firstMs, site.timezone)} to {formatInstant(log.lastMs, site.timezone)}
            </p>
          )
        }
      >
        {verdict === null ? null : <Counts counts={verdict.counts} />}
        {month === null ? null : (
          <p>
            <Link className="button primary" href={`/sites/${site.slug}/${month}`}>
              Look at the month
            </Link>
          </p>
        )}
      </Entry>
      {verdict === null || Object.keys(verdict.codes).length === 0 ? null : (
        <Entry title="What was met, and what mends it.">
          <dl className={styles.codes}>
            {(Object.entries(verdict.codes) as [ErrorCode, number][]).map(([code, count]) => (
              <div key={code}>
                <dt>
                  {errorTitle(code)}: {formatNumber(count)}
                </dt>
                <dd>
                  {ERROR_CATALOGUE[code]?.description} {ERROR_CATALOGUE[code]?.hint}
                </dd>
              </div>
            ))}
          </dl>
        </Entry>
      )}
      {kept === 0 ? null : (
        <Entry
          title="Where they stand in the log."
          aside={
            kept > rejects.length ? (
              <p>
                The first {rejects.length} of {formatNumber(kept)}; the file has them all.
              </p>
            ) : undefined
          }
        >
          <DataTable table={table} />
          <p>
            <a className="no-print" href={`/sites/${site.slug}/logs/${log.logId}/rejects.csv`} download>
              Download as CSV<span className="visually-hidden">: {table.caption}</span>
            </a>
          </p>
        </Entry>
      )}
      <Entry title="The map it was read by.">
        <details>
          <summary>columns.json</summary>
          <pre className={styles.json}>{JSON.stringify(log.columnMap, null, 2)}</pre>
        </details>
      </Entry>
    </>
  );
}

function Counts({ counts }: { counts: NonNullable<ReturnType<typeof takenVerdict>>["counts"] }) {
  const rows = [
    ["taken", "Taken", "in the samples"],
    ["duplicates", "Duplicates", "the same sample was there already"],
    ["conflicts", "Conflicts", "another sample was there at that time; the first one stands"],
    ["rejected", "Rejected", "could not be taken"],
    ["skipped", "Skipped", "blank lines, repeated headers, unit rows"],
    ["records", "Records of the log", "the sum of the five"],
  ] as const;
  return (
    <DataTable
      table={{
        name: "records",
        caption: "Records of the log by what became of them",
        rows,
        columns: [
          { title: "Records", text: ([, name]) => name, value: ([, name]) => name },
          {
            title: "Number",
            numeric: true,
            text: ([key]) => formatNumber(counts[key]),
            value: ([key]) => counts[key],
          },
          { title: "Meaning", text: ([, , meaning]) => meaning, value: ([, , meaning]) => meaning },
        ],
      }}
    />
  );
}
