import type { Command } from "../command";
import { CommandError } from "../command-error";
import { serve } from "../serve";

/** `serve`: the app with its server and worker. */
export const serveCommand: Command = {
  name: "serve",
  summary: "the app with its database server and worker",
  usage: "legroom serve [--port 3000] [--host 127.0.0.1]",
  description: `Starts the database server (unless one of ours runs already, or DATABASE_URL names another), the worker
and the web server, starts again what dies, and stops all of it on Ctrl-C. Binding wider than this machine
needs LEGROOM_PASSWORD, and TLS in front.`,
  maxWords: 0,
  options: { port: { type: "string" }, host: { type: "string" } },
  async run(input) {
    const port = input.text("port");
    if (port !== undefined && !/^\d{1,5}$/.test(port)) {
      throw new CommandError(2, `--port is a number from 1 to 65535, got "${port}".`);
    }
    return serve({ port: port === undefined ? undefined : Number(port), host: input.text("host") });
  },
};
