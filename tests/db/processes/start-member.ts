import { type ChildProcess, spawn } from "node:child_process";
import { createInterface } from "node:readline";
import { programRoot } from "../../../db/server/program-root";

/** What a member said: where the server is, or why it isn't. */
export type Said = { url?: string; embedded?: boolean; tookMs?: number; code?: string; message?: string };

/** A process of its own that holds on to the server. */
export type Member = {
  readonly process: ChildProcess;
  /** The next thing it says. */
  said(): Promise<Said>;
  /** Asks it to see that the server runs. */
  ensure(): Promise<Said>;
  /** Asks it to leave; resolves when it has ended. */
  leave(): Promise<void>;
  /** kill -9; resolves when it has ended. */
  kill(): Promise<void>;
};

/** Starts a member of the server in `dataDir`; of the checkout at `root`, as another user if one is given. */
export function startMember(
  dataDir: string,
  options: { root?: string; uid?: number; gid?: number; env?: Record<string, string> } = {},
): Member {
  const { root = programRoot(), uid, gid, env } = options;
  const { DATABASE_URL: _, LEGROOM_ROOT: __, ...inherited } = process.env;
  const child = spawn(process.execPath, ["--import", "tsx", "tests/db/processes/member.ts"], {
    cwd: root,
    env: { ...inherited, LEGROOM_DATA_DIR: dataDir, ...env } as NodeJS.ProcessEnv,
    stdio: ["pipe", "pipe", "inherit"],
    ...(uid !== undefined && { uid, gid }),
  });
  const ended = new Promise<void>((resolve) => child.once("close", () => resolve()));
  const heard: Said[] = [];
  const waiting: ((said: Said) => void)[] = [];
  createInterface({ input: child.stdout }).on("line", (line) => {
    const said = JSON.parse(line) as Said;
    const next = waiting.shift();
    if (next) next(said);
    else heard.push(said);
  });
  child.once("close", () => {
    for (const next of waiting.splice(0)) next({ message: "ended without a word" });
  });
  child.stdin.on("error", () => {});
  const said = () =>
    new Promise<Said>((resolve) => {
      const first = heard.shift();
      if (first) resolve(first);
      else if (child.exitCode !== null || child.signalCode !== null) resolve({ message: "has ended" });
      else waiting.push(resolve);
    });
  return {
    process: child,
    said,
    ensure() {
      child.stdin.write("ensure\n");
      return said();
    },
    leave() {
      child.stdin.write("leave\n");
      return ended;
    },
    kill() {
      child.kill("SIGKILL");
      return ended;
    },
  };
}
