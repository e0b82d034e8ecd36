import { parseSite, type Site } from "../site/parse-site";
import { CommandError } from "./command-error";
import { readJsonFile } from "./read-json-file";

/** The site in a site.json. @throws CommandError that lists every problem with place and hint */
export async function readSiteFile(path: string): Promise<{ site: Site; input: unknown }> {
  const json = await readJsonFile(path, "site.json");
  const parsed = parseSite(json);
  if (parsed.ok) return { site: parsed.site, input: json };
  throw new CommandError(
    1,
    `The site in ${path} is refused.`,
    parsed.problems.map((problem) => `${problem.message} ${problem.hint}`),
  );
}
