import type { LocalClock } from "../../src/analysis/local-time";
import { formatLocalTime } from "../../src/report/format";
import type { Statement } from "../../src/report/month-summary";
import { dayAtHref } from "../_format/day-address";

/** Where a figure of a sentence comes from. */
export type StatementLink = { href: string; text: string };

/** Where the figure that speaks for an advice is listed; null where it has no place of its own. */
export function adviceLink(
  code: string,
  { slug, month }: { slug: string; month: string },
): StatementLink | null {
  if (code.startsWith("move-from-")) return { href: `/sites/${slug}/legs?month=${month}`, text: "the legs" };
  const narrowed = TRANSFERS_OF_ADVICE[code];
  return narrowed === undefined
    ? null
    : { href: `/sites/${slug}/transfers?month=${month}&${narrowed}`, text: "these transfers" };
}

const TRANSFERS_OF_ADVICE: { readonly [code: string]: string } = {
  stagger: "tag=stacked-starts",
  "battery-low": "cause=low-battery",
  nuisance: "tag=within-allowance",
  scheduled: "cause=scheduled",
  faults: "cause=fault",
};

/** Where the figure of a month's statement is seen or listed; null where the statement has no place of its own. */
export function statementLink(
  { code, atMs }: Pick<Statement, "code" | "atMs">,
  { slug, month }: { slug: string; month: string },
  clock: LocalClock,
): StatementLink | null {
  const site = `/sites/${slug}`;
  const transfers = (text: string, narrowed = ""): StatementLink => ({
    href: `${site}/transfers?month=${month}${narrowed}`,
    text,
  });
  if (code.startsWith("not-in-log-")) return null;
  if (code.startsWith("cause-")) return transfers("these transfers", `&cause=${code.slice("cause-".length)}`);
  if (code.startsWith("fuller-leg-"))
    return transfers("these transfers", `&leg=${code.slice("fuller-leg-".length)}`);
  if (code.startsWith("near-limit-")) return { href: "#near-limit", text: "how long each leg ran near it" };
  switch (code) {
    case "coverage":
    case "losses":
      return { href: `${site}/quality?month=${month}`, text: "the log’s quality" };
    case "carried":
    case "transfers":
    case "return-delay":
      return transfers("the transfers");
    case "avoidable":
      return transfers("these transfers", "&tag=avoidable");
    case "nuisance":
      return transfers("these transfers", "&tag=within-allowance");
    case "repeats":
      return transfers("these transfers", "&tag=repeat");
    case "dropouts":
      return { href: "#dropouts", text: "each of them" };
    case "imbalance":
    case "stranded-capacity":
      return { href: `${site}/legs?month=${month}`, text: "the legs" };
    case "energy":
    case "solar-fraction":
    case "self-consumption":
      return { href: "#energy", text: "day by day" };
    case "month-before":
      return { href: "#before", text: "both months" };
  }
  return atMs === null
    ? null
    : { href: dayAtHref(slug, atMs, clock), text: `that moment, ${formatLocalTime(atMs, clock)}` };
}
