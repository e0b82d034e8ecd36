import Link from "next/link";
import { clockOf } from "../src/report/format";
import { attentionHref, type HomeSite, homeSites } from "./_data/home-page";
import { formatCount } from "./_format/count";
import { dayAtHref } from "./_format/day-address";
import { keepUnits } from "./_format/keep-units";
import { formatInstant, formatMonth } from "./_format/local-time";
import { formatLoading, formatPercent } from "./_format/percent";
import { QUANTITY_WORDS } from "./_format/words";
import { InventedSite } from "./_parts/invented-site";
import { NewSiteForm } from "./_parts/new-site-form";
import styles from "./home.module.css";

export default async function Home() {
  // The clock is asked here alone: what is said of a site hangs on how long ago its last sample was.
  const sites = await homeSites(Date.now());
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
        <InventedSite />
      </section>
    </div>
  );
}

function Sites({ sites }: { sites: readonly HomeSite[] }) {
  const wanting = sites.filter(({ attention }) =>
    attention.some(({ urgency }) => urgency === "danger" || urgency === "act"),
  );
  return (
    <div className={`page ${styles.first}`}>
      <header className={styles.head}>
        <h1>Sites</h1>
        <p className={styles.lead}>{whoNeedsMe(sites, wanting)}</p>
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

function whoNeedsMe(sites: readonly HomeSite[], wanting: readonly HomeSite[]): string {
  if (wanting.length === 1 && sites.length > 1)
    return `One of ${formatCount(sites.length, "site")} needs you: ${wanting[0].name}.`;
  if (wanting.length === 1) return "This site needs you.";
  if (wanting.length > 1)
    return `${wanting.length} of ${formatCount(sites.length, "site")} need you; they stand first.`;
  return sites.some(({ attention }) => attention.length > 0)
    ? "Nothing waits for you; what is worth a look stands with each site."
    : "Nothing wants attention.";
}

function SiteLine({ site }: { site: HomeSite }) {
  const { slug, timezone, latestMonth: month, peak } = site;
  const base = `/sites/${slug}`;
  const clock = clockOf(timezone);
  const figures: { label: string; value: string; href: string | null }[] =
    month === null
      ? []
      : [
          {
            label: "Last sample",
            value: formatInstant(site.lastMs, timezone, false),
            href: site.lastMs === null ? null : dayAtHref(slug, site.lastMs, clock),
          },
          {
            label: `Covered in ${formatMonth(month)}`,
            value: formatPercent(site.coverage, 1),
            href: `${base}/quality?month=${month}`,
          },
          {
            label: site.months.length > 1 ? "Transfers (month before)" : "Transfers",
            value:
              site.months.length > 1
                ? `${site.transfersThisMonth} (${site.transfersMonthBefore})`
                : String(site.transfersThisMonth),
            href: `${base}/transfers?month=${month}`,
          },
          {
            label: "Greatest loading",
            value: peak === null ? "–" : `${formatLoading(peak.loading)} ${QUANTITY_WORDS[peak.quantity]}`,
            href: peak === null ? null : dayAtHref(slug, peak.atMs, clock),
          },
        ];
  return (
    <article className={styles.site}>
      <h2>
        <Link href={month === null ? `${base}/logs` : `${base}/${month}`}>{site.name}</Link>
      </h2>
      {site.attention.length === 0 ? (
        <p className={styles.attention}>Nothing wants attention.</p>
      ) : (
        <ul className={styles.wants}>
          {site.attention.map(({ code, urgency, text, place, link }) => (
            <li key={code} className={styles[urgency]}>
              <span>{keepUnits(text)}</span>{" "}
              <Link href={attentionHref(slug, place, timezone)} prefetch={false}>
                {link}
                <span className="visually-hidden">, {site.name}</span>
              </Link>
            </li>
          ))}
        </ul>
      )}
      {figures.length === 0 ? null : (
        <dl className={styles.figures}>
          {figures.map(({ label, value, href }) => (
            <div key={label}>
              <dt>{label}</dt>
              <dd>
                {href === null ? (
                  value
                ) : (
                  <Link href={href} prefetch={false}>
                    {value}
                  </Link>
                )}
              </dd>
            </div>
          ))}
        </dl>
      )}
    </article>
  );
}
