import type { Metadata } from "next";
import Link from "next/link";
import { daySummary } from "../../../../../src/report/day-summary";
import { clockOf, formatYearDate } from "../../../../../src/report/format";
import { dayAxisInset, dayPanelsHeight, dayPanelsOption } from "../../../../_charts/day-panels";
import { dayPicture } from "../../../../_charts/day-picture";
import { SOURCE_LETTERS, SOURCE_ORDER, sourceWords } from "../../../../_charts/source-runs";
import { type DayPage, dayPage, wholeDay } from "../../../../_data/day-page";
import { clockInDay, dayHref } from "../../../../_format/day-address";
import { keepUnits } from "../../../../_format/keep-units";
import { formatInstant, formatMonth, localTime, WEEKDAYS, weekdayOf } from "../../../../_format/local-time";
import { formatPercent } from "../../../../_format/percent";
import { formatKw } from "../../../../_format/power";
import { Behind } from "../../../../_parts/behind";
import { CsvLink } from "../../../../_parts/csv-link";
import { DataTable } from "../../../../_parts/data-table";
import { DayMarks, DayMarksKey } from "../../../../_parts/day-marks";
import { DayZoom } from "../../../../_parts/day-zoom";
import { Drawing, Key } from "../../../../_parts/drawing";
import { Entry } from "../../../../_parts/entry";
import { Freshness } from "../../../../_parts/freshness";
import { Empty, Message } from "../../../../_parts/message";
import { type NoteChoice, PersonNotes } from "../../../../_parts/person-notes";
import { Sheet } from "../../../../_parts/sheet";
import { type DayEventRow, dayEvents, dayEventsTable } from "../../../../_tables/day-events";
import { dayValues } from "../../../../_tables/day-values";
import styles from "./day.module.css";

type Props = PageProps<"/sites/[site]/[month]/[day]">;

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  const { month, day } = await params;
  const date = `${month}-${day}`;
  return { title: Number.isNaN(Date.parse(`${date}T00:00:00Z`)) ? "Not found" : date };
}

export default async function Day({ params, searchParams }: Props) {
  const { site: slug, month, day: dd } = await params;
  const page = await dayPage(slug, month, dd, await searchParams);
  const { site, monthHref, day, clock, ratings, results } = page;
  const { peaks, sources } = await wholeDay(page);
  const [found] = results.days;
  const summary = daySummary(
    {
      ...results,
      day: found ?? null,
      imbalance: results.figures.imbalance?.intervals ?? null,
      peaks,
      sources,
    },
    site.site.ratings,
    clock,
  );
  const base = dayHref(site.slug, day.date);
  const events = dayEvents(site.slug, results, day, clock);
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref === null ? null : `/sites/${site.slug}/${month}`}
      here="month"
      title={`${WEEKDAYS[weekdayOf(day.date)]}, ${formatYearDate(day.fromMs, clock)}`}
      lead={<p>{keepUnits(summary.headline)}</p>}
      fields={[
        { label: "Times", value: `${site.timezone} (${zonesOf(page)})` },
        {
          label: "Covered by the log",
          value:
            found === undefined
              ? "nothing"
              : formatPercent(found.heldS / ((day.toMs - day.fromMs) / 1000), 1),
        },
        {
          label: "Rating",
          value: `${formatKw(ratings.legLimitW)} a leg, ${formatKw(ratings.totalLimitW)} in all`,
        },
        {
          label: "Results",
          value:
            results.revision === null
              ? "none yet"
              : `revision ${results.revision}, ${formatInstant(site.resultsComputedAtMs, site.timezone, false)}`,
        },
      ]}
    >
      <DayLinks page={page} />
      <Freshness
        slug={site.slug}
        timezone={site.timezone}
        revision={{
          samplesRevision: results.samplesRevision,
          resultsRevision: results.revision,
          resultsComputedAtMs: site.resultsComputedAtMs,
        }}
      />
      {found === undefined ? (
        <Empty title={`There are no samples of ${formatYearDate(day.fromMs, clock)}.`}>
          <p>
            <Link href={`/sites/${site.slug}/logs`}>Import a log</Link> that covers this day.
          </p>
        </Empty>
      ) : (
        <>
          <Entry title="What happened, in words." aside={<p>From what the log covers of the day.</p>}>
            <ol className={styles.words}>
              {summary.statements.map(({ code, text }) => (
                <li key={code}>{keepUnits(text)}</li>
              ))}
            </ol>
          </Entry>
          <Panels page={page} events={events} base={base} />
          <Events events={events} base={base} timezone={site.timezone} />
        </>
      )}
      <Entry title="Your own notes of this day and what happened on it.">
        <PersonNotes
          slug={site.slug}
          timezone={site.timezone}
          notes={page.notes}
          about={noteChoices(page)}
          back={base}
        />
      </Entry>
    </Sheet>
  );
}

