import type { z } from "zod";
import { AppError } from "../../db/app-error";
import { nearestName } from "../../src/site/nearest-name";

/**
 * The parameters of a request's query.
 *
 * @throws AppError bad-input for one that isn't known, comes twice or has a value that it can't have
 */
export function queryOf<Schema extends z.ZodObject>(request: Request, schema: Schema): z.output<Schema> {
  const given = new URL(request.url).searchParams;
  const known = Object.keys(schema.shape);
  for (const name of given.keys()) {
    if (!known.includes(name)) {
      const near = nearestName(name, known);
      throw refused(
        name,
        `There is no parameter "${name}" here.`,
        near === null ? `The parameters are: ${known.join(", ")}.` : `Did you mean "${near}"?`,
      );
    }
    if (given.getAll(name).length > 1)
      throw refused(name, `The parameter "${name}" is given twice.`, "Give it once.");
  }
  const parsed = schema.safeParse(Object.fromEntries(given));
  if (parsed.success) return parsed.data;
  const [issue] = parsed.error.issues;
  const name = String(issue.path[0]);
  throw refused(
    name,
    `The parameter "${name}" can't be "${given.get(name)?.slice(0, 100)}".`,
    `${issue.message}.`,
  );
}

function refused(name: string, message: string, hint: string): AppError {
  return new AppError("bad-input", message, { more: { where: `query, ${name}`, hint } });
}
