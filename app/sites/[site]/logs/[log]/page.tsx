import Link from "next/link";
import { rejectsOf } from "../../../../../db/queries/rejects-of";
import { ERROR_CATALOGUE, type ErrorCode } from "../../../../../src/ingest/error-catalogue";
import { recognitionText } from "../../../../../src/ingest/recognition-text";
import type { Refusal } from "../../../../../src/ingest/refusal";
import type { ColumnMapInput } from "../../../../../src/site/column-map-schema";
import { restoreLogAction, withdrawLogAction } from "../../../../_actions/change-log";
import { cancelImportAction, discardLogAction, importLogAction } from "../../../../_actions/import-log";
import { logMap } from "../../../../_data/log-map";
import { actionOf, isOpen, type LogPage, logPage } from "../../../../_data/log-page";
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
          value: isOpen(job) ? CHANGES[actionOf(job)].state : STATES[log.state],
        },
      ]}
    >
      <Freshness slug={site.slug} timezone={site.timezone} revision={site} />
      {isOpen(job) ? (
        <UnderWay page={page} />
      ) : log.state === "imported" ? (
        <Imported page={page} />
      ) : log.state === "withdrawn" ? (
        <Withdrawn page={page} />
      ) : (
        <Received page={page} />
      )}
      <p className="no-print">
        <Link href={`/sites/${site.slug}/logs`}>All logs</Link>
      </p>
    </Sheet>
  );
}

const STATES = {
  received: "not imported",
  refused: "not imported",
  imported: "imported",
  withdrawn: "taken back",
} as const;

/** What a job does with its log, in the words of the sheet. */
const CHANGES = {
  import: {
    state: "being imported",
    title: "The import is under way.",
    doing: "Being imported.",
    cancel: "Cancel the import",
    failed: "The import failed; nothing of it was stored.",
    cancelled: "The import was cancelled.",
  },
  withdraw: {
    state: "being taken back",
    title: "The import is being taken back.",
    doing: "Being taken back.",
    cancel: "Stop and leave it in",
    failed: "It could not be taken back; nothing was changed.",
    cancelled: "Stopped: the log is still in.",
  },
  restore: {
    state: "being put in again",
    title: "The log is being put in again.",
    doing: "Being put in again.",
    cancel: "Stop and leave it out",
    failed: "It could not be put in again; nothing was changed.",
    cancelled: "Stopped: the log is still out.",
  },
  remap: {
    state: "being read anew",
    title: "The log is being read by another map.",
    doing: "Being read anew.",
    cancel: "Stop and keep the map it has",
    failed: "It could not be read so; nothing was changed.",
    cancelled: "Stopped: the log is read as before.",
  },
} as const;

function UnderWay({ page: { site, log, job } }: { page: LogPage }) {
  const address = { slug: site.slug, logId: String(log.logId) };
  const words = CHANGES[actionOf(job!)];
  return (
    <Entry
      title={words.title}
      aside={<p>It goes on if you leave this page. Stopped or broken off, nothing of it is stored.</p>}
    >
      <ImportProgress
        href={`/sites/${site.slug}/logs/${log.logId}/progress`}
        first={{ state: job!.state, progress: job!.progress, cancelRequested: job!.cancelRequested }}
        doing={words.doing}
      />
      <form action={cancelImportAction.bind(null, address)}>
        <button type="submit">{words.cancel}</button>
      </form>
    </Entry>
  );
}

/** What became of the last change of a log that is in the fold, or was; nothing where it went well. */
function LastChange({ job }: { job: LogPage["job"] }) {
  if (job === null || job.kind === "import") return null;
  const words = CHANGES[actionOf(job)];
  if (job.state === "cancelled") return <Message kind="caution" title={words.cancelled} />;
  if (job.state !== "failed" || job.error === null) return null;
  return (
    <Message kind="error" title={words.failed}>
      <p>{job.error.message}</p>
    </Message>
  );
}

function Withdrawn({ page: { site, log, job } }: { page: LogPage }) {
  const address = { slug: site.slug, logId: String(log.logId) };
  return (
    <>
      <LastChange job={job} />
      <Entry
        title="This import was taken back: none of its samples counts in a result."
        aside={
          log.firstMs === null ? undefined : (
            <p>
              It goes from {formatInstant(log.firstMs, site.timezone)} to{" "}
              {formatInstant(log.lastMs, site.timezone)}.
            </p>
          )
        }
      >
        <p>
          The file is kept as it came, with its map and its place among the other logs. Put in again, the
          results are as if it had never been out.
        </p>
        <form action={restoreLogAction.bind(null, address)}>
          <button type="submit" className="primary">
            Put it in again
          </button>
        </form>
      </Entry>
      <TheMap columnMap={log.columnMap} base={`/sites/${site.slug}/logs/${log.logId}`} canChange={false} />
    </>
  );
}

