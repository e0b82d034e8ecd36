import type { Fault } from "./faults";

/** A file's text with a fault planted in it. Throws where the text to be replaced isn't there exactly once. */
export function plantIn(text: string, { file, find, plant }: Fault): string {
  const parts = text.split(find);
  if (parts.length !== 2) {
    throw new Error(
      `${file} holds the fault's text ${parts.length - 1} times instead of once; mend the list: ${JSON.stringify(find)}`,
    );
  }
  return parts.join(plant);
}
