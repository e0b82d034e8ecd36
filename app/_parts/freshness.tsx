import type { ResultsRevision } from "../../db/queries/results-revision";
import { formatInstant } from "../_format/local-time";
import { Message } from "./message";
import { RefreshWhenNewer } from "./refresh-when-newer";

/** Which data the figures stand on, where that isn't the newest; the page renews itself when it is. */
export function Freshness({
  revision,
  slug,
  timezone,
}: {
  revision: ResultsRevision;
  slug: string;
  timezone: string;
}) {
  const { samplesRevision, resultsRevision, resultsComputedAtMs } = revision;
  if (resultsRevision === samplesRevision || (resultsRevision === null && samplesRevision === 0)) return null;
  return (
    <Message kind="caution" title="Results are being computed for the newest samples and settings.">
      <p role="status">
        {resultsRevision === null
          ? "There are none yet. They appear here by themselves."
          : `What you see stands on revision ${resultsRevision}${resultsComputedAtMs === null ? "" : `, computed ${formatInstant(resultsComputedAtMs, timezone)}`}; the newest is ${samplesRevision}. This page renews itself.`}
      </p>
      <RefreshWhenNewer
        href={`/sites/${slug}/revision`}
        than={`${resultsRevision ?? "none"}/${samplesRevision}`}
      />
    </Message>
  );
}
