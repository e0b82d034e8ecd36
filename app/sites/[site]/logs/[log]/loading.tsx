import styles from "./loading.module.css";

export default function Loading() {
  return (
    <div className="page" role="status">
      <p className={styles.line}>Reading the log …</p>
      <div className={styles.sheet} aria-hidden="true">
        <span />
        <span />
        <span />
        <span />
      </div>
    </div>
  );
}
