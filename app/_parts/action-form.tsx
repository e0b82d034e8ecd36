"use client";

import { type ReactNode, useActionState } from "react";
import { NOTHING_YET, type Outcome } from "../_actions/outcome";
import styles from "./action-form.module.css";
import { Message } from "./message";

/** A form around fields of the server's making: what is wrong stands above the button, what was typed stays. */
export function ActionForm({
  action,
  submit,
  busy,
  label,
  children,
}: {
  action: (state: Outcome, form: FormData) => Promise<Outcome>;
  submit: string;
  busy: string;
  label: string;
  children: ReactNode;
}) {
  const [outcome, run, pending] = useActionState(action, NOTHING_YET);
  return (
    // A submitted form is emptied by React; one that was refused keeps what was typed.
    <form
      className={styles.form}
      aria-label={label}
      action={run}
      onReset={(event) => {
        if (outcome.problem !== null || pending) event.preventDefault();
      }}
    >
      {children}
      {outcome.problem === null ? null : (
        <Message kind="error" title="Not saved.">
          <p>{outcome.problem}</p>
        </Message>
      )}
      <div>
        <button type="submit" className="primary" disabled={pending}>
          {pending ? busy : submit}
        </button>
      </div>
    </form>
  );
}
