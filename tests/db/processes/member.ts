import { createInterface } from "node:readline";
import { joinServer } from "../../../db/server/join-server";

// A program that joins the database server and says on its standard output what it did, a JSON object a line. It takes
// "ensure" and "leave" on its standard input.

const startedAt = performance.now();
const say = (what: object) => process.stdout.write(`${JSON.stringify(what)}\n`);
try {
  const server = await joinServer();
  say({ url: server.url, embedded: server.embedded, tookMs: performance.now() - startedAt });
  for await (const line of createInterface({ input: process.stdin })) {
    if (line === "ensure") {
      const askedAt = performance.now();
      say({ url: await server.ensure(), tookMs: performance.now() - askedAt });
    }
    if (line === "leave") break;
  }
  process.stdin.destroy();
  await server.leave();
} catch (error) {
  const { code, message } = error as { code?: string; message: string };
  say({ code, message });
  process.exitCode = 1;
}
