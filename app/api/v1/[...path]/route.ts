import { AppError } from "../../../../db/app-error";
import { problemResponse } from "../../../_api/problem";

/** An address of the API that there isn't: a problem as any other, and no page. */
function answer(request: Request): Response {
  const { pathname, search } = new URL(request.url);
  const error = new AppError("not-found", "The API has nothing at this address.", {
    more: { hint: "GET /api/v1/openapi.json describes what it has." },
  });
  return problemResponse(error, `${pathname}${search}`);
}

export { answer as DELETE, answer as GET, answer as PATCH, answer as POST, answer as PUT };
