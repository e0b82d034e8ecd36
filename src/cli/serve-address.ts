import { createServer } from "node:net";

/** Where the app listens, or why it can't. */
export type ServeAddress =
  | { readonly host: string; readonly port: number; readonly refused?: undefined }
  | { readonly refused: string; readonly exitCode: 1 | 2 };

const DEFAULT_PORT = 3000;
const PORTS_TRIED = 20;

/**
 * Settles the address of the app: the loopback interface unless `host` says otherwise, and then only with a
 * password in LEGROOM_PASSWORD; `port`, or the first free one from 3000 when none is given.
 */
export async function serveAddress(options: { host?: string; port?: number }): Promise<ServeAddress> {
  const host = options.host ?? "127.0.0.1";
  if (!isLoopback(host) && !process.env.LEGROOM_PASSWORD) {
    return {
      exitCode: 2,
      refused:
        `On ${host} everybody in that network could read and change everything. Set a password in ` +
        "LEGROOM_PASSWORD, put a proxy with TLS in front, and start again; or leave --host out to serve this computer only.",
    };
  }
  const wanted = options.port ?? DEFAULT_PORT;
  if (!Number.isInteger(wanted) || wanted < 1 || wanted > 65_535) {
    return { exitCode: 2, refused: `--port must be a whole number from 1 to 65535, got ${wanted}.` };
  }
  const last = options.port === undefined ? wanted + PORTS_TRIED : wanted;
  for (let port = wanted; port <= last; port++) {
    const trouble = await tryPort(host, port);
    if (trouble === undefined) return { host, port };
    if (trouble === "EADDRNOTAVAIL" || trouble === "ENOTFOUND" || trouble === "EAI_AGAIN") {
      return { exitCode: 2, refused: `This computer has no address ${host} to serve on (${trouble}).` };
    }
    if (trouble === "EACCES" && options.port !== undefined) {
      return {
        exitCode: 1,
        refused: `This user may not serve on port ${port}. Choose one above 1023, for example --port 3000.`,
      };
    }
  }
  return {
    exitCode: 1,
    refused:
      options.port === undefined
        ? `The ports ${wanted} to ${last} are all taken on ${host}. Name a free one, for example --port 8080.`
        : `Port ${wanted} on ${host} is taken by another program. Choose another, for example --port ${nextPort(wanted)}, ` +
          "or leave --port out to take the next free one.",
  };
}

function isLoopback(host: string): boolean {
  return host === "localhost" || host === "::1" || /^127(\.\d{1,3}){3}$/.test(host);
}

function nextPort(port: number): number {
  return port < 65_535 ? port + 1 : port - 1;
}

/** Undefined when the port is free, else the system's code for why it isn't to be had. */
function tryPort(host: string, port: number): Promise<string | undefined> {
  return new Promise((resolve) => {
    const server = createServer();
    server.once("error", (error: NodeJS.ErrnoException) => resolve(error.code ?? error.message));
    server.listen({ host, port, exclusive: true }, () => server.close(() => resolve(undefined)));
  });
}
