/** The name of a transfer in its address: its instant in UTC, basic ISO 8601. @example "20260514T180233Z" */
export function transferId(atMs: number): string {
  const iso = new Date(atMs).toISOString();
  const fraction = atMs % 1000 === 0 ? "" : iso.slice(19, 23);
  return `${iso.slice(0, 19).replaceAll(/[-:]/g, "")}${fraction}Z`;
}

/** The instant that a transfer's name says; null where it is none. */
export function parseTransferId(id: string): number | null {
  const match = /^(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)(\.\d{3})?Z$/.exec(id);
  if (match === null) return null;
  const [, year, month, day, hour, minute, second, fraction = ""] = match;
  const atMs = Date.parse(`${year}-${month}-${day}T${hour}:${minute}:${second}${fraction}Z`);
  return Number.isNaN(atMs) || transferId(atMs) !== id ? null : atMs;
}
