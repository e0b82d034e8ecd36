/** Columns of a page in plain text: what fits a terminal, and paper in a readable size. */
export const PAGE_COLUMNS = 100;

/**
 * A text broken into lines of at most PAGE_COLUMNS at its spaces. A word that is longer stands on a line of its own.
 *
 * @param first what the first line begins with, as "- "
 * @param rest what every further line begins with, as "  "
 * @example wrapText("one two", "- ") // "- one two"
 */
export function wrapText(text: string, first = "", rest = " ".repeat(first.length)): string {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const word of text.split(/ +/)) {
    if (!empty && line.length + 1 + word.length > PAGE_COLUMNS) {
      lines.push(line);
      line = rest;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  lines.push(line);
  return lines.join("\n");
}
