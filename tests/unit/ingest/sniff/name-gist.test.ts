import { describe, expect, it } from "vitest";
import { nameGist } from "../../../../src/ingest/sniff/name-gist";

describe("what of a name is looked at", () => {
  it("is all of it, as names go", () => {
    expect(nameGist("")).toBe("");
    expect(nameGist("Load L1 (W)")).toBe("Load L1 (W)");
    expect(nameGist("x".repeat(300))).toHaveLength(300);
  });

  it("is the beginning of one that is none", () => {
    expect(nameGist(`Load${" ".repeat(100_000)}kW`)).toBe(`Load${" ".repeat(296)}`);
  });
});
