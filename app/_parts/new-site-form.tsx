import { addSiteAction } from "../_actions/add-site";
import { ActionForm } from "./action-form";
import { Field } from "./field";
import styles from "./new-site-form.module.css";

/** The few things that a site needs before its first log. */
export function NewSiteForm() {
  const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
  return (
    <ActionForm action={addSiteAction} submit="Add the site" busy="Adding …" label="Add a site">
      <div className={styles.fields}>
        <Field name="name" label="Name" required maxLength={120} autoComplete="off" />
        <Field
          name="timezone"
          label="Time zone"
          required
          list="zones"
          defaultValue={here === "UTC" ? "" : here}
          autoComplete="off"
          spellCheck={false}
          hint="Of the site, as America/Denver. Days and months are counted in it."
        />
        <Field
          name="legLimitW"
          label="Limit of one leg"
          unit="W"
          required
          inputMode="decimal"
          autoComplete="off"
          hint="Continuous output, from the inverter’s nameplate or data sheet. Where only the output at 240 V stands there, half of it: 4000 for 8 kW."
        />
        <Field
          name="totalLimitW"
          label="Limit of both legs"
          unit="W"
          inputMode="decimal"
          autoComplete="off"
          hint="Left empty: twice that of a leg."
        />
      </div>
      <datalist id="zones">
        {Intl.supportedValuesOf("timeZone").map((zone) => (
          <option key={zone} value={zone} />
        ))}
      </datalist>
    </ActionForm>
  );
}
