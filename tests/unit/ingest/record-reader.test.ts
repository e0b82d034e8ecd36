import { describe, expect, it } from "vitest";
import { createRecordReader, MAX_RECORD_CHARS, type RecordBlock } from "../../../src/ingest/record-reader";

function read(text: string, columns: number | null = 3, newline: "\n" | "\r" = "\n") {
  const reader = createRecordReader({ delimiter: ",", newline, columns });
  const blocks: RecordBlock[] = [reader.push(text), reader.end()];
  return {
    rows: blocks.flatMap((b) => b.rows.map((cells, i) => [b.lines?.[i] ?? b.firstLine + i, ...cells])),
    broken: blocks.flatMap((b) => b.broken.map((x) => [x.line, x.code])),
  };
}

describe("createRecordReader", () => {
  it("gives nothing for nothing, and a blank record for a blank line", () => {
    expect(read("")).toEqual({ rows: [], broken: [] });
    expect(read("\n").rows).toEqual([[1, ""]]);
    expect(read("a,b,c\n\nd,e,f").rows).toEqual([
      [1, "a", "b", "c"],
      [2, ""],
      [3, "d", "e", "f"],
    ]);
  });

  it("ends lines at LF, CRLF and a lone CR alike, in one file", () => {
    expect(read("a,b,c\r\nd,e,f\rg,h,i\nj,k,l").rows).toEqual([
      [1, "a", "b", "c"],
      [2, "d", "e", "f"],
      [3, "g", "h", "i"],
      [4, "j", "k", "l"],
    ]);
    expect(read("a,b,c\rd,e,f\r", 3, "\r").rows).toEqual([
      [1, "a", "b", "c"],
      [2, "d", "e", "f"],
    ]);
  });

  it("counts the lines inside of quotes", () => {
    expect(read('a,"x\ny\r\nz",c\nd,e,f\n').rows).toEqual([
      [1, "a", "x\ny\r\nz", "c"],
      [4, "d", "e", "f"],
    ]);
  });

  it("takes a quote inside of a field as it stands", () => {
    expect(read('a,5" pipe,c\nd,e,f\n').rows[0]).toEqual([1, "a", '5" pipe', "c"]);
  });

  it("reports an open quote on its line and recovers the rest, at the end of the file", () => {
    expect(read('a,b,c\nd,"e,f\ng,h,i\n')).toEqual({
      rows: [
        [1, "a", "b", "c"],
        [3, "g", "h", "i"],
      ],
      broken: [[2, "row.open-quote"]],
    });
  });

  it("doesn't let an open quote swallow lines up to the next quote", () => {
    expect(read('a,"b,c\nd,e,f\ng,"h",i\nj,k,l\n')).toEqual({
      rows: [
        [2, "d", "e", "f"],
        [3, "g", "h", "i"],
        [4, "j", "k", "l"],
      ],
      broken: [[1, "row.open-quote"]],
    });
  });

  it("doesn't take a quote that closes lines later for a field where the record then has too few of them", () => {
    expect(read('a,"b,c\nd,e,f"\ng,h,i\n')).toEqual({
      rows: [
        [2, "d", "e", 'f"'],
        [3, "g", "h", "i"],
      ],
      broken: [[1, "row.open-quote"]],
    });
  });

  it("bounds a record that comes in many pieces", () => {
    const reader = createRecordReader({ delimiter: ",", newline: "\n", columns: 3 });
    const line = "d,e,f\n".repeat(1000);
    let rows = reader.push('a,"b,c\n').rows.length;
    const broken: (readonly [number, string])[] = [];
    for (let n = 0; n < MAX_RECORD_CHARS / line.length + 10; n++) {
      const block = reader.push(line);
      rows += block.rows.length;
      broken.push(...block.broken.map((b) => [b.line, b.code] as const));
    }
    expect(broken).toEqual([[1, "row.open-quote"]]);
    expect(rows).toBeGreaterThan(100_000);
  });

  it("reports a line past the bound once, however many pieces it comes in", () => {
    const reader = createRecordReader({ delimiter: ",", newline: "\n", columns: 3 });
    const blocks = [reader.push("a,b,c\n")];
    for (let n = 0; n < 5; n++) blocks.push(reader.push("x".repeat(MAX_RECORD_CHARS)));
    blocks.push(reader.push("\nd,e,f\n"), reader.end());
    expect(blocks.flatMap((b) => b.broken).map((b) => [b.line, b.code])).toEqual([[2, "row.field-count"]]);
    expect(blocks.flatMap((b) => b.rows.map((r, i) => [b.lines?.[i] ?? b.firstLine + i, r[0]]))).toEqual([
      [1, "a"],
      [3, "d"],
    ]);
  });
});
