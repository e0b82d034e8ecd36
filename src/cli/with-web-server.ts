import { existsSync } from "node:fs";
import { createServer } from "node:net";
import { join } from "node:path";
import { joinServer } from "../../db/server/join-server";
import { programRoot } from "../../db/server/program-root";
import { buildApp } from "./build-app";
import { CommandError } from "./command-error";
import { superviseChild } from "./serve-child";
import { untilAnswers } from "./until-answers";

/**
 * Runs the web server on a free port of this computer alone for as long as `work` takes. Builds the app first if that
 * has not been done.
 *
 * @param work Gets the server's address.
 * @throws CommandError 1 where the app can't be built or doesn't answer
 */
export async function withWebServer<T>(work: (url: string) => Promise<T>): Promise<T> {
  const root = programRoot();
  if (!existsSync(join(root, ".next", "BUILD_ID")) && !(await buildApp(root, say))) {
    throw new CommandError(1, "The app could not be built; what is above says why.");
  }
  const server = await joinServer();
  const port = await freePort();
  const host = "127.0.0.1";
  const child = superviseChild({
    name: "The web server",
    cwd: root,
    say,
    given: [
      join("node_modules", "next", "dist", "bin", "next"),
      "start",
      "--hostname",
      host,
      "--port",
      String(port),
    ],
    environment: () => ({
      ...process.env,
      NODE_ENV: "production" as const,
      DATABASE_URL: server.url,
      LEGROOM_ROOT: root,
      // Nobody but this process knows of it, and it has no password to type.
      LEGROOM_PASSWORD: "",
    }),
    quiet: true,
  });
  const end = new AbortController();
  const stop = () => end.abort();
  for (const signal of SIGNALS) process.once(signal, stop);
  try {
    if (!(await untilAnswers(host, port, end.signal, say))) {
      throw new CommandError(1, end.signal.aborted ? "Stopped." : "The web server did not answer.");
    }
    return await work(`http://${host}:${port}`);
  } finally {
    for (const signal of SIGNALS) process.off(signal, stop);
    await child.stop();
    await server.leave();
  }
}

const SIGNALS = ["SIGINT", "SIGTERM"] as const;

function say(message: string): void {
  process.stderr.write(`${message}\n`);
}

function freePort(): Promise<number> {
  return new Promise((done, fail) => {
    const server = createServer();
    server.once("error", fail);
    server.listen(0, "127.0.0.1", () => {
      const address = server.address();
      const port = typeof address === "object" && address !== null ? address.port : 0;
      server.close(() => done(port));
    });
  });
}
