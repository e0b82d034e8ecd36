import type { InputHTMLAttributes, ReactNode } from "react";
import styles from "./field.module.css";

/** A labelled input; `unit` stands after it, `hint` under it and is read out with it. */
export function Field({
  label,
  unit,
  hint,
  ...input
}: { label: string; unit?: string; hint?: ReactNode; name: string } & InputHTMLAttributes<HTMLInputElement>) {
  const id = `field-${input.name}`;
  return (
    <div className={styles.field}>
      <label htmlFor={id}>{label}</label>
      <div className={styles.input}>
        <input id={id} aria-describedby={hint === undefined ? undefined : `${id}-hint`} {...input} />
        {unit === undefined ? null : <span className={styles.unit}>{unit}</span>}
      </div>
      {hint === undefined ? null : (
        <p id={`${id}-hint`} className={styles.hint}>
          {hint}
        </p>
      )}
    </div>
  );
}

/** A labelled choice; the first entry leaves it open. */
export function Choice({
  name,
  label,
  value,
  options,
  open = "All",
}: {
  name: string;
  label: string;
  value: string | undefined;
  options: readonly (readonly [value: string, text: string])[];
  /** What the entry says that chooses nothing; null where something has to be chosen. */
  open?: string | null;
}) {
  const id = `field-${name}`;
  return (
    <div className={styles.field}>
      <label htmlFor={id}>{label}</label>
      <select id={id} name={name} defaultValue={value ?? ""} key={value}>
        {open === null ? null : <option value="">{open}</option>}
        {options.map(([key, text]) => (
          <option key={key} value={key}>
            {text}
          </option>
        ))}
      </select>
    </div>
  );
}