/** The day itself, then its transfers and dropouts in the order of time. */
function noteChoices({ day, clock, results }: DayPage): [NoteChoice, ...NoteChoice[]] {
  const events = (["transfer", "dropout"] as const).flatMap((kind) =>
    (kind === "transfer" ? results.transfers : results.dropouts).map(({ atMs }) => ({
      about: { kind, atMs },
      text: `the ${kind} at ${clockInDay(atMs, day, clock)}`,
    })),
  );
  events.sort((a, b) => a.about.atMs - b.about.atMs);
  return [{ about: { kind: "day", date: day.date }, text: "the day" }, ...events];
}

/** The day's name of the zone; both where the clock changes. */
function zonesOf({ day, site }: DayPage): string {
  const names = [day.fromMs, day.toMs - 1].map((atMs) => localTime(atMs, site.timezone).zone);
  return [...new Set(names)].join(", then ");
}

function DayLinks({ page: { site, results, day } }: { page: DayPage }) {
  const { dateBefore, dateAfter } = results;
  const name = (date: string) => formatYearDate(Date.parse(`${date}T12:00:00Z`), clockOf("UTC"));
  const month = day.date.slice(0, 7);
  return (
    <nav className={`${styles.days} no-print`} aria-label="Days">
      {dateBefore === null ? (
        <span />
      ) : (
        <Link href={dayHref(site.slug, dateBefore)}>← {name(dateBefore)}</Link>
      )}
      <Link href={`/sites/${site.slug}/${month}`}>{formatMonth(month)}</Link>
      {dateAfter === null ? <span /> : <Link href={dayHref(site.slug, dateAfter)}>{name(dateAfter)} →</Link>}
    </nav>
  );
}

