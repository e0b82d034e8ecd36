"use server";

import { redirect } from "next/navigation";
import { addSite } from "../../db/writes/add-site";
import { read } from "../_data/read";
import { applySiteForm } from "../_data/site-form";
import { checkAction } from "../_guard/check-action";
import { type Outcome, problemOf, typedIn } from "./outcome";

/** Adds a site from the few figures that one needs, and goes on to its first log. */
export async function addSiteAction(_: Outcome, form: FormData): Promise<Outcome> {
  let slug: string;
  try {
    await checkAction();
    const typed = typedIn(form);
    const config = applySiteForm(
      { version: 1, name: "", timezone: "", ratings: [{ from: FIRST_DAY }] },
      typed,
    );
    slug = (await read((database) => addSite(database, config))).slug;
  } catch (error) {
    return problemOf(error, form);
  }
  redirect(`/sites/${slug}/logs`);
}

/** Before any log: until somebody says since when, the ratings hold for all of the history. */
const FIRST_DAY = "2000-01-01";
