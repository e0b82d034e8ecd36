import type { ReactNode } from "react";
import styles from "./stop.module.css";

/** A danger that stands before everything else on a sheet: said in words and by its frame, not by colour alone. */
export function Stop({ title, children }: { title: string; children: ReactNode }) {
  return (
    <div className={styles.stop} role="alert">
      <p className={styles.title}>
        <span aria-hidden="true" className={styles.sign}>
          !
        </span>
        {title}
      </p>
      {children}
    </div>
  );
}
