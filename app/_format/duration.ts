import { formatDuration as inWords } from "../../src/report/format";
import { UNIT_SPACE, UNKNOWN } from "./number";

/** A duration as the sentences give it, without a line break between figure and unit; a dash where not known. */
export function formatDuration(durationS: number | null | undefined): string {
  if (durationS === null || durationS === undefined || !Number.isFinite(durationS)) return UNKNOWN;
  return inWords(durationS).replaceAll(/(\d) /g, `$1${UNIT_SPACE}`);
}
