import { fstatSync } from "node:fs";

/**
 * A signal that is aborted when this process is to end: by SIGINT or SIGTERM, or because its parent is gone,
 * which shows as a closed channel or, where standard input is a pipe, as its end.
 */
export function untilStopped(): AbortSignal {
  const stop = new AbortController();
  const end = () => stop.abort();
  process.once("SIGINT", end);
  process.once("SIGTERM", end);
  if (process.connected) process.once("disconnect", end);
  if (isPipe()) {
    process.stdin.once("end", end);
    process.stdin.once("error", end);
    process.stdin.resume();
  }
  return stop.signal;
}

/** A terminal or the null device as standard input says nothing about a parent. */
function isPipe(): boolean {
  try {
    const input = fstatSync(0);
    return input.isFIFO() || input.isSocket();
  } catch {
    return false;
  }
}
