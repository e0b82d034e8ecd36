import { describe, expect, it } from "vitest";
import { transfersAppendix } from "../../../../app/_tables/transfers-appendix";
import { RATINGS, review, seriesOf, steady } from "../../analysis/samples";

describe("transfers as they stand on paper", () => {
  const { transfers } = review(
    seriesOf([
      ...steady(30, 10, { source: "inverter", loadL1W: 500, loadL2W: 400 }),
      ...steady(20, 10, { source: "utility", loadL1W: 4600, loadL2W: 400 }, 300),
      ...steady(60, 10, { source: "inverter", loadL1W: 500, loadL2W: 400 }, 500),
    ]),
    { ratings: [RATINGS] },
  );
  const table = transfersAppendix(transfers, "America/Denver");
  const cell = (title: string) => table.columns.find((column) => column.title === title)!.text(table.rows[0]);

  it("are a row each", () => {
    expect(table.rows).toHaveLength(1);
    expect(transfersAppendix([], "America/Denver").rows).toEqual([]);
  });

  it("say when, why, how sure, how full and what else", () => {
    expect(cell("At")).toMatch(/^\d{1,2}\u00a0[A-Z][a-z]{2},\u00a0\d\d:\d\d:\d\d$/);
    expect(cell("Cause")).toMatch(/^Overload/);
    expect(cell("Certainty")).toBe("seen in the log");
    expect(cell("Loading")).toBe("L1 1.15");
    expect(cell("On utility")).toMatch(/^3\smin\s20\ss$/);
    expect(cell("What else")).toContain("One leg full");
  });

  it("say of a transfer without tags that they can't be told", () => {
    const [column] = table.columns.filter(({ title }) => title === "What else");
    expect(column.text({ ...transfers[0], tags: null })).toBe("–");
    expect(column.text({ ...transfers[0], tags: [] })).toBe("");
  });
});
