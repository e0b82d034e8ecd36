import { spawn } from "node:child_process";
import { join } from "node:path";

/**
 * Builds the app, its messages on standard error; false when that failed.
 *
 * @param root The program's folder.
 * @param say Takes messages for a person.
 */
export function buildApp(root: string, say: (message: string) => void): Promise<boolean> {
  say("The app is built once before it is served; this takes a minute.");
  return new Promise((resolve) => {
    const child = spawn(process.execPath, [join("node_modules", "next", "dist", "bin", "next"), "build"], {
      cwd: root,
      env: { ...process.env, NODE_ENV: "production" },
      stdio: ["ignore", process.stderr, process.stderr],
    });
    child.on("error", () => resolve(false));
    child.on("exit", (code) => resolve(code === 0));
  });
}
