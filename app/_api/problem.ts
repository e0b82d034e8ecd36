import { AppError, type AppErrorCode, HTTP_STATUS } from "../../db/app-error";

/** A code of the API: those of AppError, and `defect` for what should not have happened. */
export type ProblemCode = AppErrorCode | "defect";

/** Where the address of a problem's kind begins; it can be opened. */
export const PROBLEM_BASE = "/api/v1/problems/";

/** The title of each kind of problem: the same whatever the occurrence (RFC 9457, 3.1.3). */
export const PROBLEM_TITLES: Record<ProblemCode, string> = {
  "server-start": "The database server doesn't start",
  "server-version": "The database server is too old",
  "server-unreachable": "The database server can't be reached",
  "schema-version": "The database is of another version",
  "data-folder": "The data folder can't be used",
  "disk-full": "The disk is full",
  conflict: "It doesn't go together with what stands",
  "not-found": "There is no such thing",
  "bad-input": "Something in the request is wrong",
  "cut-off": "The body broke off",
  unauthorized: "A token is needed",
  forbidden: "The token isn't good for this",
  "too-large": "Larger than what is taken",
  "unsupported-type": "Not a type of content that is taken",
  misdirected: "Not a name that this program answers to",
  unreadable: "Nothing of the log can be taken",
  unsettled: "A person has to settle how the log is read",
  "too-many": "Too many requests",
  cancelled: "It was cancelled",
  busy: "No connection to the database is free",
  defect: "A defect of this program",
};

/** HTTP status of a problem. */
export function statusOf(code: ProblemCode): number {
  return code === "defect" ? 500 : HTTP_STATUS[code];
}

/** Seconds after which another try is worth it where the failure itself doesn't say. */
const RETRY_AFTER_S: { readonly [C in ProblemCode]?: number } = {
  busy: 1,
  "server-unreachable": 5,
  "too-many": 1,
};

/**
 * The answer to a failed request in the form of RFC 9457, application/problem+json: type, title, status, detail and
 * instance, and of our own `code`, and where known `where`, `hint`, `retryAfterS` and further figures.
 *
 * @param error an AppError; of anything else nothing is told but that it is a defect
 * @param instance path and query of the request
 */
export function problemResponse(error: unknown, instance: string, headers: HeadersInit = {}): Response {
  const known = error instanceof AppError ? error : null;
  const code: ProblemCode = known?.code ?? "defect";
  const { where, hint, figures, retryAfterS = RETRY_AFTER_S[code] } = known?.more ?? {};
  const body = {
    type: `${PROBLEM_BASE}${code}`,
    title: PROBLEM_TITLES[code],
    status: statusOf(code),
    detail:
      known?.message ??
      "The program failed where it should not have; its messages say more. Nothing of this request was stored.",
    instance,
    code,
    ...(where === undefined ? {} : { where }),
    ...(hint === undefined ? {} : { hint }),
    ...(retryAfterS === undefined ? {} : { retryAfterS }),
    ...figures,
  };
  const made = new Headers(headers);
  made.set("content-type", "application/problem+json");
  made.set("cache-control", "no-store");
  if (retryAfterS !== undefined) made.set("retry-after", String(retryAfterS));
  return new Response(JSON.stringify(body), { status: body.status, headers: made });
}
