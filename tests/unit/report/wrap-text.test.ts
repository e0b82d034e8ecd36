import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { PAGE_COLUMNS, wrapText } from "../../../src/report/wrap-text";

describe("text in lines", () => {
  it("stays on one line where it fits, to the column", () => {
    expect(wrapText("one two", "- ")).toBe("- one two");
    expect(wrapText("x".repeat(98), "- ")).toBe(`- ${"x".repeat(98)}`);
    expect(wrapText("")).toBe("");
  });

  it("goes on below its beginning", () => {
    const text = `${"word ".repeat(25)}end`;
    const lines = wrapText(text, "12. ").split("\n");
    expect(lines).toHaveLength(2);
    expect(lines[0].startsWith("12. word")).toBe(true);
    expect(lines[1].startsWith("    word")).toBe(true);
  });

  it("leaves a word that is longer than the page whole", () => {
    const long = "y".repeat(140);
    expect(wrapText(`a ${long} b`, "- ")).toBe(`- a\n  ${long}\n  b`);
  });

  it("keeps a number with its unit", () => {
    expect(wrapText(`${"x".repeat(93)} 12.5 kW, and`)).toBe(`${"x".repeat(93)}\n12.5 kW, and`);
    expect(wrapText(`${"x".repeat(95)} 33.3 % of it`)).toBe(`${"x".repeat(95)}\n33.3 % of it`);
    expect(wrapText(`${"x".repeat(95)} 12 weeks`)).toBe(`${"x".repeat(95)} 12\nweeks`);
  });

  it("never passes the last column and loses no word", () => {
    const words = fc.array(fc.stringMatching(/^[a-z0-9.,%±]{1,30}$/), { minLength: 1, maxLength: 80 });
    fc.assert(
      fc.property(words, (list) => {
        const lines = wrapText(list.join(" "), "- ").split("\n");
        for (const line of lines) expect(line.length).toBeLessThanOrEqual(PAGE_COLUMNS);
        expect(lines.map((line) => line.slice(2)).join(" ")).toBe(list.join(" "));
      }),
    );
  });
});
