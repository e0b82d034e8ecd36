import type { SniffState } from "./sniff-state";

/** Stage, the last: what can't be seen in any log goes along where a person is asked anyway. */
export function askForStamps(state: SniffState): void {
  if (state.given.time?.stamps !== undefined || state.draft.time.stamps === undefined) return;
  state.question(
    "time.stamps",
    "No log shows whether a time stands at the start or at the end of its interval.",
    ["start", "end"],
  );
}
