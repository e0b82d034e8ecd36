import { existsSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { pathToFileURL } from "node:url";
import postgres from "postgres";
import { AppError } from "../../db/app-error";
import { migrateDatabase } from "../../db/migrate-database";
import { type JoinedServer, joinServer } from "../../db/server/join-server";
import { programRoot } from "../../db/server/program-root";
import { toAppError } from "../../db/to-app-error";
import { buildApp } from "./build-app";
import { serveAddress } from "./serve-address";
import { type SupervisedChild, superviseChild } from "./serve-child";
import { untilAnswers } from "./until-answers";

/** What `serve` can be told. */
export type ServeOptions = {
  /** TCP port of the app; without it the first free one from 3000. */
  port?: number;
  /** Address to listen on; without it this computer only. */
  host?: string;
  /** Called when the app answers, with its address. */
  onReady?: (url: string) => void;
  /** Ends `serve` as SIGTERM does. */
  signal?: AbortSignal;
};

const DATABASE_CHECK_MS = 10_000;
const DATABASE_RETRY_MS = 1_000;

/**
 * Serves the app until SIGINT, SIGTERM or SIGHUP: keeps the database server, the worker and the web server
 * running, starts whichever of them dies again, and leaves none of them running when it ends, even killed. Builds
 * the app first if that has not been done.
 *
 * Results go to standard output, messages to standard error. Gives back the exit code: 0 after a signal, 1 when
 * something is in the way (a taken port, the database), 2 for wrong usage.
 */
export async function serve(options: ServeOptions = {}): Promise<number> {
  const root = programRoot();
  const address = await serveAddress(options);
  if (address.refused !== undefined) {
    say(address.refused);
    return address.exitCode;
  }
  if (!existsSync(join(root, ".next", "BUILD_ID")) && !(await buildApp(root, say))) {
    say('The app could not be built; what is above says why. "npm run build" does it by hand.');
    return 1;
  }
  const end = untilEnd(options.signal);
  let server: JoinedServer;
  try {
    server = await joinServer();
  } catch (error) {
    return refuse(error);
  }
  const { host, port } = address;
  let url = server.url;
  const environment = () => ({
    ...process.env,
    NODE_ENV: "production" as const,
    DATABASE_URL: url,
    LEGROOM_ROOT: root,
  });
  const children: SupervisedChild[] = [];
  const database = watchDatabase(server, (changed) => {
    if (changed === url) return;
    url = changed;
    for (const child of children) child.restart();
  });
  try {
    await migrateDatabase(url);
    const common = { cwd: root, environment, say };
    const requests = pathToFileURL(join(root, "src", "cli", "serve-uploads.js")).href;
    const next = join("node_modules", "next", "dist", "bin", "next");
    children.push(
      superviseChild({
        ...common,
        name: "The worker",
        given: ["--import", "tsx", join("src", "worker", "main.ts")],
      }),
      superviseChild({
        ...common,
        name: "The web server",
        given: ["--import", requests, next, "start", "--hostname", host, "--port", String(port)],
      }),
    );
    if (await untilAnswers(host, port, end.signal, say)) announce(host, port, options.onReady);
    await end.reached;
    return 0;
  } catch (error) {
    return refuse(error);
  } finally {
    database.stop();
    await Promise.all(children.map((child) => child.stop()));
    await server.leave();
    end.forget();
  }
}

function say(message: string): void {
  process.stderr.write(`${message}\n`);
}

function refuse(error: unknown): number {
  const known = toAppError(error);
  if (!(known instanceof AppError)) throw error;
  say(known.message);
  return 1;
}

function announce(host: string, port: number, onReady: ServeOptions["onReady"]): void {
  const url = `http://${host.includes(":") ? `[${host}]` : host}:${port}`;
  process.stdout.write(`Serving on ${url} (Ctrl-C ends it)\n`);
  onReady?.(url);
}

/** The first of the signals that end the program. A second one doesn't wait for what the first one set going. */
function untilEnd(given: AbortSignal | undefined) {
  const ending = new AbortController();
  const names = ["SIGINT", "SIGTERM", "SIGHUP"] as const;
  const onSignal = () => ending.abort();
  for (const name of names) process.on(name, onSignal);
  given?.addEventListener("abort", onSignal, { once: true });
  const reached = new Promise<void>((resolve) => {
    ending.signal.addEventListener("abort", () => resolve(), { once: true });
    if (given?.aborted) ending.abort();
  });
  return {
    signal: ending.signal,
    reached,
    forget() {
      for (const name of names) process.off(name, onSignal);
      given?.removeEventListener("abort", onSignal);
    },
  };
}

/**
 * Keeps the embedded server up. One connection is held open for nothing else: it breaks in the moment the
 * server dies, which is then started again. `onUrl` hears the address it came back under.
 */
function watchDatabase(server: JoinedServer, onUrl: (url: string) => void): { stop(): void } {
  if (!server.embedded) return { stop() {} };
  const stopping = new AbortController();
  const { signal } = stopping;
  void (async () => {
    let { url } = server;
    while (!signal.aborted) {
      await untilBroken(url, signal);
      if (signal.aborted) return;
      try {
        url = await server.ensure();
        onUrl(url);
      } catch (error) {
        say(`The database server is away: ${error instanceof Error ? error.message : String(error)}`);
        await sleep(DATABASE_RETRY_MS, undefined, { signal }).catch(() => {});
      }
    }
  })();
  return { stop: () => stopping.abort() };
}

/** Resolves when the server has closed this connection, when it is time to look after it anyway, or at the signal. */
async function untilBroken(url: string, signal: AbortSignal): Promise<void> {
  let resolve = () => {};
  const broken = new Promise<void>((settle) => {
    resolve = settle;
  });
  const sql = postgres(url, {
    max: 1,
    connect_timeout: 5,
    fetch_types: false,
    onnotice: () => {},
    onclose: () => resolve(),
    connection: { application_name: "legroom serve" },
  });
  const onAbort = () => resolve();
  signal.addEventListener("abort", onAbort, { once: true });
  const timer = setTimeout(resolve, DATABASE_CHECK_MS);
  try {
    await sql`select 1`;
    await broken;
  } catch {
    // It didn't even answer: to be looked after at once.
  } finally {
    clearTimeout(timer);
    signal.removeEventListener("abort", onAbort);
    await sql.end({ timeout: 1 });
  }
}
