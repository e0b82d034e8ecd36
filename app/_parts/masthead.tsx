import Link from "next/link";
import styles from "./masthead.module.css";

/** The line on top of every sheet: a way past it for the keyboard, the name, the way home. */
export function Masthead() {
  return (
    <>
      <a className={styles.skip} href="#main">
        Skip to the sheet
      </a>
      <header className={styles.masthead}>
        <div className={`page ${styles.line}`}>
          <Link href="/" className={styles.name}>
            <svg viewBox="0 0 22 20" width="22" height="20" aria-hidden="true">
              <path d="M0 2.5h22" stroke="currentColor" strokeWidth="1.5" strokeDasharray="3 2" />
              <rect x="4" y="5" width="5" height="15" fill="var(--l1)" />
              <rect x="13" y="11" width="5" height="9" fill="var(--l2)" />
            </svg>
            Legroom
          </Link>
          <nav aria-label="All sites">
            <Link href="/">Sites</Link>
          </nav>
        </div>
      </header>
    </>
  );
}
