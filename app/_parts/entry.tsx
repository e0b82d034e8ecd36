import type { ReactNode } from "react";
import styles from "./entry.module.css";

/**
 * One entry of a sheet: what it says, in the margin, as a heading that is a sentence; what shows it, beside.
 * On a narrow screen the one stands over the other.
 */
export function Entry({
  title,
  aside,
  id,
  children,
}: {
  title: string;
  aside?: ReactNode;
  /** What an address ends in to lead here. */
  id?: string;
  children: ReactNode;
}) {
  return (
    <section className={styles.entry} id={id}>
      <div className={styles.margin}>
        <h2>{title}</h2>
        {aside === undefined ? null : <div className={styles.aside}>{aside}</div>}
      </div>
      <div className={styles.body}>{children}</div>
    </section>
  );
}