function TheMap({ columnMap, base, canChange }: { columnMap: unknown; base: string; canChange: boolean }) {
  return (
    <Entry title="The map it was read by.">
      <p className="no-print">
        {canChange ? (
          <>
            <Link href={`${base}/map`}>Mend it and read the log again</Link>,{" "}
          </>
        ) : null}
        <a href={`${base}/columns.json`} download>
          Download columns.json
        </a>
      </p>
      <details>
        <summary>columns.json</summary>
        <pre className={styles.json}>{JSON.stringify(columnMap, null, 2)}</pre>
      </details>
    </Entry>
  );
}

async function Received({ page: { site, log, job } }: { page: LogPage }) {
  const address = { slug: site.slug, logId: String(log.logId) };
  const given = log.columnMap === null ? null : (log.columnMap as ColumnMapInput);
  const { sniffed, recognition } = await read((database) => logMap(database, site.siteId, log, given));
  return (
    <>
      <LastAttempt problem={log.problem} job={job} />
      {recognition === null || sniffed.refusal !== null ? null : (
        <Message
          kind={recognition.kind === "same" || recognition.kind === "same-names" ? "note" : "caution"}
          title={RECOGNISED[recognition.kind]}
        >
          <p>
            {recognitionText(
              recognition,
              formatInstant(recognition.createdAtMs, site.timezone, false),
              log.loggerName,
            )}
          </p>
        </Message>
      )}
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

const RECOGNISED = {
  same: "The log’s shape is known.",
  "same-names": "The log’s columns are known.",
  changed: "The log’s shape has changed.",
  other: "The log is of another shape than those before it.",
} as const;

function LastAttempt({ problem, job }: { problem: unknown; job: LogPage["job"] }) {
  if (job?.state === "cancelled") {
    return (
      <Message kind="caution" title={CHANGES.import.cancelled}>
        <p>Nothing of it was stored.</p>
      </Message>
    );
  }
  if (job?.state === "failed" && job.error !== null) {
    return (
      <Message kind="error" title={CHANGES.import.failed}>
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

async function Imported({ page: { site, log, job } }: { page: LogPage }) {
  const verdict = takenVerdict(log.verdict);
  const { rejects, kept } = await read((database) =>
    rejectsOf(database, site.siteId, log.logId, { pageSize: SHOWN_REJECTS }),
  );
  const table = rejectsTable(rejects);
  const month = log.firstMs === null ? null : localTime(log.firstMs, site.timezone).month;
  return (
    <>
      <LastChange job={job} />
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
        {log.replaces ? (
          <p>
            It takes the place of what earlier logs of its logger have
            {log.replacesFromMs === null
              ? " from its first sample"
              : ` from ${formatInstant(log.replacesFromMs, site.timezone)}`}
            {log.replacesToMs === null
              ? " to its last."
              : ` to ${formatInstant(log.replacesToMs, site.timezone)}.`}
          </p>
        ) : null}
        {verdict === null || verdict.counts.conflicts === 0 ? null : (
          <p className="no-print">
            <a href={`/sites/${site.slug}/logs/${log.logId}/conflicts.csv`} download>
              Download every conflict as CSV
            </a>
            : what stands, what came, and from which log.
          </p>
        )}
        {month === null ? null : (
          <p>
            <Link className="button primary" href={`/sites/${site.slug}/${month}`}>
              Look at the month
            </Link>{" "}
            <Link href={`/sites/${site.slug}/logs/${log.logId}/quality`}>Whether it can be trusted</Link>
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
      <TheMap columnMap={log.columnMap} base={`/sites/${site.slug}/logs/${log.logId}`} canChange />
      <Entry title="Or take this import back.">
        <details>
          <summary>Take it back …</summary>
          <div className={styles.confirm}>
            <p>
              Its samples leave the results, which are then as if it had never come in; samples of other logs
              that it had hidden come back. The file is kept, and can be put in again.
            </p>
            <form action={withdrawLogAction.bind(null, { slug: site.slug, logId: String(log.logId) })}>
              <button type="submit">Yes, take this import back</button>
            </form>
          </div>
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
