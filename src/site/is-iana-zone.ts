/**
 * Whether the run-time knows this name as a zone of the IANA time zone database ("America/Denver", "UTC").
 * Offsets such as "+05:00" are no zones: they don't know a clock change.
 */
export function isIanaZone(zone: string): boolean {
  if (!/^[A-Za-z][A-Za-z0-9_+\-/]*$/.test(zone)) return false;
  try {
    new Intl.DateTimeFormat("en-US", { timeZone: zone });
    return true;
  } catch {
    return false;
  }
}
