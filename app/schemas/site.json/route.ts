import { siteJsonSchema } from "../../../src/site/site-json-schema";

/** The JSON Schema of site.json. */
export function GET(): Response {
  return Response.json(siteJsonSchema(), { headers: { "content-type": "application/schema+json" } });
}
