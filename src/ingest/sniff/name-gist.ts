/** So much of a text can be a name with its unit; a longer one is something else, or damage. */
const MAX_CHARACTERS = 300;

/**
 * What of a column's name, or of a cell that may be one, is looked at for its meaning: its beginning. Patterns that try
 * every blank of a text would take minutes over a hundred thousand of them.
 */
export function nameGist(text: string): string {
  return text.length <= MAX_CHARACTERS ? text : text.slice(0, MAX_CHARACTERS);
}
