import Link from "next/link";
import { personNotesOf } from "../../../../db/queries/person-notes-of";
import { ratingsAt, ratingsPeriods } from "../../../../src/analysis/ratings-in-force";
import type { ComparedFigure } from "../../../../src/report/compare-periods";
import { capital, clockOf } from "../../../../src/report/format";
import { causesOfBothHeight, causesOfBothOption } from "../../../_charts/causes-of-both";
import { BOTH_HEIGHT, loadDurationOfBothOption } from "../../../_charts/load-duration-of-both";
import { type Compared, comparedPeriods } from "../../../_data/compare-page";
import {
  CHANGE_DAYS,
  type CompareQuery,
  compareSearch,
  datesAround,
  parseCompareQuery,
} from "../../../_data/compare-query";
import { read } from "../../../_data/read";
import { type SitePage, sitePage } from "../../../_data/site-page";
import { keepUnits } from "../../../_format/keep-units";
import { formatInstant, formatMonth } from "../../../_format/local-time";
import { formatPercent } from "../../../_format/percent";
import { Behind } from "../../../_parts/behind";
import { CsvLink } from "../../../_parts/csv-link";
import { DataTable } from "../../../_parts/data-table";
import { Drawing, Key } from "../../../_parts/drawing";
import { Entry } from "../../../_parts/entry";
import { Choice, Field } from "../../../_parts/field";
import { Freshness } from "../../../_parts/freshness";
import { Empty, Message } from "../../../_parts/message";
import { NotesList } from "../../../_parts/person-notes";
import { Sheet } from "../../../_parts/sheet";
import { causesOfBoth } from "../../../_tables/causes-of-both";
import { loadDurationOfBoth } from "../../../_tables/load-duration-of-both";
import { periodComparison } from "../../../_tables/period-comparison";
import styles from "./compare.module.css";

export const metadata = { title: "Compare" };

