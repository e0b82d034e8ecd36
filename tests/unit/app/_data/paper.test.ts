import { describe, expect, it } from "vitest";
import { pageRule, paperOf } from "../../../../app/_data/paper";

describe("the paper of a report", () => {
  it("is that of the address, and none for anything else", () => {
    expect(paperOf("a4")).toBe("a4");
    expect(paperOf("letter")).toBe("letter");
    for (const given of [undefined, "", "A4", "a3", ["a4", "letter"]]) expect(paperOf(given)).toBeNull();
  });

  it("leaves the size to the browser where none is given", () => {
    expect(pageRule(null, "May")).not.toMatch(/[{ ]size: /);
    expect(pageRule("letter", "May")).toContain("{ size: letter;");
    expect(pageRule("a4", "May")).toContain("{ size: A4;");
  });

  it("lets no name of a site out of its string", () => {
    const rule = pageRule("a4", 'A"; } </style><script>x\\');
    expect(rule).not.toMatch(/<|>|\\x|"A"/);
    // CSS Syntax 3, 4.3.7: an escape is up to six hex digits and one space.
    expect(rule).toContain('"A\\22 \\3b  \\7d  \\3c \\2f style\\3e \\3c script\\3e x\\5c "');
  });

  it("keeps letters of any language", () => {
    expect(pageRule(null, "Töpferei Ångström, mai 2026")).toContain('"Töpferei Ångström, mai 2026"');
  });
});
