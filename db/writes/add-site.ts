import { parseSite } from "../../src/site/parse-site";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { site } from "../schema/site";

/**
 * Adds a site.
 *
 * @param config site.json, parsed from JSON text
 * @throws AppError bad-input with everything that is wrong with it, conflict where the name is taken
 */
export async function addSite(
  database: Database,
  config: unknown,
): Promise<{ siteId: number; slug: string; name: string }> {
  const parsed = checkedSite(config);
  const added = await database.orm
    .insert(site)
    .values({
      slug: siteSlug(parsed.name),
      name: parsed.name,
      timezone: parsed.timezone,
      config,
    })
    .onConflictDoNothing()
    .returning({ siteId: site.siteId, slug: site.slug, name: site.name });
  if (added.length === 0) {
    throw new AppError(
      "conflict",
      `There is a site named "${parsed.name}" already, or one whose name differs only in signs. Change that one, or give this one another name.`,
    );
  }
  return added[0];
}

/** The site that a site.json describes. @throws AppError bad-input that lists every problem with place and hint */
export function checkedSite(config: unknown) {
  const parsed = parseSite(config);
  if (parsed.ok) return parsed.site;
  throw new AppError(
    "bad-input",
    ["site.json can't be taken:", ...parsed.problems.map((p) => `${p.message} ${p.hint}`)].join("\n"),
  );
}

/** A name as part of an address. @example siteSlug("Alder Creek Pottery") // "alder-creek-pottery" */
export function siteSlug(name: string): string {
  const slug = name
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .replace(/^-|-$/g, "");
  return slug === "" ? "site" : slug;
}
