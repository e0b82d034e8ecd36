import { openApiDocument } from "../../../_api/openapi-document";

/** The description of the HTTP API (OpenAPI 3.1). It holds nothing of this installation, and so asks for no token. */
export function GET(): Response {
  return Response.json(openApiDocument());
}
