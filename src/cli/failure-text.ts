import { AppError } from "../../db/app-error";
import { toAppError } from "../../db/to-app-error";
import { CommandError } from "./command-error";

/**
 * What a command that failed says on standard error, and its exit code: what is wrong, then what to do about it. What
 * the file system refuses (a full disk, no right to write) is no defect; whatever is left is, and shows where.
 */
export function failureText(thrown: unknown): { exitCode: 1 | 2; lines: readonly string[] } {
  const error = toAppError(thrown);
  if (error instanceof CommandError) {
    return {
      exitCode: error.exitCode,
      lines: [`legroom: ${error.message}`, ...error.details.map((d) => `  ${d}`)],
    };
  }
  if (error instanceof AppError) return { exitCode: 1, lines: [`legroom: ${error.message}`] };
  const { syscall, code, path, message } = error as NodeJS.ErrnoException;
  if (typeof syscall === "string" && path !== undefined) {
    return { exitCode: 1, lines: [`legroom: ${path} can't be used: ${message}.`] };
  }
  // Sentences of ingest about a folder carry the system's code and no call.
  if (syscall === undefined && typeof code === "string" && /^E[A-Z]+$/.test(code)) {
    return { exitCode: 1, lines: [`legroom: ${message}`] };
  }
  return {
    exitCode: 1,
    lines: [`legroom: this is a defect of the program: ${error instanceof Error ? error.stack : error}`],
  };
}
