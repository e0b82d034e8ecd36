import Link from "next/link";
import { transfersOf } from "../../../../db/queries/transfers-of";
import type { Transfer } from "../../../../src/analysis/results";
import { TRANSFER_CAUSES } from "../../../../src/analysis/series";
import { certaintyName } from "../../../../src/report/cause-words";
import { clockOf } from "../../../../src/report/format";
import { transfersHeadline } from "../../../../src/report/transfers-headline";
import { read } from "../../../_data/read";
import { sitePage } from "../../../_data/site-page";
import {
  CERTAINTIES,
  LEGS,
  narrowed,
  parseTransferQuery,
  TAGS,
  type TransferQuery,
  transferFilters,
  transferSearch,
} from "../../../_data/transfer-query";
import { formatCount } from "../../../_format/count";
import { formatInstant, formatMonth, WEEKDAYS } from "../../../_format/local-time";
import { transferId } from "../../../_format/transfer-id";
import { causeTitle, QUANTITY_WORDS, TAG_WORDS } from "../../../_format/words";
import { DataTable } from "../../../_parts/data-table";
import { Entry } from "../../../_parts/entry";
import { Choice, Field } from "../../../_parts/field";
import { Freshness } from "../../../_parts/freshness";
import { Empty } from "../../../_parts/message";
import { Sheet } from "../../../_parts/sheet";
import { WeekPicture } from "../../../_parts/week-picture";
import { transfersTable } from "../../../_tables/transfers";
import { transfersByCause } from "../../../_tables/transfers-by-cause";
import { transfersByHourOfWeek } from "../../../_tables/transfers-by-hour-of-week";
import styles from "./transfers.module.css";

export const metadata = { title: "Transfers" };

/** Rows that a page carries at most; the file has them all. */
const MAX_ROWS = 500;

export default async function Transfers({ params, searchParams }: PageProps<"/sites/[site]/transfers">) {
  const { site, months, monthHref } = await sitePage((await params).site);
  const query = parseTransferQuery(await searchParams, months);
  const found = await read((database) =>
    transfersOf(database, site.siteId, transferFilters(query, site.timezone)),
  );
  const transfers = narrowed(found, query, site.timezone);
  const base = `/sites/${site.slug}/transfers`;
  const search = transferSearch(query);
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="transfers"
      title="Transfers to the utility"
      lead={
        transfers.length === 0 ? undefined : <p>{transfersHeadline(transfers, clockOf(site.timezone))}</p>
      }
      fields={[
        { label: "Times", value: site.timezone },
        {
          label: "Period",
          value:
            query.month !== undefined
              ? formatMonth(query.month)
              : months.length === 0
                ? "nothing logged yet"
                : months.length === 1
                  ? formatMonth(months[0])
                  : `${formatMonth(months[0])} to ${formatMonth(months[months.length - 1])}`,
        },
        { label: "Shown", value: formatCount(transfers.length, "transfer") },
        {
          label: "Results",
          value:
            site.resultsRevision === null
              ? "none yet"
              : `revision ${site.resultsRevision}, ${formatInstant(site.resultsComputedAtMs, site.timezone, false)}`,
        },
      ]}
    >
      <Freshness slug={site.slug} timezone={site.timezone} revision={site} />
      <Filter base={base} query={query} months={months} />
      {transfers.length === 0 ? (
        <Empty title={search === "" ? "No transfers so far." : "No transfer is like that."}>
          <p>
            {search === "" ? (
              months.length === 0 ? (
                <Link href={`/sites/${site.slug}/logs`}>Import the first log</Link>
              ) : (
                "The loads stayed on the inverter wherever the log covers."
              )
            ) : (
              <Link href={base}>Show all of them</Link>
            )}
          </p>
        </Empty>
      ) : (
        <Found transfers={transfers} timezone={site.timezone} base={base} query={query} />
      )}
    </Sheet>
  );
}

