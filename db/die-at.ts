/** Moments at which a test can have the process die. */
export type DeathMoment = "backup" | "copy" | "refold" | "before-commit" | "recompute";

/**
 * Kills this process without any clean-up if the environment's LEGROOM_DIE_AT names this moment, or in its place and
 * once the one that LEGROOM_DIE_PID names: how the crash tests get at the moments that matter. Does nothing otherwise.
 */
export function dieAt(moment: DeathMoment): void {
  if (process.env.LEGROOM_DIE_AT !== moment) return;
  delete process.env.LEGROOM_DIE_AT;
  process.kill(Number(process.env.LEGROOM_DIE_PID ?? process.pid), "SIGKILL");
}
