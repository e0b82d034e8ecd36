import { spawn } from "node:child_process";
import { once } from "node:events";
import { connect } from "node:net";
import { setTimeout as sleep } from "node:timers/promises";
import { expect, it } from "vitest";

// Node's limit for a whole request, 300 s, lowered to one second: what is loaded before the web server must lift it.

const SERVER = `
  const { createServer } = require("node:http");
  const limits = { requestTimeout: 1000, headersTimeout: 1000, connectionsCheckingInterval: 100 };
  const server = createServer(limits, async (request, response) => {
    let size = 0;
    try {
      for await (const piece of request) size += piece.length;
      response.end("came: " + size);
    } catch {}
  });
  server.listen(0, "127.0.0.1", () => console.log(server.address().port));
`;

/** What a client is told that sends a body for three seconds, a piece every 200 ms. */
async function slowUpload(given: readonly string[]): Promise<string> {
  const child = spawn(process.execPath, [...given, "-e", SERVER], { stdio: ["ignore", "pipe", "inherit"] });
  try {
    const [port] = await once(child.stdout, "data");
    const socket = connect(Number(port), "127.0.0.1");
    let answer = "";
    socket.on("data", (bytes) => {
      answer += bytes;
    });
    socket.on("error", () => {});
    socket.write("POST / HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: 15\r\n\r\n");
    for (let sent = 0; sent < 15 && socket.writable; sent++) {
      socket.write("x");
      await sleep(200);
    }
    if (!socket.closed) await once(socket, "close");
    return answer;
  } finally {
    child.kill();
  }
}

it("lets a request come in for longer than Node does by itself", async () => {
  const [alone, served] = await Promise.all([
    slowUpload([]),
    slowUpload(["--import", "./src/cli/serve-uploads.js"]),
  ]);
  expect(alone).toContain("408 Request Timeout");
  expect(served).toMatch(/^HTTP\/1.1 200 OK[\s\S]*came: 15$/);
});
