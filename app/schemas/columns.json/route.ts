import { columnMapJsonSchema } from "../../../src/site/column-map-json-schema";

/** The JSON Schema of columns.json. */
export function GET(): Response {
  return Response.json(columnMapJsonSchema(), { headers: { "content-type": "application/schema+json" } });
}
