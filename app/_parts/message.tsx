import type { ReactNode } from "react";
import styles from "./message.module.css";

/** Something that stands beside the figures: a remark, a caution, a result that isn't there yet, an error. */
export function Message({
  kind = "note",
  title,
  children,
}: {
  kind?: "note" | "caution" | "error";
  title?: string;
  children?: ReactNode;
}) {
  return (
    <div className={`${styles.message} ${styles[kind]}`} role={kind === "error" ? "alert" : undefined}>
      {title === undefined ? null : <p className={styles.title}>{title}</p>}
      {children}
    </div>
  );
}

/** A place where something would stand, and why it doesn't. */
export function Empty({ title, children }: { title: string; children?: ReactNode }) {
  return (
    <div className={styles.empty}>
      <p className={styles.title}>{title}</p>
      {children}
    </div>
  );
}
