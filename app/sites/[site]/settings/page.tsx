import { tokensOf } from "../../../../db/queries/tokens-of";
import { DEFAULT_SETTINGS } from "../../../../src/analysis/settings";
import { changeSiteAction, replaceSiteAction } from "../../../_actions/change-site";
import { addTokenAction, revokeTokenAction } from "../../../_actions/change-tokens";
import { read } from "../../../_data/read";
import { fieldText, latestRatings, RATING_FIELDS, siteText } from "../../../_data/site-form";
import { sitePage } from "../../../_data/site-page";
import { formatInstant } from "../../../_format/local-time";
import { ActionForm } from "../../../_parts/action-form";
import { DataTable } from "../../../_parts/data-table";
import { Entry } from "../../../_parts/entry";
import { Choice, Field } from "../../../_parts/field";
import { Freshness } from "../../../_parts/freshness";
import { Message } from "../../../_parts/message";
import { Sheet } from "../../../_parts/sheet";
import { TokenForm } from "../../../_parts/token-form";
import { settingsTable } from "../../../_tables/settings";
import { tokensTable } from "../../../_tables/tokens";
import styles from "./settings.module.css";

export const metadata = { title: "Site" };

export default async function SiteSettings({ params, searchParams }: PageProps<"/sites/[site]/settings">) {
  const { site, months, monthHref } = await sitePage((await params).site);
  const tokens = await read((database) => tokensOf(database, site.siteId));
  const revocable = tokens.filter(
    ({ siteId, revokedAtMs }) => siteId === site.siteId && revokedAtMs === null,
  );
  const saved = (await searchParams).saved === "1";
  const ratings = latestRatings(site.config);
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="settings"
      title="The site and its equipment"
      fields={[
        { label: "Time zone", value: site.timezone },
        { label: "Ratings", value: site.site.ratings.map(({ from }) => `from ${from}`).join(", ") },
        {
          label: "Results",
          value:
            site.resultsRevision === null
              ? "none yet"
              : `revision ${site.resultsRevision}, ${formatInstant(site.resultsComputedAtMs, site.timezone, false)}`,
        },
      ]}
    >
      {saved ? (
        <Message title="Saved.">
          <p role="status">
            {months.length === 0 ? "" : "The results are computed anew from the stored samples."}
          </p>
        </Message>
      ) : null}
      <Freshness slug={site.slug} timezone={site.timezone} revision={site} />
      <Entry
        title="Ratings, battery and zone."
        aside={
          <>
            <p>
              A change here computes every result of this site anew, from the stored samples: loading,
              transfers and their causes, energy. The logs aren’t read again and nothing of them is lost.
            </p>
            <p>Another time zone moves every day and month; logs already imported keep their instants.</p>
          </>
        }
      >
        <ActionForm
          action={changeSiteAction.bind(null, site.slug)}
          submit="Save and compute anew"
          busy="Saving …"
          label="Ratings, battery and zone"
        >
          <div className={styles.fields} key={site.samplesRevision}>
            <Field
              name="name"
              label="Name"
              required
              maxLength={120}
              defaultValue={site.name}
              autoComplete="off"
            />
            <Field
              name="timezone"
              label="Time zone"
              required
              defaultValue={site.timezone}
              autoComplete="off"
              spellCheck={false}
            />
            {RATING_FIELDS.map((field) => (
              <Field
                key={field.name}
                name={field.name}
                label={field.label}
                unit={field.unit}
                hint={field.hint}
                inputMode="decimal"
                autoComplete="off"
                required={field.name === "legLimitW"}
                defaultValue={fieldText(ratings, field)}
              />
            ))}
            <Field
              name="from"
              label="These hold from"
              type="date"
              required
              defaultValue={String(ratings.from)}
              hint="A local day. Before the first entry the first one counts."
            />
          </div>
          <label className={styles.check}>
            <input type="checkbox" name="changed" />
            <span>
              The equipment changed on that day: keep the earlier ratings for what came before. Left open,
              these ratings are corrected.
            </span>
          </label>
        </ActionForm>
      </Entry>
      <Entry
        title="Everything else, as site.json."
        aside={
          <p>
            Overload allowance, tariff, loggers, circuits and settings are edited as text.{" "}
            <a href="/schemas/site.json">Its schema</a> says what can stand where.
          </p>
        }
      >
        <ActionForm
          action={replaceSiteAction.bind(null, site.slug)}
          submit="Save this text and compute anew"
          busy="Saving …"
          label="site.json"
        >
          <div>
            <label htmlFor="config">site.json</label>
            <textarea
              id="config"
              name="config"
              rows={24}
              spellCheck={false}
              key={site.samplesRevision}
              defaultValue={siteText(site.config)}
            />
          </div>
        </ActionForm>
      </Entry>
      <Entry
        title="Programs that may send and read."
        aside={
          <>
            <p>
              A token lets a program send logs of this site and read its results, without a person:{" "}
              <a href="/api/v1/openapi.json">what the interface takes and gives</a>.
            </p>
            <p>
              Each program gets its own, so that it can be revoked alone. A token that is good for all sites
              is made and revoked on the command line.
            </p>
          </>
        }
      >
        {tokens.length === 0 ? null : <DataTable table={tokensTable(tokens, site.timezone)} />}
        <TokenForm action={addTokenAction.bind(null, site.slug)} />
        {revocable.length === 0 ? null : (
          <ActionForm
            action={revokeTokenAction.bind(null, site.slug)}
            submit="Revoke this token"
            busy="Revoking …"
            label="Revoke a token"
          >
            <Choice
              name="token"
              label="Token to revoke"
              value={undefined}
              options={revocable.map(({ tokenId, name, createdAtMs }) => [
                String(tokenId),
                `${name}, made ${formatInstant(createdAtMs, site.timezone, false)}`,
              ])}
              open="None chosen"
            />
          </ActionForm>
        )}
      </Entry>
      <Entry
        title="The settings the results are computed with."
        aside={<p>Shares and loadings are ratios, 0.90 is 90 %; the other names end in their unit.</p>}
      >
        <details>
          <summary>All {Object.keys(DEFAULT_SETTINGS).length} settings</summary>
          <DataTable table={settingsTable(site.site.settings)} />
        </details>
      </Entry>
    </Sheet>
  );
}
