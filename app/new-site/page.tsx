import { NewSiteForm } from "../_parts/new-site-form";

export const metadata = { title: "Add a site" };

export default function NewSite() {
  return (
    <div className="page" style={{ paddingBlock: "var(--s8)", display: "grid", gap: "var(--s6)" }}>
      <h1>Add a site</h1>
      <p>One place with one inverter system and one 120/240 V split-phase service.</p>
      <NewSiteForm />
    </div>
  );
}
