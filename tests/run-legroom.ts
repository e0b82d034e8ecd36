import { type ChildProcess, spawn } from "node:child_process";
import { text } from "node:stream/consumers";
import { programRoot } from "../db/server/program-root";

/** What a run of the command came to. */
export type LegroomRun = { code: number | null; signal: NodeJS.Signals | null; out: string; err: string };

/** The real command in a process of its own. `environment` is added to this process's without its DATABASE_URL. */
export function startLegroom(
  words: readonly string[],
  environment: Record<string, string> = {},
): { child: ChildProcess; ended: Promise<LegroomRun> } {
  const { DATABASE_URL: _, LEGROOM_DIE_AT: __, ...inherited } = process.env;
  const child = spawn(process.execPath, ["--import", "tsx", "src/cli/main.ts", ...words], {
    cwd: programRoot(),
    env: { ...inherited, ...environment } as NodeJS.ProcessEnv,
    stdio: ["ignore", "pipe", "pipe"],
  });
  const exit = new Promise<[number | null, NodeJS.Signals | null]>((resolve) =>
    child.once("close", (code, signal) => resolve([code, signal])),
  );
  const ended = Promise.all([exit, text(child.stdout), text(child.stderr)]).then(
    ([[code, signal], out, err]) => ({ code, signal, out, err }),
  );
  return { child, ended };
}

/** Runs the command to its end. */
export function runLegroom(
  words: readonly string[],
  environment: Record<string, string> = {},
): Promise<LegroomRun> {
  return startLegroom(words, environment).ended;
}
