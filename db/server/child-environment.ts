/**
 * The environment of PostgreSQL's programs and the keeper: nothing of ours, so that a stray PG… variable can't
 * point them elsewhere and no secret of this process shows up in theirs. Read at each start.
 */
export function childEnvironment(): NodeJS.ProcessEnv {
  const kept = process.platform === "win32" ? { SYSTEMROOT: process.env.SYSTEMROOT } : {};
  return { NODE_ENV: process.env.NODE_ENV, PATH: process.env.PATH, LC_ALL: "C", TZ: "UTC", ...kept };
}
