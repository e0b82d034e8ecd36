import type { QualityPage } from "../_data/quality-page";
import { keepUnits } from "../_format/keep-units";
import { balanceByDay } from "../_tables/balance-by-day";
import { coverageByDayTable } from "../_tables/coverage-by-day";
import { gapsTable } from "../_tables/gaps";
import { qualityFindingsTable } from "../_tables/quality-findings";
import { Behind } from "./behind";
import { CoverageCalendar } from "./coverage-calendar";
import { CsvLink } from "./csv-link";
import { Entry } from "./entry";
import { Message } from "./message";
import styles from "./quality-entries.module.css";

/**
 * What a quality sheet says under its head: what is doubtful, what is covered, gaps, the meters.
 *
 * @param tables base of the addresses of the tables' files
 */
export function QualityEntries({ page, tables }: { page: QualityPage; tables: string }) {
  const { quality, findings, dates, goesOn, site } = page;
  const csv = (name: string) => tables.replace("NAME", encodeURIComponent(name));
  const gaps = gapsTable(quality.gaps, site.timezone);
  const balance = balanceByDay(quality.balance);
  return (
    <>
      {quality.pending ? (
        <Message kind="note" title="The logs are being looked through.">
          <p>What stands here is of before the last change; load the page again in a moment.</p>
        </Message>
      ) : null}
      <Entry
        title={
          findings.length === 0 ? "Nothing in it looks wrong." : "What is doubtful, and what it touches."
        }
        aside={
          <p>
            Looked for: channels that hang while others move, values and changes that can’t be, meters that
            disagree, clocks that drift or were set. What isn’t found is not proven sound.
          </p>
        }
      >
        {findings.length === 0 ? (
          <p>No channel hung, no value is impossible, the meters agree, and no clock shows a fault.</p>
        ) : (
          <>
            <ul className={styles.findings}>
              {findings.map(({ sentence, touches, logger }) => (
                <li key={`${logger} ${sentence}`}>
                  {keepUnits(sentence)}
                  <span className={styles.touches}>
                    {quality.loggers.length > 1 ? `Logger ${logger}. ` : ""}Touches: {touches}.
                  </span>
                </li>
              ))}
            </ul>
            <CsvLink table={qualityFindingsTable(findings)} href={csv("doubtful")} />
          </>
        )}
      </Entry>
      {quality.loggers.map(({ name, channels, coverage }) => {
        const table = coverageByDayTable(
          name,
          channels,
          dates.map((date) => ({ date, coverage: coverage.get(date) ?? {} })),
        );
        return (
          <Entry
            key={name}
            title={
              quality.loggers.length > 1
                ? `What each day has of each channel, logger ${name}.`
                : "What each day has of each channel."
            }
            aside={
              <p>
                A box is filled as far as its day has values; what is hatched has none.
                {goesOn ? ` The first ${dates.length} days are drawn; the months have the others.` : ""}
              </p>
            }
          >
            <CoverageCalendar caption={table.caption} channels={channels} dates={dates} coverage={coverage} />
            <Behind table={table} csvHref={csv(`coverage-by-day-${name}`)} />
          </Entry>
        );
      })}
      <Entry
        title={quality.gaps.length === 0 ? "There is no gap." : "Where samples are missing altogether."}
        aside={
          <p>
            A gap is a hole longer than three intervals of the log. Durations, energies and means leave it
            out; a transfer in it has the cause “in a gap”.
          </p>
        }
      >
        {quality.gaps.length === 0 ? (
          <p>Samples follow one another without a hole.</p>
        ) : (
          <Behind table={gaps} csvHref={csv("gaps")} open />
        )}
      </Entry>
      <Entry
        title="Whether the meters agree, day by day."
        aside={
          <p>
            Sun, battery and grid supply; load, charging and export use. What is left over is losses as long
            as it is small, and a wrong meter, column or sign where it isn’t.
          </p>
        }
      >
        {quality.balance.length === 0 ? (
          <p>The log shows no supply in this period: there are no meters to hold against one another.</p>
        ) : (
          <Behind table={balance} csvHref={csv("balance-by-day")} open />
        )}
      </Entry>
    </>
  );
}
