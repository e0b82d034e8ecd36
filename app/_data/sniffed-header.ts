import type { SniffedLog } from "../../src/ingest/sniff-log";

/** Whether the log has a line of column names; without one its columns are named by number. */
export function hasHeader({ evidence }: Pick<SniffedLog, "evidence">): boolean {
  return evidence.find(({ choice }) => choice === "header")?.value !== "none";
}
