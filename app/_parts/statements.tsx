import Link from "next/link";
import type { Settings } from "../../src/analysis/settings";
import { SETTING_MEANINGS } from "../../src/report/setting-meaning";
import type { StatementLink } from "../_data/statement-link";
import { keepUnits } from "../_format/keep-units";
import { formatPercent } from "../_format/percent";
import styles from "./statements.module.css";

/** One statement, with what it stands on in brief and the settings it depends on. */
type Stated = {
  readonly code: string;
  readonly text: string;
  readonly basis: string;
  readonly settings?: Partial<Settings>;
};

/** Statements of one part of a period, numbered; what each stands on is folded under them, and unfolded in print. */
export function Statements<S extends Stated>({
  title,
  statements,
  coverage,
  linkOf,
  of = "the month",
}: {
  title: string;
  statements: readonly S[];
  /** Part of the period that the log covers; null where it isn't known. */
  coverage: number | null;
  linkOf?: (statement: S) => StatementLink | null;
  /** What the coverage is of. */
  of?: string;
}) {
  const bases = basesOf(statements);
  const settings: Partial<Settings> = Object.assign({}, ...statements.map((one) => one.settings));
  return (
    <section className={styles.part}>
      <h3>{title}</h3>
      <ol className={styles.statements}>
        {statements.map((statement) => (
          <li key={statement.code}>
            <Said text={statement.text} link={linkOf?.(statement) ?? null} />
          </li>
        ))}
      </ol>
      <details className={styles.basis}>
        <summary>
          How this is reckoned<span className="visually-hidden">: {title}</span>
        </summary>
        <p>
          From what the log covers, {formatPercent(coverage, 1)} of {of}, where nothing else is said.
        </p>
        {bases.length === 0 ? null : (
          <dl>
            {bases.map(({ numbers, basis }) => (
              <div key={numbers}>
                <dt>{numbers}</dt>
                <dd>{basis}</dd>
              </div>
            ))}
          </dl>
        )}
        <SettingsMeant settings={settings} />
      </details>
    </section>
  );
}

/** A sentence, and where its figure comes from. */
export function Said({ text, link }: { text: string; link: StatementLink | null }) {
  return (
    <>
      <span>{keepUnits(text)}</span>
      {link === null ? null : (
        <span className={`${styles.from} no-print`}>
          {" "}
          <Link href={link.href} prefetch={false}>
            {link.text.charAt(0).toUpperCase()}
            {link.text.slice(1)}
          </Link>
        </span>
      )}
    </>
  );
}

/** Settings with their values and what they mean; nothing where there are none. */
export function SettingsMeant({ settings }: { settings: Partial<Settings> }) {
  const entries = Object.entries(settings) as [keyof Settings, number][];
  if (entries.length === 0) return null;
  return (
    <dl className={styles.settings}>
      {entries.map(([name, value]) => (
        <div key={name}>
          <dt>
            <code>{name}</code> {value}
          </dt>
          <dd>{SETTING_MEANINGS[name]}</dd>
        </div>
      ))}
    </dl>
  );
}

/** What statements stand on, once for those in a row that stand on the same: "Figures 1 to 4". */
function basesOf(statements: readonly Stated[]): { numbers: string; basis: string }[] {
  const bases: { from: number; to: number; basis: string }[] = [];
  statements.forEach(({ basis }, at) => {
    const last = bases.at(-1);
    if (last !== undefined && last.basis === basis && last.to === at) last.to = at + 1;
    else if (basis !== "") bases.push({ from: at + 1, to: at + 1, basis });
  });
  return bases.map(({ from, to, basis }) => ({
    numbers: from === to ? `Figure ${from}` : `Figures ${from} to ${to}`,
    basis,
  }));
}
