import Link from "next/link";
import { listSites, type SiteCard } from "../db/queries/list-sites";
import { read } from "./_data/read";
import { formatInstant, formatMonth } from "./_format/local-time";
import { formatLoading, formatPercent } from "./_format/percent";
import { QUANTITY_WORDS } from "./_format/words";
import { NewSiteForm } from "./_parts/new-site-form";
import styles from "./home.module.css";

export default async function Home() {
  const sites = await read((database) => listSites(database));
  return sites.length === 0 ? <FirstVisit /> : <Sites sites={sites} />;
}

function FirstVisit() {
  return (
    <div className={`page ${styles.first}`}>
      <header className={styles.head}>
        <h1>Does the inverter carry the load?</h1>
        <p className={styles.lead}>
          Give it the CSV log of a 120/240 V split-phase inverter. It says how near each leg runs to its
          limit, why each transfer to the utility happened, and where the energy came from.
        </p>
      </header>
      <section className={styles.way} aria-labelledby="own">
        <h2 id="own">Your own site</h2>
        <p>Three figures are enough to begin; everything stays on this computer.</p>
        <NewSiteForm />
      </section>
      <section className={styles.way} aria-labelledby="demo">
        <h2 id="demo">Or look at the invented one first</h2>
        <p>
          Alder Creek Pottery is a studio and a house on an 8 kW inverter, with a month of samples. Stop this
          program and start it with
        </p>
        <pre className={styles.command}>
          <code>npm run demo</code>
        </pre>
      </section>
    </div>
  );
}

function Sites({ sites }: { sites: readonly SiteCard[] }) {
  return (
    <div className={`page ${styles.first}`}>
      <header className={styles.head}>
        <h1>Sites</h1>
      </header>
      <ul className={styles.sites}>
        {sites.map((site) => (
          <li key={site.siteId}>
            <SiteLine site={site} />
          </li>
        ))}
      </ul>
      <p>
        <Link className="button" href="/new-site">
          Add a site
        </Link>
      </p>
    </div>
  );
}

function SiteLine({ site }: { site: SiteCard }) {
  const base = `/sites/${site.slug}`;
  const month = site.latestMonth;
  const figures: [string, string][] =
    month === null
      ? []
      : [
          ["Last sample", formatInstant(site.lastMs, site.timezone, false)],
          [`Covered in ${formatMonth(month)}`, formatPercent(site.coverage, 1)],
          [
            "Transfers, month before",
            `${site.transfersThisMonth}, ${site.months.length > 1 ? site.transfersMonthBefore : "–"}`,
          ],
          [
            "Greatest loading",
            site.peak === null
              ? "–"
              : `${formatLoading(site.peak.loading)} ${QUANTITY_WORDS[site.peak.quantity]}`,
          ],
        ];
  return (
    <article className={styles.site}>
      <div>
        <h2>
          <Link href={month === null ? `${base}/logs` : `${base}/${month}`}>{site.name}</Link>
        </h2>
        <p className={styles.attention}>{attention(site)}</p>
      </div>
      {figures.length === 0 ? null : (
        <dl className={styles.figures}>
          {figures.map(([label, value]) => (
            <div key={label}>
              <dt>{label}</dt>
              <dd>{value}</dd>
            </div>
          ))}
        </dl>
      )}
    </article>
  );
}

/** What of a site wants a person, the most urgent first. */
function attention(site: SiteCard): string {
  if (site.job?.kind === "import") return "A log is being imported.";
  if (site.resultsRevision !== site.samplesRevision && site.samplesRevision > 0) {
    return "Results are being computed for the newest samples; the figures here are older.";
  }
  if (site.latestMonth === null) return "No log so far: import the first one.";
  if (site.peak !== null && site.peak.loading >= 1) return "A limit was reached: look at its month.";
  if (site.transfersThisMonth > 0) return "It went over to the utility: look at why.";
  return "Nothing wants attention.";
}
