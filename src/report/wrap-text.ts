/** Columns of a page in plain text: what fits a terminal, and paper in a readable size. */
export const PAGE_COLUMNS = 100;

/** Units that stay on the line of their number. */
const UNITS = /^(W|kW|VA|kVA|V|A|Ah|Wh|kWh|s|min|h|d|%|°C)\b|^%|^°C/;

/**
 * A text broken into lines of at most PAGE_COLUMNS at its spaces, a number never from its unit. What is longer than a
 * line stands on one of its own.
 *
 * @param first what the first line begins with, as "- "
 * @param rest what every further line begins with, as "  "
 * @example wrapText("one two", "- ") // "- one two"
 */
export function wrapText(text: string, first = "", rest = " ".repeat(first.length)): string {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const part of unbreakable(text)) {
    if (!empty && line.length + 1 + part.length > PAGE_COLUMNS) {
      lines.push(line);
      line = rest;
      empty = true;
    }
    line += empty ? part : ` ${part}`;
    empty = false;
  }
  lines.push(line);
  return lines.join("\n");
}

/** Words, those of a number and its unit together. */
function unbreakable(text: string): string[] {
  const parts: string[] = [];
  for (const word of text.split(/ +/)) {
    const last = parts.length - 1;
    if (last >= 0 && /\d$/.test(parts[last]) && UNITS.test(word)) parts[last] += ` ${word}`;
    else parts.push(word);
  }
  return parts;
}
