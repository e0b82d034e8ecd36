import { z } from "zod";
import { siteSchema } from "./site-schema";

/** The JSON Schema (draft 2020-12) of site.json, made from the zod schema; served at /schemas/site.json. */
export function siteJsonSchema(): Record<string, unknown> {
  return { ...z.toJSONSchema(siteSchema, { io: "input" }), title: "site.json", $id: "/schemas/site.json" };
}
