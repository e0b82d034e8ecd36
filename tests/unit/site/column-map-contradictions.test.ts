import { describe, expect, it } from "vitest";
import { parseColumnMap } from "../../../src/site/parse-column-map";

const problemsOf = (map: object) => {
  const parsed = parseColumnMap({ version: 1, ...map });
  return parsed.ok ? [] : parsed.problems.map(({ path, message }) => `${path}: ${message}`);
};

describe("a columns.json that contradicts itself", () => {
  it("is refused where a column is two things, by name without case or by number", () => {
    expect(problemsOf({ time: { column: "Stamp" }, channels: { loadL1W: { column: "stamp " } } })).toEqual([
      'channels.loadL1W.column: The column "stamp " is taken for the time (time.column) and for loadL1W (channels.loadL1W.column).',
    ]);
    expect(problemsOf({ channels: { loadW: { column: 4 }, loadL1W: { column: 4 } } })).toHaveLength(1);
    expect(problemsOf({ time: { column: ["Day", "day"] } })).toHaveLength(1);
  });

  it("is refused where a total and a leg are the same column, and taken where they are three", () => {
    const legs = { loadL1W: { column: "A" }, loadL2W: { column: "B" } };
    expect(problemsOf({ channels: { ...legs, loadW: { column: "B" } } })[0]).toContain(
      'The column "B" is taken for',
    );
    expect(problemsOf({ channels: { ...legs, loadW: { column: "C" } } })).toEqual([]);
  });

  it("is refused where a one-way pair is one column, or is turned round", () => {
    expect(problemsOf({ channels: { gridW: { column: { plus: "G", minus: "G" } } } })[0]).toContain(
      "gridW.minus",
    );
    const pair = { column: { plus: "In", minus: "Out" } };
    expect(problemsOf({ channels: { gridW: { ...pair, positive: "export" } } })[0]).toContain(
      "turns both round",
    );
    expect(problemsOf({ channels: { gridW: { ...pair, positive: "import" } } })).toEqual([]);
  });

  it("lets source and fault share a column: a state says either", () => {
    expect(problemsOf({ channels: { source: { column: "State" }, faultCode: { column: "State" } } })).toEqual(
      [],
    );
  });

  it("is refused where a word means two things, or is a fault and none", () => {
    const source = { column: "Feed", words: { Own: "inverter", "own ": "utility" } };
    expect(problemsOf({ channels: { source } })[0]).toContain('The words "Own" and "own " are the same');
    const faultCode = { column: "Code", noFault: ["", "OK"], words: { ok: "fault" } };
    expect(problemsOf({ channels: { faultCode } })[0]).toContain("is a fault");
    const agreed = { column: "Feed", words: { Own: "inverter", OWN: "inverter" } };
    expect(problemsOf({ channels: { source: agreed } })).toEqual([]);
  });

  it("is refused where an epoch is in a zone", () => {
    expect(problemsOf({ time: { column: "t", format: "epoch-s", zone: "America/Denver" } })[0]).toContain(
      "counts from 1970 in UTC",
    );
    expect(problemsOf({ time: { column: "t", format: "epoch-ms", zone: "UTC" } })).toEqual([]);
  });
});
