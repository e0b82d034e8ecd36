"use client";

import { useLinkStatus } from "next/link";
import styles from "./on-its-way.module.css";

/**
 * Inside a link: a line that shows that its sheet is being read. Sheets are sent whole, not behind a
 * placeholder that scripts would have to replace, so that they also stand without scripts.
 */
export function OnItsWay() {
  const { pending } = useLinkStatus();
  return (
    <span className={styles.line} data-pending={pending || undefined} role={pending ? "status" : undefined}>
      {pending ? <span className="visually-hidden">Reading …</span> : null}
    </span>
  );
}
