import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { TestProject } from "vitest/node";
import { joinServer } from "../../db/server/join-server";

declare module "vitest" {
  interface ProvidedContext {
    /** Address of the server that the database tests of this project make their databases on. */
    serverUrl: string;
    /** Why there is no such server, or empty. */
    serverMissing: string;
  }
}

/** Starts the embedded server once for the test run, on data of its own, and removes both afterwards. */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const dataDir = mkdtempSync(join(tmpdir(), "legroom-tests-"));
  const given = process.env.DATABASE_URL;
  delete process.env.DATABASE_URL;
  const server = await joinServer({ dataDir });
  if (given !== undefined) process.env.DATABASE_URL = given;
  project.provide("serverUrl", server.url);
  project.provide("serverMissing", "");
  return async () => {
    await server.leave();
    rmSync(dataDir, { recursive: true, force: true });
  };
}
