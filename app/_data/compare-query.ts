/** What the address of Compare asks for: two months, or so many days before and after a change. */
export type CompareQuery =
  | { kind: "months"; a: string; b: string }
  | { kind: "change"; change: string; days: number };

/** Days on each side of a change, unasked and at most. */
export const CHANGE_DAYS = { unasked: 14, most: 366 } as const;

/**
 * Reads the query of an address; null where it asks for nothing that there is, and there are no two months to compare
 * unasked.
 *
 * @param months of the site with results, ascending
 */
export function parseCompareQuery(
  query: { readonly [key: string]: string | string[] | undefined },
  months: readonly string[],
): CompareQuery | null {
  const change = dateOf(query.change);
  if (change !== null) {
    const days = typeof query.days === "string" && /^\d{1,3}$/.test(query.days) ? Number(query.days) : 0;
    const asked = days >= 1 && days <= CHANGE_DAYS.most ? days : CHANGE_DAYS.unasked;
    return { kind: "change", change, days: asked };
  }
  const b = months.find((month) => month === query.b) ?? months.at(-1);
  const a = months.find((month) => month === query.a) ?? months.findLast((month) => month < (b ?? ""));
  return a === undefined || b === undefined || a === b ? null : { kind: "months", a, b };
}

/** The query as the end of an address. */
export function compareSearch(query: CompareQuery): string {
  return query.kind === "months"
    ? `?a=${query.a}&b=${query.b}`
    : `?change=${query.change}&days=${query.days}`;
}

/**
 * The days before and after a change, each as its first day and the day after its last. The day of the change belongs
 * to neither: a part of it was before.
 */
export function datesAround(
  change: string,
  days: number,
): { before: readonly [string, string]; after: readonly [string, string] } {
  return {
    before: [shifted(change, -days), change],
    after: [shifted(change, 1), shifted(change, days + 1)],
  };
}

function shifted(date: string, days: number): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);
}

function dateOf(given: string | string[] | undefined): string | null {
  if (typeof given !== "string" || !/^(19|20)\d\d-\d\d-\d\d$/.test(given)) return null;
  const at = Date.parse(`${given}T00:00:00Z`);
  return Number.isNaN(at) || !new Date(at).toISOString().startsWith(given) ? null : given;
}