function Found({
  transfers,
  timezone,
  base,
  query,
}: {
  transfers: readonly Transfer[];
  timezone: string;
  base: string;
  query: TransferQuery;
}) {
  const cut = transfers.length > MAX_ROWS;
  const table = transfersTable(
    cut ? transfers.slice(-MAX_ROWS) : transfers,
    timezone,
    ({ atMs }) => `${base}/${transferId(atMs)}`,
  );
  const csv = `${base}/transfers.csv${transferSearch(query)}`;
  return (
    <>
      <Entry title="When in the week they happen.">
        <WeekPicture
          table={transfersByHourOfWeek(transfers, timezone)}
          hrefOf={(weekday, hour) =>
            `${base}${transferSearch({ ...query, weekday: String(weekday), hour: String(hour) })}`
          }
        />
        <p className={styles.file}>
          The figure is the number of transfers that began in that hour.{" "}
          <a
            className="no-print"
            href={`${base}/transfers.csv?by=hour-of-week${transferSearch(query).replace("?", "&")}`}
            download
          >
            Download as CSV<span className="visually-hidden">: transfers by weekday and hour</span>
          </a>
        </p>
      </Entry>
      <Entry title="Why they happen.">
        <DataTable
          table={transfersByCause(transfers, (cause) => `${base}${transferSearch({ ...query, cause })}`)}
          bars={{ of: (row) => row.transfers, title: "transfers" }}
        />
      </Entry>
      <Entry
        title="Each of them, with what it stands on behind its time."
        aside={
          cut ? (
            <p>
              The latest {MAX_ROWS} stand here; the file has all {transfers.length}.
            </p>
          ) : undefined
        }
      >
        <DataTable table={table} />
        <p className={styles.file}>
          <a className="no-print" href={csv} download>
            Download as CSV<span className="visually-hidden">: {table.caption}</span>
          </a>
        </p>
      </Entry>
    </>
  );
}

function Filter({ base, query, months }: { base: string; query: TransferQuery; months: readonly string[] }) {
  return (
    <form action={base} className={`${styles.filter} no-print`} aria-label="Narrow the transfers">
      <Choice
        name="month"
        label="Month"
        value={query.month}
        options={months.toReversed().map((month) => [month, formatMonth(month)])}
      />
      <Choice
        name="cause"
        label="Cause"
        value={query.cause}
        options={TRANSFER_CAUSES.map((cause) => [cause, causeTitle(cause)])}
      />
      <Choice
        name="leg"
        label="Fullest"
        value={query.leg}
        options={LEGS.map((leg) => [leg, QUANTITY_WORDS[leg]])}
      />
      <Choice
        name="tag"
        label="Tag"
        value={query.tag}
        options={TAGS.map((tag) => [tag, tag === "avoidable" ? "Avoidable" : TAG_WORDS[tag]])}
      />
      <div className={styles.submit}>
        <button type="submit">Show these</button>
        {transferSearch(query) === "" ? null : <Link href={base}>Show all of them</Link>}
      </div>
      <details
        className={styles.more}
        open={[query.certainty, query.hour, query.weekday, query.from, query.to].some(
          (one) => one !== undefined,
        )}
      >
        <summary>By time and certainty</summary>
        <div className={styles.fields}>
          <Choice
            name="hour"
            label="Began in the hour"
            value={query.hour}
            options={Array.from({ length: 24 }, (_, hour) => [
              String(hour),
              `${String(hour).padStart(2, "0")}:00 to ${String(hour).padStart(2, "0")}:59`,
            ])}
          />
          <Choice
            name="weekday"
            label="Weekday"
            value={query.weekday}
            options={WEEKDAYS.map((name, weekday) => [String(weekday), name])}
          />
          <Field
            name="from"
            label="From the day"
            type="date"
            defaultValue={query.from}
            key={`from ${query.from}`}
          />
          <Field name="to" label="To the day" type="date" defaultValue={query.to} key={`to ${query.to}`} />
          <Choice
            name="certainty"
            label="Certainty"
            value={query.certainty}
            options={CERTAINTIES.map((certainty) => [certainty, certaintyName(certainty)])}
          />
        </div>
      </details>
    </form>
  );
}
