"use server";

import { revalidatePath } from "next/cache";
import { z } from "zod";
import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { type SiteRow, siteBySlug } from "../../db/queries/site-by-slug";
import { TOKEN_SCOPES } from "../../db/schema/api-token";
import { addToken } from "../../db/writes/add-token";
import { revokeToken } from "../../db/writes/revoke-token";
import { read } from "../_data/read";
import { checkAction } from "../_guard/check-action";
import { NOTHING_YET, type Outcome, problemOf } from "./outcome";

/** Makes a token of this site; `done` is the token, which is shown this once. */
export async function addTokenAction(slug: string, _: Outcome, form: FormData): Promise<Outcome> {
  return change(slug, form, async (database, { siteId }) => {
    const scope = z.enum(TOKEN_SCOPES).safeParse(form.get("scope"));
    if (!scope.success) throw new AppError("bad-input", "Choose what the token may do.");
    const name = String(form.get("tokenName") ?? "");
    return (await addToken(database, { siteId, scope: scope.data, name })).token;
  });
}

/** Revokes a token of this site. */
export async function revokeTokenAction(slug: string, _: Outcome, form: FormData): Promise<Outcome> {
  return change(slug, form, async (database, { siteId }) => {
    const id = String(form.get("token") ?? "");
    if (!/^[1-9]\d{0,8}$/.test(id)) throw new AppError("bad-input", "Choose the token to be revoked.");
    if (!(await revokeToken(database, Number(id), siteId))) {
      throw new AppError("not-found", "This site has no such token, or it is revoked already.");
    }
    return "revoked";
  });
}

async function change(
  slug: string,
  form: FormData,
  work: (database: Database, site: SiteRow) => Promise<string>,
): Promise<Outcome> {
  let done: string;
  try {
    await checkAction();
    done = await read(async (database) => {
      const site = await siteBySlug(database, slug);
      if (site === null)
        throw new AppError("not-found", "There is no such site; it may have another name now.");
      return work(database, site);
    });
  } catch (error) {
    return problemOf(error, form);
  }
  revalidatePath(`/sites/${slug}/settings`);
  return { ...NOTHING_YET, done };
}