function Panels({
  page: { site, day, clock, ratings, query, stretch, results },
  events,
  base,
}: {
  page: DayPage;
  events: readonly DayEventRow[];
  base: string;
}) {
  const { fromMs, toMs, zoomed } = query.stretch;
  const [from, to] = [fromMs, toMs].map((atMs) => clockInDay(atMs, day, clock));
  const zoom = (
    <>
      {query.problem === null ? null : <Message kind="error">{query.problem}</Message>}
      <DayZoom slug={site.slug} day={day} stretch={query.stretch} clock={clock} />
    </>
  );
  if (stretch === null || stretch.timesMs.length === 0) {
    return (
      <Entry title="What the log shows." aside={zoom}>
        <Empty title={`There are no samples from ${from} to ${to}.`}>
          <p>
            {zoomed
              ? "A gap of the log lies here; the whole day shows what is around it."
              : "The log has none of this day."}
          </p>
        </Empty>
      </Entry>
    );
  }
  const drawn = dayPicture(stretch, {
    slug: site.slug,
    timezone: site.timezone,
    day,
    events: events.map(({ kind, fromMs, toMs, quantity, text, href }) => ({
      kind,
      fromMs,
      toMs,
      quantity,
      text,
      href,
    })),
    legLimitW: ratings.legLimitW,
    totalLimitW: ratings.totalLimitW,
    nearLimit: results.settings.nearLimitEnter,
  });
  const { lines } = drawn;
  const search = zoomed ? `?from=${encodeURIComponent(from)}&to=${encodeURIComponent(to)}` : "";
  const missing = [
    lines.l1W === undefined && lines.l2W === undefined ? "load of each leg" : null,
    lines.batteryA === undefined ? "battery current" : null,
    lines.socPct === undefined ? "state of charge" : null,
    lines.solarW === undefined ? "sun" : null,
    lines.gridW === undefined ? "grid" : null,
    drawn.sources === null ? "source" : null,
  ].filter((name) => name !== null);
  const kind =
    stretch.kind === "minutes"
      ? "Each minute’s mean as a line, least to greatest as the shade behind it."
      : "Every sample of the log.";
  return (
    <Entry
      title={
        lines.l1W === undefined && lines.l2W === undefined
          ? "The load of both legs against its rating."
          : "The legs about zero, L1 upwards and L2 downwards, each against its rating."
      }
      aside={
        <>
          {zoom}
          <p>
            {from} to {to}. {kind}
          </p>
          {missing.length === 0 ? null : <p>Not in this log here: {missing.join(", ")}.</p>}
        </>
      }
    >
      <Drawing
        label={`Load, battery, sun and grid from ${from} to ${to}; the table behind it has the figures.`}
        height={dayPanelsHeight(drawn, false)}
        narrowHeight={dayPanelsHeight(drawn, true)}
        option={(narrow) => dayPanelsOption(drawn, narrow)}
        live={{ picture: "day", data: drawn }}
        over={
          events.some((event) => event.fromMs >= fromMs && event.fromMs < toMs)
            ? {
                inset: dayAxisInset,
                content: (narrow) => (
                  <DayMarks
                    slug={site.slug}
                    day={day}
                    stretch={query.stretch}
                    events={events}
                    clock={clock}
                    timezone={site.timezone}
                    places={narrow ? 9 : 18}
                  />
                ),
              }
            : undefined
        }
        legend={
          <>
            {lines.l1W === undefined ? null : (
              <Key mark="solid" colour="var(--l1)">
                L1, upwards
              </Key>
            )}
            {lines.l2W === undefined ? null : (
              <Key mark="dashed" colour="var(--l2)">
                L2, downwards
              </Key>
            )}
            {lines.loadW === undefined ? null : (
              <Key mark="solid" colour="var(--ink)">
                Load of both legs
              </Key>
            )}
            {lines.solarW === undefined ? null : (
              <Key mark="solid" colour="var(--solar)">
                Sun
              </Key>
            )}
            {lines.gridW === undefined ? null : (
              <Key mark="dashed" colour="var(--grid)">
                Grid
              </Key>
            )}
            <Key mark="plain" colour="var(--loading-4)">
              {formatPercent(results.settings.nearLimitEnter)} of the rating and more
            </Key>
            <DayMarksKey events={events} />
            {drawn.sources === null ? null : (
              <SourceKey sources={drawn.sources.map(({ source }) => source)} />
            )}
          </>
        }
      />
      {stretch.cut ? <p>The log has more samples here than are drawn; the picture ends early.</p> : null}
      <Behind
        table={dayValues(stretch, site.timezone)}
        csvHref={`${base}/tables/values.csv${search}`}
        id="values"
        mostRows={60}
      />
    </Entry>
  );
}

/** The letters of the band on top, of the states that are in it. */
function SourceKey({ sources }: { sources: readonly (typeof SOURCE_ORDER)[number][] }) {
  return (
    <span>
      Band:{" "}
      {SOURCE_ORDER.filter((source) => sources.includes(source))
        .map((source) => `${SOURCE_LETTERS[source]} ${sourceWords(source).toLowerCase()}`)
        .join(", ")}
    </span>
  );
}

function Events({
  events,
  base,
  timezone,
}: {
  events: readonly DayEventRow[];
  base: string;
  timezone: string;
}) {
  const table = dayEventsTable(events, timezone);
  return (
    <Entry
      title="Every event of the day, with the way to it."
      aside={<p>The time leads to the day’s part around it, a transfer to its own sheet.</p>}
    >
      {events.length === 0 ? (
        <Empty title="No transfer, no dropout, nothing near its limit in what was logged." />
      ) : (
        <>
          <DataTable table={table} />
          <CsvLink table={table} href={`${base}/tables/events.csv`} />
        </>
      )}
    </Entry>
  );
}
