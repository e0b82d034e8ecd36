import Link from "next/link";
import { formatMonth } from "../_format/local-time";
import styles from "./quality-months.module.css";

/** The months of a site to choose one of; nothing where there is only one. */
export function QualityMonths({
  base,
  month,
  months,
}: {
  base: string;
  month: string;
  months: readonly string[];
}) {
  if (months.length < 2) return null;
  return (
    <nav aria-label="Months" className="no-print">
      <ul className={styles.months}>
        {months.map((one) => (
          <li key={one}>
            <Link href={`${base}?month=${one}`} aria-current={one === month ? "page" : undefined}>
              {formatMonth(one)}
            </Link>
          </li>
        ))}
      </ul>
    </nav>
  );
}
