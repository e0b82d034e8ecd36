import { describe, expect, it } from "vitest";
import {
  narrowed,
  parseTransferQuery,
  transferFilters,
  transferSearch,
} from "../../../../app/_data/transfer-query";
import type { Transfer } from "../../../../src/analysis/results";

const MONTHS = ["2026-04", "2026-05"];
const DENVER = "America/Denver";

describe("the query of the transfers' sheet", () => {
  it("comes back as it was from its own address", () => {
    const query = {
      month: "2026-05",
      from: "2026-05-03",
      to: "2026-05-20",
      cause: "overload",
      certainty: "seen",
      leg: "L1",
      tag: "one-leg",
      hour: "21",
      weekday: "0",
    };
    const parsed = parseTransferQuery(query, MONTHS);
    expect(parsed).toEqual(query);
    expect(Object.fromEntries(new URLSearchParams(transferSearch(parsed)))).toEqual(query);
  });

  it("leaves out what it doesn't know", () => {
    const query = {
      month: "2026-06",
      from: "2026-02-30",
      to: "soon",
      cause: "moon",
      certainty: ["seen", "none"],
      leg: "L3",
      tag: "",
      hour: "24",
      weekday: "-1",
    };
    expect(transferSearch(parseTransferQuery(query, MONTHS))).toBe("");
  });

  it("takes a day whole, the last one too, and no more than its month", () => {
    // Denver is 6 hours behind UTC in May.
    expect(transferFilters({ from: "2026-05-03", to: "2026-05-03" }, DENVER)).toMatchObject({
      fromMs: Date.UTC(2026, 4, 3, 6),
      toMs: Date.UTC(2026, 4, 4, 6),
    });
    expect(transferFilters({ month: "2026-05", from: "2026-04-03", to: "2026-05-20" }, DENVER)).toMatchObject(
      {
        fromMs: Date.UTC(2026, 4, 1, 6),
        toMs: Date.UTC(2026, 4, 21, 6),
      },
    );
    expect(transferFilters({}, DENVER)).toMatchObject({ fromMs: undefined, toMs: undefined });
    expect(transferFilters({ tag: "avoidable" }, DENVER)).toMatchObject({ tag: undefined, avoidable: true });
  });

  it("narrows to an hour and a weekday of the site's clock", () => {
    // 4 May 2026 is a Monday; 03:30 UTC of the 5th is still its 21:30 in Denver.
    const evening = { atMs: Date.UTC(2026, 4, 5, 3, 30) } as Transfer;
    const noon = { atMs: Date.UTC(2026, 4, 5, 18) } as Transfer;
    expect(narrowed([evening, noon], { hour: "21" }, DENVER)).toEqual([evening]);
    expect(narrowed([evening, noon], { weekday: "1" }, DENVER)).toEqual([noon]);
    expect(narrowed([evening, noon], { weekday: "0", hour: "12" }, DENVER)).toEqual([]);
    expect(narrowed([evening, noon], {}, DENVER)).toEqual([evening, noon]);
  });
});
