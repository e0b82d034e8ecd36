import { AppError } from "../../../../../db/app-error";
import {
  PROBLEM_BASE,
  PROBLEM_TITLES,
  type ProblemCode,
  problemResponse,
  statusOf,
} from "../../../../_api/problem";

/** What a kind of problem means: where the `type` of a problem leads (RFC 9457, 3.1.1). */
export async function GET(
  request: Request,
  { params }: RouteContext<"/api/v1/problems/[code]">,
): Promise<Response> {
  const { code } = await params;
  if (!Object.hasOwn(PROBLEM_TITLES, code)) {
    return problemResponse(
      new AppError("not-found", "There is no such kind of problem."),
      new URL(request.url).pathname,
    );
  }
  const known = code as ProblemCode;
  return Response.json({
    type: `${PROBLEM_BASE}${known}`,
    title: PROBLEM_TITLES[known],
    status: statusOf(known),
  });
}
