import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { ERROR_CATALOGUE } from "../../../src/ingest/error-catalogue";
import { createRejects, MAX_REJECT_INSTANCES } from "../../../src/ingest/rejects";

describe("createRejects", () => {
  it("keeps where an instance is, its column from 1 and the first 200 characters of its text", () => {
    const rejects = createRejects("may.csv");
    rejects.add("cell.not-a-number", 7, { index: 2, name: "l1" }, "x".repeat(500), "guessed");
    expect(rejects.instances).toEqual([
      {
        file: "may.csv",
        line: 7,
        column: 3,
        columnName: "l1",
        code: "cell.not-a-number",
        text: "x".repeat(200),
        rule: "guessed",
      },
    ]);
  });

  it("counts exactly beyond the instances that it keeps, and forgets all when cleared", () => {
    const rejects = createRejects("may.csv");
    for (let i = 0; i < MAX_REJECT_INSTANCES + 5; i++) rejects.add("row.no-channel", i, null, "", "given");
    expect(rejects.codes).toEqual({ "row.no-channel": MAX_REJECT_INSTANCES + 5 });
    expect(rejects.instances.length).toBe(MAX_REJECT_INSTANCES);
    rejects.clear();
    expect([rejects.codes, rejects.instances]).toEqual([{}, []]);
  });
});

describe("the error catalogue", () => {
  it("has title, description and hint for every code, under the level that the code begins with", () => {
    for (const [code, entry] of Object.entries(ERROR_CATALOGUE)) {
      expect(code.startsWith(`${entry.level}.`)).toBe(true);
      for (const text of [entry.title, entry.description, entry.hint]) expect(text.length).toBeGreaterThan(5);
    }
  });

  it("has no code that nothing in ingest gives", () => {
    const source = readdirSync("src/ingest", { recursive: true, encoding: "utf8" })
      .filter((f) => f.endsWith(".ts") && !f.endsWith("error-catalogue.ts"))
      .map((f) => readFileSync(`src/ingest/${f}`, "utf8"))
      .join("\n");
    const unused = Object.keys(ERROR_CATALOGUE).filter((code) => !source.includes(`"${code}"`));
    expect(unused).toEqual([]);
  });
});
