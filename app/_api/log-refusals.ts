import { AppError } from "../../db/app-error";
import type { SiteRow } from "../../db/queries/site-by-slug";
import type { ChosenMap } from "../../src/ingest/choose-map";
import type { Refusal } from "../../src/ingest/refusal";

const RETRY_AFTER_S = 5;

/** A person must settle how the log is read: it is kept, as it came. */
export function unsettled({ slug }: SiteRow, logId: number, { sniffed }: ChosenMap): AppError {
  const screen = `/sites/${slug}/logs/${logId}`;
  return new AppError(
    "unsettled",
    `The log doesn't say everything about how it is read: ${sniffed.ask.map(({ choice }) => choice).join(", ")}. It is kept as it came, and nothing of it is imported so far.`,
    {
      more: {
        hint: `Open ${screen} and settle it there once: later logs of this shape are then read the same way.`,
        figures: {
          logId,
          screen,
          questions: sniffed.ask.map(({ choice, why, options }) => ({ choice, why, options })),
        },
      },
    },
  );
}

/** Nothing of the log can be taken, for the reason given or for rows that a request wanted all of. */
export function unreadable(problem: Refusal | null): AppError {
  if (problem === null) return new AppError("unreadable", "Nothing of the log can be taken.");
  const { code, what, where, hint } = problem;
  return new AppError("unreadable", `${what} Nothing of it was stored.`, {
    more: { where, hint, figures: { logCode: code } },
  });
}

/** Too much is under way. */
export function tooMany(message: string): AppError {
  return new AppError("too-many", `${message} Nothing of this one was stored.`, {
    more: { hint: "Send it again after as many seconds as Retry-After says.", retryAfterS: RETRY_AFTER_S },
  });
}
