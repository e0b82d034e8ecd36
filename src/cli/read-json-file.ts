import { readFile, stat } from "node:fs/promises";
import { CommandError } from "./command-error";

/** Largest JSON document that a command reads: site.json, columns.json, a scenario. */
const MAX_JSON_BYTES = 4 * 1024 * 1024;

/** The JSON document in a file. @throws CommandError that says which file, what is wrong and where */
export async function readJsonFile(path: string, what: string): Promise<unknown> {
  let text: string;
  try {
    const { size } = await stat(path);
    if (size > MAX_JSON_BYTES) {
      throw new CommandError(1, `${path} has ${size} bytes; a ${what} has at most ${MAX_JSON_BYTES}.`);
    }
    text = await readFile(path, "utf8");
  } catch (error) {
    if (error instanceof CommandError) throw error;
    throw new CommandError(1, `The ${what} ${path} can't be read: ${(error as Error).message}.`);
  }
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (error) {
    throw new CommandError(1, `The ${what} ${path} is not JSON: ${(error as Error).message}.`);
  }
}
