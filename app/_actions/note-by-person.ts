"use server";

import { revalidatePath } from "next/cache";
import { redirect } from "next/navigation";
import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { type SiteRow, siteBySlug } from "../../db/queries/site-by-slug";
import { addPersonNote } from "../../db/writes/add-person-note";
import { changePersonNote } from "../../db/writes/change-person-note";
import { removePersonNote } from "../../db/writes/remove-person-note";
import { anchorOf } from "../_data/note-anchor";
import { read } from "../_data/read";
import { checkAction } from "../_guard/check-action";
import { type Outcome, problemOf } from "./outcome";

/** The site, and the sheet of it that shows the notes: where a saved form leads back to. */
type Place = { slug: string; back: string };

/** Keeps a note about the event or day that the form names. */
export async function addNoteAction(place: Place, _: Outcome, form: FormData): Promise<Outcome> {
  return change(place, form, (database, { siteId }) =>
    addPersonNote(database, siteId, anchorOf(String(form.get("about") ?? "")), written(form)),
  );
}

/** Changes one note, or removes it. */
export async function changeNoteAction(
  place: Place & { noteId: number },
  _: Outcome,
  form: FormData,
): Promise<Outcome> {
  return change(place, form, async (database, { siteId }) => {
    if (form.get("remove") !== "on") {
      await changePersonNote(database, siteId, place.noteId, written(form));
    } else if (!(await removePersonNote(database, siteId, place.noteId))) {
      throw new AppError("not-found", "There is no such note any more.");
    }
  });
}

function written(form: FormData): { text: string; isChange: boolean } {
  return { text: String(form.get("noteText") ?? ""), isChange: form.get("isChange") === "on" };
}

async function change(
  { slug, back }: Place,
  form: FormData,
  work: (database: Database, site: SiteRow) => Promise<unknown>,
): Promise<Outcome> {
  try {
    await checkAction();
    await read(async (database) => {
      const site = await siteBySlug(database, slug);
      if (site === null)
        throw new AppError("not-found", "There is no such site; it may have another name now.");
      await work(database, site);
    });
  } catch (error) {
    return problemOf(error, form);
  }
  // It leads to the sheet one is on: without this the browser would go on showing it as it was.
  revalidatePath(`/sites/${slug}`, "layout");
  // What a page binds to its form comes back from outside: it may lead to this site's own sheets alone.
  const own = `/sites/${slug}/`;
  redirect(`${back.startsWith(own) && !back.includes("..") ? back : own}#notes`);
}
