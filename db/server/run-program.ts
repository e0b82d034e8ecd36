import { type SpawnOptions, spawn } from "node:child_process";

/** How a program ended, and all that it said on both its outputs. */
export type ProgramEnd = { readonly code: number | null; readonly said: string; readonly error?: Error };

/**
 * Runs a program to its end with `input` on its standard input. Never throws: a program that can't be started has
 * `error`, and `code` null.
 */
export function runProgram(
  program: string,
  given: readonly string[],
  options: SpawnOptions,
  input = "",
): Promise<ProgramEnd> {
  return new Promise((resolve) => {
    const child = spawn(program, given, { ...options, stdio: "pipe" });
    let said = "";
    const hear = (chunk: Buffer) => {
      said += chunk.toString("utf8");
    };
    child.stdout?.on("data", hear);
    child.stderr?.on("data", hear);
    // A program that ends before it has read its input is told by its exit code.
    child.stdin?.on("error", () => {});
    child.stdin?.end(input);
    child.on("error", (error) => resolve({ code: null, said, error }));
    child.on("close", (code) => resolve({ code, said }));
  });
}
