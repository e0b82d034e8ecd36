import { NUMERIC_CHANNELS } from "../../src/analysis/series";
import type { SniffedLog } from "../../src/ingest/sniff-log";
import { channelName } from "../../src/report/channel-name";
import { ENERGY_UNITS, UNITS } from "../../src/site/column-map-schema";
import { columnRefs, mappedColumns, mapTexts, withOpenChoices } from "../_data/column-map-form";
import { hasHeader } from "../_data/sniffed-header";
import { formatPercent } from "../_format/percent";
import { Choice, Field } from "./field";
import styles from "./map-form.module.css";
import { Message } from "./message";

const WAYS = [
  ["discharge", "discharging"],
  ["charge", "charging"],
  ["import", "importing"],
  ["export", "exporting"],
  ["generation", "generating"],
  ["consumption", "consuming"],
  ["plus", "one way: discharging or importing"],
  ["minus", "one way: charging or exporting"],
] as const;

/** Samples of a column that are shown. */
const SAMPLES = 3;

/**
 * The fields of a column map: a row a column of the log, with its first values, what it is taken for and how
 * sure that is; then the form of the times and the words of state columns. `remap`: of a log that is imported already.
 */
export function MapForm({ sniffed, remap = false }: { sniffed: SniffedLog; remap?: boolean }) {
  const refs = columnRefs(sniffed.names, hasHeader(sniffed));
  const inferred = mappedColumns(sniffed.draft, refs);
  const { columns, texts } = withOpenChoices(
    inferred,
    mapTexts(sniffed.draft),
    sniffed.ask.map(({ choice }) => choice),
  );
  const asked = new Set(
    sniffed.ask
      .filter(({ choice }) => choice.startsWith("channels."))
      .map(({ choice }) => choice.split(".")[1]),
  );
  const isAsked = (wanted: string) => sniffed.ask.some(({ choice }) => choice === wanted);
  const confidence = (as: string) =>
    sniffed.evidence.find(({ choice }) => choice === (as === "time" ? "time.column" : `channels.${as}`));
  return (
    <>
      {sniffed.ask.length === 0 ? null : (
        <Message kind="caution" title="This the log doesn’t settle. Choose it below before you import.">
          <ul className={styles.asks}>
            {sniffed.ask.map(({ choice, why, options }) => (
              <li key={choice}>
                {why} <span className={styles.choice}>({choice})</span>
                {options.length === 0 || options.length > 8 ? null : ` Possible: ${options.join(", ")}.`}
              </li>
            ))}
          </ul>
        </Message>
      )}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached without a mouse */}
      <section className={styles.scroll} aria-label="Columns of the log" tabIndex={0}>
        <table className={styles.map}>
          <caption className="visually-hidden">Columns of the log and what each is taken for</caption>
          <thead>
            <tr>
              <th scope="col">Column</th>
              <th scope="col">First values</th>
              <th scope="col">Taken for</th>
              <th scope="col">Unit</th>
              <th scope="col">Counts up when</th>
              <th scope="col">How sure</th>
            </tr>
          </thead>
          <tbody>
            {columns.map(({ as, unit, way }, at) => {
              const name = sniffed.names[at] || `column ${at + 1}`;
              const was = inferred[at].as;
              const found = was === "" ? undefined : confidence(was);
              const isOpen = was !== "" && asked.has(was);
              return (
                // biome-ignore lint/suspicious/noArrayIndexKey: the index is the column
                <tr key={at} className={as === "" ? styles.unused : undefined}>
                  <th scope="row">{name}</th>
                  <td className={styles.samples}>
                    {sniffed.preview
                      .slice(0, SAMPLES)
                      .map((row) => row[at] ?? "")
                      .join("\n")}
                  </td>
                  <td>
                    <select name={`as-${at}`} defaultValue={as} aria-label={`${name} is taken for`}>
                      {as === "?" ? <option value="?">choose: perhaps {was}</option> : null}
                      <option value="">nothing</option>
                      <option value="time">time</option>
                      {[...NUMERIC_CHANNELS, "source", "faultCode"].map((channel) => (
                        <option key={channel} value={channel}>
                          {channelWords(channel)}
                        </option>
                      ))}
                    </select>
                  </td>
                  <td>
                    <select name={`unit-${at}`} defaultValue={unit} aria-label={`Unit of ${name}`}>
                      <option value="">–</option>
                      {UNITS.map((one) => (
                        <option key={one}>{one}</option>
                      ))}
                      {ENERGY_UNITS.map((one) => (
                        <option key={one} value={`${one} interval`}>
                          {one} in each interval
                        </option>
                      ))}
                    </select>
                  </td>
                  <td>
                    <select name={`way-${at}`} defaultValue={way} aria-label={`${name} counts up when`}>
                      <option value="">–</option>
                      {WAYS.map(([value, words]) => (
                        <option key={value} value={value}>
                          {words}
                        </option>
                      ))}
                    </select>
                  </td>
                  <td className={isOpen ? styles.open : undefined}>
                    {was === ""
                      ? "not used"
                      : isOpen
                        ? "to be settled"
                        : found === undefined
                          ? "–"
                          : `${found.from}, ${formatPercent(found.confidence)}`}
                  </td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </section>
      <div className={styles.fields}>
        <Field
          name="format"
          label="Form of the times"
          defaultValue={texts.format}
          autoComplete="off"
          spellCheck={false}
          hint="auto, epoch-s, epoch-ms, or a pattern as dd/MM/yyyy HH:mm:ss."
        />
        <Field
          name="zone"
          label="Zone of the times"
          defaultValue={texts.zone}
          autoComplete="off"
          spellCheck={false}
          hint="site, UTC, a zone as America/Denver, or an offset as -07:00. One in the text itself wins."
        />
        <Choice
          name="stamps"
          label="A time stands at the"
          value={texts.stamps}
          open={texts.stamps === "" ? "choose" : null}
          options={[
            ["start", "start of its interval"],
            ["end", "end of its interval"],
          ]}
        />
        {isAsked("time.date") || texts.date !== "" ? (
          <Field
            name="date"
            type="date"
            label="Day of the first row"
            defaultValue={texts.date}
            hint="The log has times of day only; the days go on from there."
          />
        ) : null}
        {isAsked("text.decimalMark") || texts.decimalMark !== "" ? (
          <Choice
            name="decimalMark"
            label="Decimals stand after a"
            value={texts.decimalMark}
            open={texts.decimalMark === "" ? "choose" : null}
            options={[
              [".", "point"],
              [",", "comma"],
            ]}
          />
        ) : null}
        <Field
          name="missing"
          label="Words for a missing value"
          defaultValue={texts.missing}
          autoComplete="off"
          spellCheck={false}
          hint="Separated by commas. An empty cell is always missing."
        />
      </div>
      <div className={styles.fields}>
        <Words
          name="sourceWords"
          label="Words of the source column"
          value={texts.sourceWords}
          hint="One a line: word = inverter, utility, generator, none or unknown."
        />
        <div className={styles.words}>
          <Field
            name="noFault"
            label="Words for no fault"
            defaultValue={texts.noFault}
            autoComplete="off"
            spellCheck={false}
            hint="Separated by commas; left empty: 0, OK, none, --."
          />
          <Words
            name="faultWords"
            label="Fault codes whose meaning you know"
            value={texts.faultWords}
            hint="One a line: code = overload, low-battery, fault …"
          />
        </div>
      </div>
      <details>
        <summary>What each choice stands on</summary>
        <ul className={styles.evidence}>
          {sniffed.evidence.map(({ choice, value, confidence: sure, figures, from }) => (
            <li key={choice}>
              <b>{choice}</b>: {value || "–"}
              <span className={styles.choice}>
                {" "}
                {from === "given" ? "given" : `guessed, ${formatPercent(sure)}`}
                {Object.entries(figures).map(([name, figure]) => `; ${name} ${figure}`)}
              </span>
            </li>
          ))}
        </ul>
      </details>
      <details>
        <summary>Give a columns.json instead</summary>
        <label className={styles.check}>
          <input type="checkbox" name="useJson" /> Read the log by this text and not by the choices above
        </label>
        <label htmlFor="json">columns.json</label>
        <textarea
          id="json"
          name="json"
          rows={16}
          spellCheck={false}
          defaultValue={JSON.stringify(sniffed.draft, null, 2)}
        />
        <label htmlFor="jsonFile">Or a file, which then counts before both</label>
        <input id="jsonFile" name="jsonFile" type="file" accept=".json,application/json" />
        <p>
          <a href="/schemas/columns.json">Its schema</a> says what can stand where.
        </p>
      </details>
      {remap ? (
        <label className={styles.check}>
          <input type="checkbox" name="allOfShape" /> Read all logs of this logger with the same columns again
          with it, too
        </label>
      ) : (
        <>
          <label className={styles.check}>
            <input type="checkbox" name="replace" /> Let it take the place of what earlier logs of its logger
            have from its first to its last sample
          </label>
          <label className={styles.check}>
            <input type="checkbox" name="allOrNothing" /> Refuse the whole log if any row of it can’t be taken
          </label>
        </>
      )}
    </>
  );
}

function Words({ name, label, value, hint }: { name: string; label: string; value: string; hint: string }) {
  return (
    <div className={styles.words}>
      <label htmlFor={`field-${name}`}>{label}</label>
      <textarea
        id={`field-${name}`}
        name={name}
        rows={4}
        spellCheck={false}
        defaultValue={value}
        aria-describedby={`field-${name}-hint`}
      />
      <p id={`field-${name}-hint`} className={styles.choice}>
        {hint}
      </p>
    </div>
  );
}

/** A channel as a person says it, with its name in columns.json. */
function channelWords(channel: string): string {
  if (channel === "source") return "what carries the loads (source)";
  if (channel === "faultCode") return "fault code (faultCode)";
  return `${channelName(channel)} (${channel})`;
}
