import { describe, expect, it } from "vitest";
import { readHead } from "../../../src/ingest/read-head";
import { type Dialect, sniffDialect } from "../../../src/ingest/sniff/dialect";
import { spreadRecords } from "../../../src/ingest/spread-records";

const HEADER = "Time,Load L1 (W),Load L2 (W)";
const rows = (n: number) =>
  Array.from(
    { length: n },
    (_, i) => `${new Date(Date.UTC(2026, 4, 1) + i * 1000).toISOString()},${i},${i % 7}`,
  );
const text = (n: number, more: string[] = []) => `${[HEADER, ...rows(n), ...more].join("\n")}\n`;
const dialect = (of: string) => sniffDialect(of) as Dialect;

describe("spreadRecords", () => {
  it("reads the first records and then every so many, each with its line", () => {
    const of = text(20_000);
    const found = spreadRecords(of, dialect(of), true);
    expect(found?.rows.length).toBeLessThanOrEqual(4001);
    expect(found?.rows.length).toBeGreaterThan(3000);
    const lines = of.split("\n");
    expect(found?.rows.every((cells, i) => cells.join(",") === lines[(found?.lines[i] ?? 0) - 1])).toBe(true);
    expect(found?.lines.slice(0, 3)).toEqual([1, 2, 3]);
  });

  it("leaves few records, quotes and single CRs to the reader of all records", () => {
    const few = text(100);
    expect(spreadRecords(few, dialect(few), true)).toBeNull();
    const quoted = text(5000, ['2026-05-02T00:00:00Z,"1",2']);
    expect(spreadRecords(quoted, dialect(quoted), true)).toBeNull();
    const single = text(5000, ["2026-05-02T00:00:00Z,1,2\r2026-05-02T00:00:01Z,1,2"]);
    const found = spreadRecords(single, dialect(single), true);
    expect(found === null || found.rows.length === found.lines.length).toBe(true);
  });

  it("is not used where a header comes again: its rows may have other columns", () => {
    const of = text(6000, ["Load L2 (W),Load L1 (W),Time", ...Array(3000).fill("3,5,2026-05-02T00:00:00Z")]);
    const read = readHead("x", new TextEncoder().encode(of), true, []);
    expect(read.ok && read.head.rows.length).toBe(6000);
  });
});
