import { writeOut } from "./write-out";

/** Prints one JSON object on standard output, and nothing else; waits until it is out. */
export async function printJson(value: unknown): Promise<void> {
  await writeOut(`${JSON.stringify(value, null, 2)}\n`);
}
