import { readFile, stat } from "node:fs/promises";
import { CommandError } from "./command-error";
import { fileProblem } from "./file-problem";

/** Largest JSON document that a command reads: site.json, columns.json, a scenario. */
const MAX_JSON_BYTES = 4 * 1024 * 1024;

/** The JSON document in a file. @throws CommandError that says which file, what is wrong and where */
export async function readJsonFile(path: string, what: string): Promise<unknown> {
  let bytes: Buffer;
  try {
    const { size } = await stat(path);
    if (size > MAX_JSON_BYTES) {
      throw new CommandError(1, `${path} has ${size} bytes; a ${what} has at most ${MAX_JSON_BYTES}.`);
    }
    bytes = await readFile(path);
  } catch (error) {
    if (error instanceof CommandError) throw error;
    throw new CommandError(1, `The ${what} ${path} can't be read: ${fileProblem(error)}.`);
  }
  const text = textOf(bytes);
  if (text === null) throw new CommandError(1, `The ${what} ${path} is not JSON: it is no UTF-8 text.`);
  if (text.trim() === "") throw new CommandError(1, `The ${what} ${path} is not JSON: the file is empty.`);
  try {
    return JSON.parse(text);
  } catch (error) {
    const { message } = error as Error;
    throw new CommandError(1, `The ${what} ${path} is not JSON: ${message}${placeOf(message, text)}.`, [
      "JSON takes double quotes around names and texts, a comma between two entries and none after the last.",
    ]);
  }
}

function textOf(bytes: Buffer): string | null {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    return null;
  }
}

/** The parser counts characters from 0; a person counts lines. */
function placeOf(message: string, text: string): string {
  const position = /at position (\d+)(?! \(line)/.exec(message)?.[1];
  if (position === undefined) return "";
  const before = text.slice(0, Number(position)).split("\n");
  return ` (line ${before.length}, column ${(before.at(-1) ?? "").length + 1})`;
}
