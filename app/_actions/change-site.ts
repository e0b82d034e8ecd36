"use server";

import { redirect } from "next/navigation";
import { AppError } from "../../db/app-error";
import { siteBySlug } from "../../db/queries/site-by-slug";
import { changeSite } from "../../db/writes/change-site";
import { read } from "../_data/read";
import { applySiteForm } from "../_data/site-form";
import { checkAction } from "../_guard/check-action";
import { type Outcome, problemOf, typedIn } from "./outcome";

/** A site.json in text form is far smaller than this; what is larger isn't one. */
const MAX_CONFIG_CHARACTERS = 500_000;

/** Changes a site by the form's figures. */
export async function changeSiteAction(slug: string, _: Outcome, form: FormData): Promise<Outcome> {
  return change(slug, form, (config) => applySiteForm(config, typedIn(form)));
}

/** Replaces a site's site.json by the text given. */
export async function replaceSiteAction(slug: string, _: Outcome, form: FormData): Promise<Outcome> {
  return change(slug, form, () => parseText(String(form.get("config") ?? "")));
}

async function change(slug: string, form: FormData, next: (config: unknown) => unknown): Promise<Outcome> {
  let changed: { slug: string };
  try {
    await checkAction();
    changed = await read(async (database) => {
      const site = await siteBySlug(database, slug);
      if (site === null)
        throw new AppError("not-found", "There is no such site; it may have another name now.");
      return changeSite(database, site.siteId, next(site.config));
    });
  } catch (error) {
    return problemOf(error, form);
  }
  redirect(`/sites/${changed.slug}/settings?saved=1`);
}

function parseText(text: string): unknown {
  if (text.length > MAX_CONFIG_CHARACTERS) {
    throw new AppError(
      "bad-input",
      `site.json has ${text.length} characters; at most ${MAX_CONFIG_CHARACTERS} are taken.`,
    );
  }
  try {
    return JSON.parse(text);
  } catch (error) {
    throw new AppError(
      "bad-input",
      `The text is not JSON: ${(error as Error).message}. Mend it there and save again.`,
      {
        cause: error,
      },
    );
  }
}