export default async function Compare({ params, searchParams }: PageProps<"/sites/[site]/compare">) {
  const page = await sitePage((await params).site);
  const { site, months, monthHref } = page;
  const query = parseCompareQuery(await searchParams, months);
  const compared = query === null ? null : await comparedPeriods(page, query);
  const changes = (await read((database) => personNotesOf(database, site))).filter((note) => note.isChange);
  const base = `/sites/${site.slug}/compare`;
  const covered = (code: "before" | "after") =>
    formatPercent(compared?.figures.find((one) => one.code === "coverage")?.[code].value ?? 0, 1);
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="month"
      title={query === null || compared === null ? "Compare" : titleOf(query, compared)}
      lead={compared === null ? undefined : <p>{keepUnits(leadOf(compared))}</p>}
      fields={[
        { label: "Times", value: site.timezone },
        ...(compared === null
          ? []
          : [
              { label: `Covered, ${compared.names.before}`, value: covered("before") },
              { label: `Covered, ${compared.names.after}`, value: covered("after") },
            ]),
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
      <Choose base={base} query={query} months={months} changes={changes.map(({ date }) => date)} />
      {compared === null || query === null ? (
        <Empty title="There are no two months to compare.">
          <p>
            {months.length === 0
              ? "Nothing was imported so far."
              : `The log has ${formatMonth(months[0])} alone. What came before and after a day can be compared within it.`}
          </p>
        </Empty>
      ) : (
        <Found page={page} query={query} compared={compared} base={base} />
      )}
    </Sheet>
  );
}

function titleOf(query: CompareQuery, { names }: Compared): string {
  if (query.kind === "months") return `${names.before} beside ${names.after}`;
  const [year, month, day] = query.change.split("-").map(Number);
  return `Before and after ${day} ${formatMonth(`${year}-${String(month).padStart(2, "0")}`)}`;
}

/** What one wants to know first: did the transfers become fewer? */
function leadOf({ words }: Compared): string {
  return (words.find(({ code }) => code === "transfers") ?? words[0]).text;
}

function Choose({
  base,
  query,
  months,
  changes,
}: {
  base: string;
  query: CompareQuery | null;
  months: readonly string[];
  changes: readonly string[];
}) {
  const options = months.toReversed().map((month) => [month, formatMonth(month)] as const);
  const asked = query?.kind === "change" ? query : null;
  return (
    <div className={`${styles.choose} no-print`}>
      {months.length < 2 ? null : (
        <form action={base} className={styles.form} aria-label="Compare two months">
          <Choice
            name="a"
            label="This month"
            value={query?.kind === "months" ? query.a : undefined}
            options={options}
            open={query?.kind === "months" ? null : "Choose"}
          />
          <Choice
            name="b"
            label="beside this one"
            value={query?.kind === "months" ? query.b : undefined}
            options={options}
            open={query?.kind === "months" ? null : "Choose"}
          />
          <button type="submit">Compare the months</button>
        </form>
      )}
      <form action={base} className={styles.form} aria-label="Compare before and after a day">
        <Field
          name="change"
          label="Before and after the day"
          type="date"
          required
          defaultValue={asked?.change}
          key={asked?.change}
        />
        <Field
          name="days"
          label="Days on each side"
          type="number"
          min={1}
          max={CHANGE_DAYS.most}
          defaultValue={asked?.days ?? CHANGE_DAYS.unasked}
          key={`days ${asked?.days}`}
        />
        <button type="submit">Compare before and after</button>
      </form>
      {changes.length === 0 ? null : (
        <p className={styles.changes}>
          Marked as changes:{" "}
          {[...new Set(changes)].map((date, at) => (
            <span key={date}>
              {at === 0 ? "" : ", "}
              <Link href={`${base}?change=${date}`}>{date}</Link>
            </span>
          ))}
        </p>
      )}
    </div>
  );
}

function Found({
  page: { site },
  query,
  compared,
  base,
}: {
  page: SitePage;
  query: CompareQuery;
  compared: Compared;
  base: string;
}) {
  const { names, before, after, figures, words, notes } = compared;
  const table = periodComparison(figures, names);
  const csv = (name: string) => `${base}/tables/${name}.csv${compareSearch(query)}`;
  const comparable = words.length > 1;
  return (
    <>
      <Entry
        title="What differs, in words."
        aside={
          <p>
            What differs isn’t yet why it differs: weather, season and use are others too, whatever was
            changed.
          </p>
        }
      >
        <ul className={styles.words}>
          {words.map(({ code, text }) => (
            <li key={code}>{keepUnits(text)}</li>
          ))}
        </ul>
        <Equipment site={site} compared={compared} />
      </Entry>
      <Entry
        title="The figures side by side."
        aside={
          <p>
            What grows with time stands a day: of 24 hours in which the log has what it needs. In brackets the
            sum of the period.
            {query.kind === "change" ? " The day of the change itself belongs to neither." : ""}
          </p>
        }
      >
        <DataTable table={table} />
        <CsvLink table={table} href={csv("comparison")} />
      </Entry>
      {comparable ? <Causes compared={compared} query={query} slug={site.slug} csv={csv} /> : null}
      {before.figures.loadDuration === null && after.figures.loadDuration === null ? null : (
        <Duration site={site} compared={compared} csv={csv} />
      )}
      {notes.length === 0 ? null : (
        <Entry title="What was written down by hand in this time.">
          <NotesList slug={site.slug} timezone={site.timezone} notes={notes} />
        </Entry>
      )}
    </>
  );
}

/** Says so where the ratings aren't the same in both: loading is held against those of its time. */
function Equipment({ site, compared: { before, after } }: { site: SitePage["site"]; compared: Compared }) {
  const periods = ratingsPeriods(site.site.ratings, clockOf(site.timezone));
  const [was, is] = [ratingsAt(periods, before.fromMs), ratingsAt(periods, after.toMs - 1)];
  if (was === is) return null;
  return (
    <Message title="The equipment isn’t the same in both.">
      <p>
        Ratings of {was.from} stand against those of {is.from}; each loading is held against the ratings of
        its time.
      </p>
    </Message>
  );
}

type Shown = { compared: Compared; csv: (name: string) => string };

function Causes({
  compared: { figures, names },
  query,
  slug,
  csv,
}: Shown & { query: CompareQuery; slug: string }) {
  const table = causesOfBoth(figures, names, ({ code }) => listOf(query, slug, code));
  if (table.rows.length === 0) {
    return (
      <Entry title="Why the loads went over.">
        <Empty title="No transfer began in either of them, as far as the log covers them." />
      </Entry>
    );
  }
  return (
    <Entry
      title="Why the loads went over, in the one and in the other."
      aside={<p>A cause leads to its transfers of the later period.</p>}
    >
      <Drawing
        label={`Transfers a covered day by cause, ${names.before} and ${names.after}; the table under it has the figures.`}
        height={causesOfBothHeight(table.rows.length)}
        option={(narrow) => causesOfBothOption(table.rows.map(barsOf), names, narrow)}
        legend={
          <>
            <span className={styles.key}>
              <span className={styles.hollow} aria-hidden="true" />
              {capital(names.before)}
            </span>
            <Key mark="plain" colour="var(--ink)">
              {capital(names.after)}
            </Key>
          </>
        }
      />
      <DataTable table={table} />
      <CsvLink table={table} href={csv("transfers-by-cause")} />
    </Entry>
  );
}

function barsOf({ title, before, after }: ComparedFigure) {
  return { title, before: before.perDay, after: after.perDay };
}

/** The later period's transfers of a cause. */
function listOf(query: CompareQuery, slug: string, code: string): string {
  const cause = code.slice("cause-".length);
  const transfers = `/sites/${slug}/transfers?cause=${cause}`;
  if (query.kind === "months") return `${transfers}&month=${query.b}`;
  const { after } = datesAround(query.change, query.days);
  return `${transfers}&from=${after[0]}&to=${lastDay(after)}`;
}

function lastDay([, next]: readonly [string, string]): string {
  return new Date(Date.parse(`${next}T00:00:00Z`) - 86_400_000).toISOString().slice(0, 10);
}

function Duration({ site, compared: { before, after, names }, csv }: Shown & { site: SitePage["site"] }) {
  const limits = ratingsAt(ratingsPeriods(site.site.ratings, clockOf(site.timezone)), after.toMs - 1);
  const curves = [before.figures.loadDuration, after.figures.loadDuration] as const;
  return (
    <Entry
      title="How much load for how long, beside the rating."
      aside={
        <p>
          Load that was reached or exceeded for a part of the time logged, on inverter and on utility alike.
          The rating is that of the later period’s end.
        </p>
      }
    >
      <Drawing
        label={`Load-duration curves of each leg and both together, ${names.before} dotted and ${names.after} solid, with the rating drawn in; the table behind it has the figures.`}
        height={BOTH_HEIGHT.wide}
        narrowHeight={BOTH_HEIGHT.narrow}
        option={(narrow) => loadDurationOfBothOption(...curves, limits, narrow)}
        legend={
          <>
            <Key mark="dotted" colour="var(--ink)">
              {capital(names.before)}
            </Key>
            <Key mark="solid" colour="var(--ink)">
              {capital(names.after)}
            </Key>
          </>
        }
      />
      <Behind table={loadDurationOfBoth(...curves, names)} csvHref={csv("load-duration")} />
    </Entry>
  );
}
