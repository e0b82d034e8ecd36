import { describe, expect, it } from "vitest";
import { sniffEncoding } from "../../../../src/ingest/sniff/encoding";

const TABLE = "Zeit;Temperatur °C;Fehler\n2026-05-01 00:00;21,5;keiner\n2026-05-01 00:01;21,6;Überlast\n";
const swap = (bytes: Uint8Array) => Buffer.from(bytes).swap16();
const marked = (mark: readonly number[], bytes: Uint8Array) => Buffer.concat([Buffer.from(mark), bytes]);

describe("sniffEncoding", () => {
  it.each([
    ["ASCII", Buffer.from("t,a\n1,2\n"), "utf-8", false],
    ["UTF-8", Buffer.from(TABLE), "utf-8", false],
    ["UTF-8 with a mark", marked([0xef, 0xbb, 0xbf], Buffer.from(TABLE)), "utf-8", true],
    ["UTF-16 LE with a mark", marked([0xff, 0xfe], Buffer.from(TABLE, "utf16le")), "utf-16le", true],
    ["UTF-16 BE with a mark", marked([0xfe, 0xff], swap(Buffer.from(TABLE, "utf16le"))), "utf-16be", true],
    ["UTF-16 LE", Buffer.from(TABLE, "utf16le"), "utf-16le", false],
    ["UTF-16 BE", swap(Buffer.from(TABLE, "utf16le")), "utf-16be", false],
    ["Latin-1", Buffer.from(TABLE, "latin1"), "windows-1252", false],
    [
      "Windows-1252 with a dash of its own",
      Buffer.from("t,a\n1,\x96\n2,\x80\n", "latin1"),
      "windows-1252",
      false,
    ],
  ])("finds %s", (_, bytes, encoding, isMarked) => {
    expect(sniffEncoding(bytes)).toMatchObject({ ok: true, encoding, marked: isMarked });
  });

  it("finds UTF-8 in a head that ends inside of a character, and in one with a damaged character", () => {
    const bytes = Buffer.from(TABLE);
    const cut = bytes.subarray(0, bytes.indexOf(0xc2) + 1);
    expect(sniffEncoding(cut)).toMatchObject({ encoding: "utf-8" });
    const damaged = Buffer.concat([bytes, Buffer.from([0xff]), bytes]);
    expect(sniffEncoding(damaged)).toMatchObject({
      encoding: "utf-8",
      figures: { utf8Characters: 4, otherCharacters: 1 },
    });
  });

  it("leaves open what a head of ASCII is, until another byte comes", () => {
    expect(sniffEncoding(Buffer.from("t,a\n1,2\n"))).toMatchObject({ open: true });
    expect(sniffEncoding(Buffer.from(TABLE))).toMatchObject({ open: false });
  });

  it("reads on where a power cut left zeros in a log", () => {
    const bytes = Buffer.concat([
      Buffer.from("t,a\n1,2\n"),
      Buffer.alloc(512),
      Buffer.from("3,4\n".repeat(99)),
    ]);
    expect(sniffEncoding(bytes)).toMatchObject({ ok: true, encoding: "utf-8" });
  });

  it.each([
    ["a workbook", Buffer.from([0x50, 0x4b, 3, 4, 20, 0]), /workbook/],
    ["a gzip archive", Buffer.from([0x1f, 0x8b, 8, 0]), /gzip/],
    ["figures in binary", Buffer.from(new Float32Array([1.5, 2.25, 3.125, 4.5, 1e9]).buffer), /binary/],
  ])("refuses %s and says what it is", (_, bytes, what) => {
    expect(sniffEncoding(bytes)).toMatchObject({
      ok: false,
      code: "file.not-a-table",
      what: expect.stringMatching(what),
    });
  });

  it("takes a given encoding, and refuses one that the file contradicts", () => {
    expect(sniffEncoding(Buffer.from(TABLE, "latin1"), "windows-1252")).toMatchObject({ confidence: 1 });
    expect(sniffEncoding(marked([0xff, 0xfe], Buffer.from(TABLE, "utf16le")), "utf-8")).toMatchObject({
      code: "file.encoding",
    });
    expect(sniffEncoding(Buffer.from(TABLE.repeat(3)), "utf-16be")).toMatchObject({ ok: true });
    expect(sniffEncoding(Buffer.from(TABLE, "utf16le"), "utf-8")).toMatchObject({ code: "file.encoding" });
  });
});
