/** A value as JSON that PostgreSQL takes: its text can't hold the character U+0000, which becomes U+FFFD. */
export function storableJson(value: unknown): string {
  return JSON.stringify(value).replaceAll("\\u0000", "\\ufffd");
}
