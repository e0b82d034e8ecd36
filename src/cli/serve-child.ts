import { type ChildProcess, spawn } from "node:child_process";
import { pathToFileURL } from "node:url";

/** A child process that is kept running. */
export type SupervisedChild = {
  /** The process id of the one that runs now; undefined between two. */
  readonly pid: number | undefined;
  /** Ends the one that runs and starts another, which sees the environment of that moment. */
  restart(): void;
  /** Ends it for good. */
  stop(): Promise<void>;
};

const FIRST_DELAY_MS = 200;
const LONGEST_DELAY_MS = 5_000;
/** One that has run this long has started well: the next failure is a new one. */
const SETTLED_MS = 20_000;
const STOP_GRACE_MS = 8_000;

/**
 * Runs a Node program as a child and starts it again whenever it ends, after a pause that doubles from 0.2 to 5
 * seconds while it keeps failing. The child ends when this process does, however it ends (serve-leash.js).
 *
 * @param options.name What messages call it.
 * @param options.given Node's arguments.
 * @param options.cwd The folder it works in.
 * @param options.environment Asked anew at each start.
 * @param options.say Takes messages for a person.
 * @param options.quiet Leaves its standard output away.
 */
export function superviseChild(options: {
  name: string;
  given: readonly string[];
  cwd: string;
  environment: () => NodeJS.ProcessEnv;
  say: (message: string) => void;
  quiet?: boolean;
}): SupervisedChild {
  let child: ChildProcess | undefined;
  let delayMs = FIRST_DELAY_MS;
  let waiting: NodeJS.Timeout | undefined;
  let stopped = false;

  const start = () => {
    const startedAt = performance.now();
    const leash = pathToFileURL(`${options.cwd}/src/cli/serve-leash.js`).href;
    const started = spawn(process.execPath, ["--import", leash, ...options.given], {
      cwd: options.cwd,
      env: options.environment(),
      stdio: ["pipe", options.quiet === true ? "ignore" : "inherit", "inherit"],
      // A group of its own, so that Ctrl-C reaches only the supervisor, which then ends all in order.
      detached: process.platform !== "win32",
    });
    child = started;
    started.stdin?.on("error", () => {});
    const ended = (how: string) => {
      if (child !== started) return;
      child = undefined;
      if (stopped) return;
      if (performance.now() - startedAt > SETTLED_MS) delayMs = FIRST_DELAY_MS;
      options.say(`${options.name} ended (${how}); starting it again.`);
      waiting = setTimeout(start, delayMs);
      delayMs = Math.min(2 * delayMs, LONGEST_DELAY_MS);
    };
    started.on("error", (error) => ended(error.message));
    started.on("exit", (code, signal) => ended(signal ?? `exit code ${code}`));
  };

  start();
  return {
    get pid() {
      return child?.pid;
    },
    restart() {
      if (child) child.kill("SIGTERM");
    },
    async stop() {
      stopped = true;
      clearTimeout(waiting);
      const last = child;
      if (!last || last.exitCode !== null || last.signalCode !== null) return;
      const gone = new Promise((resolve) => last.once("exit", resolve));
      last.kill("SIGTERM");
      const late = setTimeout(() => last.kill("SIGKILL"), STOP_GRACE_MS);
      await gone;
      clearTimeout(late);
    },
  };
}
