import { describe, expect, it } from "vitest";
import { SOURCE_CODE } from "../../../src/analysis/series";
import { readLog } from "../../../src/ingest/read-log";
import { columnMap } from "../../../src/site/column-map";
import { collectingSink, countsOf, memoryLog, RECEIVED_AT_MS, readMemoryLog } from "./memory-log";

const MAP = { time: { column: "time" }, channels: { loadL1W: { column: "l1" }, loadL2W: { column: "l2" } } };
const at = (i: number) => new Date(Date.UTC(2026, 4, 1, 6, 0, i)).toISOString();
const rows = (n: number, from = 0) =>
  Array.from({ length: n }, (_, i) => `${at(from + i)},${100 + i},${200 + i}`).join("\n");
const log = (body: string) => `time,l1,l2\n${body}\n`;

async function read(body: string, map: object = MAP) {
  const { verdict, sink } = await readMemoryLog(log(body), map);
  return { counts: countsOf(verdict), codes: verdict.refused ? {} : verdict.codes, verdict, sink };
}

function instances(verdict: Awaited<ReturnType<typeof read>>["verdict"]) {
  return verdict.refused ? [] : verdict.rejects.map((r) => [r.code, r.line, r.column, r.columnName, r.text]);
}

describe("readLog", () => {
  it("takes every row of a plain log, with time, values and line", async () => {
    const { counts, sink } = await read(rows(3));
    expect(counts).toEqual({ records: 3, taken: 3, duplicates: 0, conflicts: 0, rejected: 0, skipped: 0 });
    expect(sink.samples[1]).toMatchObject({ timeMs: Date.parse(at(1)), loadL1W: 101, loadL2W: 201, line: 3 });
  });

  it.each([
    ["an empty file", "", "file.empty"],
    ["white space only", " \n\n ", "file.empty"],
    ["a header and nothing under it", "time,l1,l2\n", "file.empty"],
    ["bytes of value 0", new Uint8Array([1, 75, 3, 4, 0, 1, 8, 0]), "file.not-a-table"],
    ["an archive", new Uint8Array([80, 75, 3, 4, 20, 0, 8, 0]), "file.not-a-table"],
    ["prose without columns", "Dear reader\nthis is a letter\n", "file.not-a-table"],
    ["no time column", "when,l1,l2\n1,2,3\n4,5,6\n", "header.no-time"],
    ["a channel's column missing", "time,l1\n2026-05-01T00:00:00Z,5\n", "header.no-column"],
    ["a mapped name twice", "time,l1,l2,l1\n2026-05-01T00:00:00Z,5,6,7\n", "header.duplicate-name"],
  ])("refuses %s", async (_, content, code) => {
    const { verdict, sink } = await readMemoryLog(content as string, MAP);
    expect(verdict.refused && verdict.problem).toMatchObject({ code });
    expect(verdict.refused && verdict.problem.hint.length).toBeGreaterThan(10);
    expect(sink.samples).toEqual([]);
  });

  it("reads a byte order mark, UTF-16 and CRLF to the same samples", async () => {
    const plain = (await read(rows(5))).sink.samples;
    const text = log(rows(5)).replaceAll("\n", "\r\n");
    const utf16 = Buffer.concat([Buffer.from([0xff, 0xfe]), Buffer.from(text, "utf16le")]);
    for (const content of [`\uFEFF${log(rows(5))}`, text, utf16, log(rows(5)).replaceAll("\n", "\r")]) {
      expect((await readMemoryLog(content, MAP)).sink.samples).toEqual(plain);
    }
  });

  it("finds a header under a title, by the time column's name", async () => {
    const { verdict, sink } = await readMemoryLog(`Pottery studio\nexported\n\n${log(rows(3))}`, MAP);
    expect(countsOf(verdict).records).toBe(3);
    expect(sink.samples[0].line).toBe(5);
  });

  it("takes columns by number where there is no header", async () => {
    const map = { time: { column: 1 }, channels: { loadL1W: { column: 2 } } };
    const { verdict, sink } = await readMemoryLog(`${rows(4)}\n`, map);
    expect(countsOf(verdict).taken).toBe(4);
    expect(sink.samples[0]).toMatchObject({ loadL1W: 100, line: 1 });
  });

  it("skips blank lines, a repeated header, a unit row and a footer, and counts them", async () => {
    const { counts, codes } = await read(`,W,W\n${rows(2)}\n\ntime,l1,l2\n${rows(2, 2)}\nEnd of log`);
    expect(counts).toMatchObject({ records: 8, taken: 4, skipped: 4 });
    expect(codes).toEqual({});
  });

  it("rejects what looks like a footer where rows follow it", async () => {
    const { counts, codes } = await read(`${rows(1)}\nconnection lost\n${rows(1, 1)}`);
    expect(counts).toMatchObject({ records: 3, taken: 2, rejected: 1 });
    expect(codes).toEqual({ "row.field-count": 1 });
  });

  it("rejects a row that was cut off at the end of the file", async () => {
    const { verdict } = await readMemoryLog(`time,l1,l2\n${rows(2)}\n2026-05-01T06:0`, MAP);
    expect(countsOf(verdict)).toMatchObject({ records: 3, taken: 2, rejected: 1 });
    expect(instances(verdict)).toEqual([["row.field-count", 4, null, null, "2026-05-01T06:0"]]);
  });

  it("keeps a row with a bad cell and says which cell", async () => {
    const { counts, verdict, sink } = await read(
      `${at(0)},1,2\n${at(1)},abc,3\n${at(2)},999999,4\n${at(3)},--,5`,
    );
    expect(counts).toMatchObject({ records: 4, taken: 4 });
    expect(instances(verdict)).toEqual([
      ["cell.not-a-number", 3, 2, "l1", "abc"],
      ["cell.out-of-range", 4, 2, "l1", "999999"],
    ]);
    expect(sink.samples.map((s) => s.loadL1W)).toEqual([1, Number.NaN, Number.NaN, Number.NaN]);
  });

  it("rejects a row in which no channel has a value", async () => {
    const { counts, codes } = await read(`${at(0)},1,2\n${at(1)},,`);
    expect(counts).toMatchObject({ records: 2, taken: 1, rejected: 1 });
    expect(codes).toEqual({ "row.no-channel": 1 });
  });

  it("rejects times in 1970 and 2190, and texts that are no time", async () => {
    const { codes, counts } = await read(
      `${rows(1)}\n1970-01-01T00:00:00Z,1,2\n2190-01-01T00:00:00Z,1,2\n2026-13-01T00:00:00Z,1,2\n12,1,2`,
    );
    expect(codes).toEqual({ "cell.time-out-of-range": 2, "cell.not-a-time": 2 });
    expect(counts).toMatchObject({ records: 5, taken: 1, rejected: 4 });
  });

  it("takes a time up to a day after the log was received, and none later", async () => {
    const hour = 3_600_000;
    const late = (ms: number) => new Date(RECEIVED_AT_MS + ms).toISOString();
    const { codes, counts } = await read(`${late(24 * hour)},1,2\n${late(24 * hour + 1)},1,2`);
    expect(counts.taken).toBe(1);
    expect(codes).toEqual({ "cell.time-out-of-range": 1 });
  });

  it("counts a repeated sample as a duplicate, and other values at its time as a conflict", async () => {
    const { counts, verdict, sink } = await read(`${at(0)},1,2\n${at(0)},1,2\n${at(0)},1,3\n${at(1)},1,2`);
    expect(counts).toEqual({ records: 4, taken: 2, duplicates: 1, conflicts: 1, rejected: 0, skipped: 0 });
    expect(instances(verdict)).toEqual([["series.conflict", 4, 1, "time", at(0)]]);
    expect(sink.samples[0]).toMatchObject({ loadL2W: 2, line: 2 });
    expect(sink.restarts).toBe(0);
  });

  it("sorts rows that are out of order, descending ones too, and says so", async () => {
    const lines = rows(50).split("\n");
    for (const body of [
      [...lines].reverse(),
      [...lines.slice(20), ...lines.slice(0, 20)],
      [...lines, lines[3]],
    ]) {
      const { counts, verdict, sink } = await read(body.join("\n"));
      expect(sink.restarts).toBe(1);
      expect(sink.samples.map((s) => s.timeMs)).toEqual(lines.map((_, i) => Date.parse(at(i))));
      expect(counts).toMatchObject({
        records: body.length,
        taken: 50,
        duplicates: body.length - 50,
        rejected: 0,
      });
      expect(!verdict.refused && verdict.notes.map((n) => n.code)).toEqual(["series.sorted"]);
    }
  });

  it("counts what is wrong once, though a log out of order is read twice", async () => {
    const { counts, codes, verdict } = await read(`${at(5)},1,x\n${at(6)},,\n${at(3)},2,2`);
    expect(counts).toMatchObject({ records: 3, taken: 2, rejected: 1 });
    expect(codes).toEqual({ "cell.not-a-number": 1, "row.no-channel": 1 });
    expect(instances(verdict)).toHaveLength(2);
  });

  it("lets the first line stand where a log out of order has a time twice", async () => {
    const { sink, counts, verdict } = await read(`${at(5)},1,1\n${at(3)},2,2\n${at(5)},3,3\n${at(3)},2,2`);
    expect(sink.samples.map((s) => [s.loadL1W, s.line])).toEqual([
      [2, 3],
      [1, 2],
    ]);
    expect(counts).toMatchObject({ records: 4, taken: 2, duplicates: 1, conflicts: 1 });
    expect(instances(verdict)[0].slice(0, 2)).toEqual(["series.conflict", 4]);
  });

  it("rejects a quote that is never closed and reads the rows after it", async () => {
    const { counts, codes, verdict } = await read(`${rows(2)}\n${at(2)},"102,202\n${rows(5, 3)}`);
    expect(counts).toMatchObject({ records: 8, taken: 7, rejected: 1 });
    expect(codes).toEqual({ "row.open-quote": 1 });
    expect(instances(verdict)[0].slice(0, 2)).toEqual(["row.open-quote", 4]);
  });

  it("keeps physical lines right over quoted line ends", async () => {
    const text = `time,note,l1,l2\n${at(0)},"one\ntwo",1,2\n${at(1)},three,x,2\n`;
    const { verdict, sink } = await readMemoryLog(text, MAP);
    expect(sink.samples.map((s) => s.line)).toEqual([2, 4]);
    expect(instances(verdict)).toEqual([["cell.not-a-number", 4, 3, "l1", "x"]]);
  });

  it("turns units into base units, signs into canonical ones, once to float32", async () => {
    const map = {
      time: { column: "time" },
      channels: {
        loadL1W: { column: "a", unit: "kW" },
        loadL1V: { column: "b", unit: "mV" },
        batteryA: { column: "c", unit: "A", positive: "charge" },
        gridW: { column: "d", unit: "kW", positive: "export" },
        inverterTempC: { column: "e", unit: "F" },
        loadL1A: { column: "f", unit: "mA" },
      },
    };
    const text = `time;a;b;c;d;e;f\n${at(0)};0,142;120500;-6,6;1,5;212;1530\n`;
    const { sink } = await readMemoryLog(text, map);
    expect(sink.samples[0]).toMatchObject({
      loadL1W: 142,
      loadL1V: 120.5,
      batteryA: Math.fround(6.6),
      gridW: -1500,
      inverterTempC: 100,
      loadL1A: Math.fround(1.53),
    });
  });

  it("takes a one-way pair as plus less minus, an idle empty side as nothing", async () => {
    const map = {
      time: { column: "time" },
      channels: { loadW: { column: "l" }, gridW: { column: { plus: "in", minus: "out" } } },
    };
    const text = `time,l,in,out\n${at(0)},1,500,\n${at(1)},1,,300\n${at(2)},1,10,4\n${at(3)},1,,\n`;
    const { sink } = await readMemoryLog(text, map);
    expect(sink.samples.map((s) => s.gridW)).toEqual([500, -300, 6, Number.NaN]);
  });

  it("translates source words, and counts the ones it doesn't know", async () => {
    const map = {
      time: { column: "time" },
      channels: {
        loadW: { column: "l" },
        source: { column: "s", words: { own: "inverter", "2": "utility" } },
      },
    };
    const text = `time,l,s\n${["own", "OWN", "2", "utility", "??", ""].map((w, i) => `${at(i)},1,${w}`).join("\n")}\n`;
    const { sink, verdict } = await readMemoryLog(text, map);
    const { inverter, utility, unknown } = SOURCE_CODE;
    expect(sink.samples.map((s) => s.source)).toEqual([
      inverter,
      inverter,
      utility,
      utility,
      unknown,
      unknown,
    ]);
    expect(!verdict.refused && verdict.codes).toEqual({ "cell.unknown-word": 1 });
  });

  it("keeps fault codes by index, with the cause that the map gives them", async () => {
    const map = {
      time: { column: "time" },
      channels: {
        loadW: { column: "l" },
        faultCode: { column: "f", noFault: ["0"], words: { "44": "overload" } },
      },
    };
    const text = `time,l,f\n${["0", "31", "44", "31", ""].map((w, i) => `${at(i)},1,${w}`).join("\n")}\n`;
    const { sink } = await readMemoryLog(text, map);
    expect(sink.samples.map((s) => s.fault)).toEqual([0, 1, 2, 1, 0]);
    expect(sink.faultWords).toEqual([
      { code: "31", meaning: null },
      { code: "44", meaning: "overload" },
    ]);
  });

  it("moves samples stamped at the end back by the nominal interval", async () => {
    const map = { ...MAP, time: { column: "time", stamps: "end" } };
    const { verdict, sink } = await readMemoryLog(log(rows(5)), map);
    expect(sink.samples[0].timeMs).toBe(Date.parse(at(0)) - 1000);
    expect(!verdict.refused && verdict.nominalMs).toBe(1000);
    const known = await readMemoryLog(log(rows(5)), map, { nominalMs: 10_000 });
    expect(known.sink.samples[0].timeMs).toBe(Date.parse(at(0)) - 10_000);
  });

  it("tells the first stamps as they were written, and by how many whole milliseconds they are moved", async () => {
    const told: { stampsMs: number[]; shiftMs: number }[] = [];
    const onFirstStamps = ({ stampsMs, shiftMs }: { stampsMs: Float64Array; shiftMs: number }) =>
      told.push({ stampsMs: [...stampsMs], shiftMs });
    const stampsMs = [0, 1, 2].map((i) => Date.parse(at(i)));
    await readMemoryLog(log(rows(3)), MAP, { nominalMs: 10_000, onFirstStamps });
    const end = { ...MAP, time: { column: "time", stamps: "end" } };
    const { sink } = await readMemoryLog(log(rows(3)), end, { nominalMs: 10_000.5, onFirstStamps });
    expect(told).toEqual([
      { stampsMs, shiftMs: 0 },
      { stampsMs, shiftMs: 10_001 },
    ]);
    expect(sink.samples[0].timeMs).toBe(stampsMs[0] - 10_001);
  });

  it("reads negative solar of a converter's own draw as zero and notes it", async () => {
    const map = { time: { column: "time" }, channels: { loadW: { column: "l" }, solarW: { column: "s" } } };
    const { verdict, sink } = await readMemoryLog(`time,l,s\n${at(0)},1,-4\n${at(1)},1,-4000\n`, map);
    expect(sink.samples.map((s) => s.solarW)).toEqual([0, Number.NaN]);
    expect(!verdict.refused && verdict.notes).toEqual([{ code: "solar-below-zero", figures: { cells: 1 } }]);
  });

  it("adds what the sink had already to the counts, with the lines of conflicts", async () => {
    const sink = {
      ...collectingSink(),
      end: async () => ({ duplicates: 2, conflicts: 1, conflictLines: [4] }),
    };
    const map = columnMap({ version: 1, ...MAP });
    if (map === null) throw new Error("no map");
    const options = { siteZone: "America/Denver", receivedAtMs: RECEIVED_AT_MS };
    const verdict = await readLog(memoryLog(log(rows(5))), map, options, sink);
    expect(countsOf(verdict)).toEqual({
      records: 5,
      taken: 2,
      duplicates: 2,
      conflicts: 1,
      rejected: 0,
      skipped: 0,
    });
    expect(instances(verdict)).toEqual([["series.conflict", 4, 1, "time", ""]]);
  });

  it("stops at the signal, with its reason", async () => {
    const stop = new AbortController();
    stop.abort(new Error("called off"));
    await expect(readMemoryLog(log(rows(5)), MAP, { signal: stop.signal })).rejects.toThrow("called off");
  });

  it("lets errors of the source and of the sink through", async () => {
    const map = columnMap({ version: 1, ...MAP });
    if (map === null) throw new Error("no map");
    const options = { siteZone: "America/Denver", receivedAtMs: RECEIVED_AT_MS };
    const full = { ...collectingSink(), batch: () => Promise.reject(new Error("disk full")) };
    await expect(readLog(memoryLog(log(rows(5))), map, options, full)).rejects.toThrow("disk full");
    const gone = {
      name: "x",
      sizeBytes: null,
      async *open(): AsyncIterable<Uint8Array> {
        yield Buffer.from("time,l1");
        throw new Error("device gone");
      },
    };
    await expect(readLog(gone, map, options, collectingSink())).rejects.toThrow("device gone");
  });

  it("keeps ten thousand instances of rejects and counts them all", async () => {
    const bad = Array.from({ length: 12_000 }, (_, i) => `bad${i}x,1,2`).join("\n");
    const { verdict, counts } = await read(`${bad}\n${rows(1)}`);
    expect(counts.rejected).toBe(12_000);
    expect(!verdict.refused && verdict.rejects.length).toBe(10_000);
  });

  describe("at clock changes, by wall time", () => {
    const wall = (from: string, minutes: number[], day = "2026-11-01") =>
      minutes.map((m) => `${day} ${from}:${String(m).padStart(2, "0")}:00,1,2`).join("\n");
    const fives = Array.from({ length: 12 }, (_, i) => i * 5);

    it("takes both passes of a repeated hour in order", async () => {
      const { counts, sink } = await read(
        [wall("00", fives), wall("01", fives), wall("01", fives), wall("02", fives)].join("\n"),
      );
      expect(counts).toMatchObject({ records: 48, taken: 48 });
      expect(sink.samples.map((s) => s.timeMs)).toEqual(
        Array.from({ length: 48 }, (_, i) => Date.parse("2026-11-01T00:00:00-06:00") + i * 300_000),
      );
    });

    it("takes both passes in a descending log too", async () => {
      const body = [wall("00", fives), wall("01", fives), wall("01", fives), wall("02", fives)].join("\n");
      const { counts, sink } = await read(body.split("\n").reverse().join("\n"));
      expect(counts).toMatchObject({ records: 48, taken: 48 });
      expect(sink.samples[20].timeMs).toBe(Date.parse("2026-11-01T00:00:00-06:00") + 20 * 300_000);
    });

    it("settles a log that begins in the repeated hour once the clock steps back", async () => {
      const { counts, sink } = await read(
        [wall("01", [30, 35, 40, 45, 50, 55]), wall("01", fives), wall("02", fives)].join("\n"),
      );
      expect(counts).toMatchObject({ records: 30, taken: 30 });
      expect(sink.samples[0].timeMs).toBe(Date.parse("2026-11-01T01:30:00-06:00"));
    });

    it("takes a log that begins in the second pass by how it goes on", async () => {
      const { counts, sink } = await read([wall("01", [40, 45, 50, 55]), wall("02", fives)].join("\n"));
      expect(counts.taken).toBe(16);
      expect(sink.samples[0].timeMs).toBe(Date.parse("2026-11-01T01:40:00-07:00"));
    });

    it("rejects rows in the repeated hour that nothing settles", async () => {
      const { counts, codes, verdict } = await read([wall("01", [0, 5, 10]), wall("08", fives)].join("\n"));
      expect(counts).toMatchObject({ records: 15, taken: 12, rejected: 3 });
      expect(codes).toEqual({ "cell.time-ambiguous": 3 });
      expect(instances(verdict)[0].slice(0, 2)).toEqual(["cell.time-ambiguous", 2]);
    });

    it("rejects a single pass that joins on to the hour before as the first and to the hour after as the second", async () => {
      const { counts, codes, sink } = await read(
        [wall("00", fives), wall("01", fives), wall("02", fives)].join("\n"),
      );
      expect(counts).toMatchObject({ records: 36, taken: 24, rejected: 12 });
      expect(codes).toEqual({ "cell.time-ambiguous": 12 });
      expect(sink.samples[12].timeMs).toBe(Date.parse("2026-11-01T02:00:00-07:00"));
    });

    it("takes a single pass that joins on to the hour before only as the first", async () => {
      const { counts, sink } = await read(
        [wall("00", fives), wall("01", [0, 5, 10]), wall("08", fives)].join("\n"),
      );
      expect(counts).toMatchObject({ records: 27, taken: 27 });
      expect(sink.samples[12].timeMs).toBe(Date.parse("2026-11-01T01:00:00-06:00"));
      const ends = await read([wall("00", fives), wall("01", [0, 5, 10])].join("\n"));
      expect(ends.counts.taken).toBe(15);
    });

    it("rejects times that the clock skips, and takes their neighbours", async () => {
      const { counts, codes } = await read(
        [
          wall("01", fives, "2026-03-08"),
          wall("02", fives, "2026-03-08"),
          wall("03", fives, "2026-03-08"),
        ].join("\n"),
      );
      expect(counts).toMatchObject({ records: 36, taken: 24, rejected: 12 });
      expect(codes).toEqual({ "cell.time-not-on-clock": 12 });
    });

    it("goes by the offset where the text has one", async () => {
      const { sink } = await read("2026-11-01T01:30:00-07:00,1,2");
      expect(sink.samples[0].timeMs).toBe(Date.UTC(2026, 10, 1, 8, 30));
    });
  });

  it("reads date and time from two columns by a pattern", async () => {
    const map = {
      time: { column: ["Datum", "Zeit"], format: "dd.MM.yyyy HH:mm:ss", zone: "Europe/Berlin" },
      channels: { loadW: { column: "P", unit: "kW" } },
    };
    const { sink } = await readMemoryLog(
      "Datum;Zeit;P\n05.07.2026;14:30:00;1,25\n05.07.2026;14:31:00;1,5\n",
      map,
    );
    expect(sink.samples[0]).toMatchObject({ timeMs: Date.UTC(2026, 6, 5, 12, 30), loadW: 1250 });
  });

  it("refuses times of which day and month can't be told apart", async () => {
    const { verdict } = await readMemoryLog("time,l1,l2\n1/2/2026 00:00,1,2\n1/2/2026 00:01,1,2\n", MAP);
    expect(verdict.refused && verdict.problem).toMatchObject({ code: "header.no-time" });
    expect(verdict.refused && verdict.problem.hint).toContain("d/M/yyyy");
  });
});
