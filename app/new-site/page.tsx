import { InventedSite } from "../_parts/invented-site";
import { NewSiteForm } from "../_parts/new-site-form";
import styles from "./new-site.module.css";

export const metadata = { title: "Add a site" };

export default function NewSite() {
  return (
    <div className={`page ${styles.sheet}`}>
      <h1>Add a site</h1>
      <p>One place with one inverter system and one 120/240 V split-phase service.</p>
      <NewSiteForm />
      <h2>Or look at the invented one</h2>
      <InventedSite />
    </div>
  );
}
