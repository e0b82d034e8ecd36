import styles from "./loading-steps.module.css";

const STEPS = [
  [1, "over", "1.00 and more: at or above the rating"],
  [0.9, "near", "0.90 to 0.99: near it"],
  [0.7, "step3", "0.70 to 0.89"],
  [0.5, "step2", "0.50 to 0.69"],
  [0.25, "step1", "0.25 to 0.49"],
  [0, "step0", "under 0.25"],
] as const;

/** The shade of a loading, as a class of loading-steps.module.css; of one not known the lightest. */
export function loadingStep(loading: number | null): string {
  return STEPS.find(([from]) => (loading ?? 0) >= from)?.[1] ?? "step0";
}

/** What the shades mean, and how a transfer is marked. */
export function LoadingLegend({ transfer }: { transfer: string }) {
  return (
    <ul className={styles.legend} aria-label="Shades: loading, 1.00 is at the rating">
      {STEPS.toReversed().map(([, step, text]) => (
        <li key={step}>
          <span className={`${styles.sample} ${styles[step]}`} aria-hidden="true" />
          {text}
        </li>
      ))}
      <li>
        <span className={`${styles.sample} ${styles.step1}`} aria-hidden="true">
          <span className={styles.corner} />
        </span>
        {transfer}
      </li>
      <li>
        <span className={`${styles.sample} ${styles.none}`} aria-hidden="true" />
        no data
      </li>
    </ul>
  );
}
