"use client";

import { useActionState } from "react";
import { NOTHING_YET, type Outcome } from "../_actions/outcome";
import { Choice, Field } from "./field";
import { Message } from "./message";
import styles from "./token-form.module.css";

/** Makes a token of the HTTP API and shows it, this once. */
export function TokenForm({ action }: { action: (state: Outcome, form: FormData) => Promise<Outcome> }) {
  const [outcome, run, pending] = useActionState(action, NOTHING_YET);
  return (
    <form className={styles.form} aria-label="New token" action={run}>
      <div className={styles.fields}>
        <Field
          name="tokenName"
          label="What will use it"
          required
          maxLength={80}
          autoComplete="off"
          defaultValue={outcome.typed.tokenName}
        />
        <Choice
          name="scope"
          label="It may"
          value={outcome.typed.scope}
          options={[
            ["write", "send logs and read"],
            ["read", "read only"],
          ]}
          open={null}
        />
      </div>
      {outcome.problem === null ? null : (
        <Message kind="error" title="Not made.">
          <p>{outcome.problem}</p>
        </Message>
      )}
      <div>
        <button type="submit" disabled={pending}>
          {pending ? "Making it …" : "Make a token"}
        </button>
      </div>
      <div role="status">
        {outcome.done === null ? null : (
          <Message kind="caution" title="The token. Copy it now: it isn’t kept, and so never shown again.">
            <p>
              <code className={styles.token}>{outcome.done}</code>
            </p>
          </Message>
        )}
      </div>
    </form>
  );
}
