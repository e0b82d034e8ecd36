import Link from "next/link";
import type { ReactNode } from "react";
import { NeutralStop } from "./neutral-stop";
import { OnItsWay } from "./on-its-way";
import styles from "./sheet.module.css";

export type SheetSection = "month" | "transfers" | "legs" | "battery" | "logs" | "quality" | "settings";

/** A labelled field of a sheet's title block. */
export type TitleField = { label: string; value: ReactNode };

/**
 * One sheet of a site, as drawings in the trade are headed: what sheet this is, and a title block that says
 * of which site, which period, in which zone, on which data. Every figure under it is read against that.
 */
export function Sheet({
  slug,
  siteName,
  monthHref,
  here,
  title,
  lead,
  fields,
  warning,
  children,
}: {
  slug: string;
  siteName: string;
  /** The month that the link to the month leads to; null before the first import. */
  monthHref: string | null;
  here: SheetSection;
  title: string;
  lead?: ReactNode;
  fields: readonly TitleField[];
  /** A danger: it stands above everything else. Where a sheet has none of its own, a suspicion of an open neutral does. */
  warning?: ReactNode;
  children: ReactNode;
}) {
  const links = [
    ["month", "Month", monthHref],
    ["transfers", "Transfers", `/sites/${slug}/transfers`],
    ["legs", "Legs", monthHref === null ? null : `/sites/${slug}/legs`],
    ["battery", "Battery", monthHref === null ? null : `/sites/${slug}/battery`],
    ["logs", "Logs", `/sites/${slug}/logs`],
    ["quality", "Quality", `/sites/${slug}/quality`],
    ["settings", "Site", `/sites/${slug}/settings`],
  ] as const;
  return (
    <div className="page">
      {warning ?? <NeutralStop slug={slug} />}
      <div className={styles.top}>
        <p className={styles.site}>{siteName}</p>
        <nav aria-label={siteName} className={styles.nav}>
          <ul>
            {links.map(([section, text, href]) =>
              href === null ? null : (
                <li key={section}>
                  <Link href={href} aria-current={section === here ? "page" : undefined}>
                    {text}
                    <OnItsWay />
                  </Link>
                </li>
              ),
            )}
          </ul>
        </nav>
      </div>
      <header className={styles.head}>
        <h1>{title}</h1>
        {lead === undefined ? null : <div className={styles.lead}>{lead}</div>}
        <dl className={styles.block}>
          {fields.map(({ label, value }) => (
            <div key={label}>
              <dt>{label}</dt>
              <dd>{value}</dd>
            </div>
          ))}
        </dl>
      </header>
      {children}
    </div>
  );
}
