import { loadInventedSiteAction } from "../_actions/load-invented-site";
import { ActionForm } from "./action-form";

/** The way to the invented site, whose month shows what the program says. */
export function InventedSite() {
  return (
    <ActionForm
      action={loadInventedSiteAction}
      submit="Load the invented month"
      busy="Loading …"
      label="Load the invented site"
    >
      <p>
        Alder Creek Pottery is a studio and a house on an 8 kW inverter, 4 kW a leg. Its month of samples is
        imported as yours would be; nothing of it is real.
      </p>
    </ActionForm>
  );
}
