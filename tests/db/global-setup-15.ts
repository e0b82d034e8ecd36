import type { TestProject } from "vitest/node";
import { type Postgres15, startPostgres15 } from "./postgres-15";

/** Starts a PostgreSQL 15 for the test run. Where there is none, every test that asks for a database fails. */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  let server: Postgres15 | undefined;
  let missing = "";
  try {
    server = await startPostgres15();
  } catch (error) {
    missing = String(error);
  }
  project.provide("serverUrl", server?.url ?? "");
  project.provide("serverMissing", missing);
  return async () => {
    await server?.stop();
  };
}
