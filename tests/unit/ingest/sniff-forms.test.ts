import { describe, expect, it } from "vitest";
import { readLog } from "../../../src/ingest/read-log";
import { sniffLog } from "../../../src/ingest/sniff-log";
import { collectingSink, memoryLog, RECEIVED_AT_MS } from "./memory-log";

// Every way in which a log's text and times may be written, each through sniffing and reading to the same samples.

const ZONE = "America/Denver";
/** 30 April 2026, 22:00 in Denver: the log runs over a midnight. */
const FROM_MS = Date.UTC(2026, 4, 1, 4, 0, 0);
const ROWS = 300;
const OFFSET_MS = -6 * 3_600_000;

type Row = { ms: number; wall: Date; iso: string; l1: number; l2: number };

const rows: readonly Row[] = Array.from({ length: ROWS }, (_, i) => {
  const ms = FROM_MS + i * 60_000;
  const wall = new Date(ms + OFFSET_MS);
  return {
    ms,
    wall,
    iso: wall.toISOString().slice(0, 19),
    l1: 200 + ((i * 37) % 1900),
    l2: 150 + ((i * 91) % 1700),
  };
});

const two = (n: number) => String(n).padStart(2, "0");
const parts = (d: Date) => ({
  y: d.getUTCFullYear(),
  M: d.getUTCMonth() + 1,
  d: d.getUTCDate(),
  h: d.getUTCHours(),
  m: d.getUTCMinutes(),
  s: d.getUTCSeconds(),
});

type Log = {
  header?: string[] | null;
  above?: string[];
  below?: string[];
  between?: string[];
  cells?: (row: Row, i: number) => string[];
  delimiter?: string;
  end?: string;
  encode?: (text: string) => Uint8Array;
};

function written({
  header = ["Time", "Load L1 (W)", "Load L2 (W)"],
  above = [],
  below = [],
  between = [],
  cells = (r) => [r.iso, String(r.l1), String(r.l2)],
  delimiter = ",",
  end = "\n",
  encode = (text) => new TextEncoder().encode(text),
}: Log): Uint8Array {
  const lines = [...above, ...(header === null ? [] : [header.join(delimiter)]), ...between];
  for (const [i, row] of rows.entries()) lines.push(cells(row, i).join(delimiter));
  return encode([...lines, ...below].join(end) + end);
}

async function taken(log: Log, name = "log.csv") {
  const bytes = written(log);
  const sniffed = sniffLog(bytes, null, { name, strict: false, receivedAtMs: RECEIVED_AT_MS });
  if (sniffed.map === null) return { sniffed, samples: null, counts: null };
  const sink = collectingSink();
  const options = { siteZone: ZONE, receivedAtMs: RECEIVED_AT_MS };
  const verdict = await readLog(memoryLog(bytes), sniffed.map, options, sink);
  return { sniffed, samples: sink.samples, counts: verdict.refused ? null : verdict.counts };
}

async function expectSame(log: Log, more: { skipped?: number } = {}): Promise<void> {
  const { sniffed, samples, counts } = await taken(log);
  expect(sniffed.refusal).toBeNull();
  expect(sniffed.ask).toEqual([]);
  expect(samples?.map((s) => s.timeMs)).toEqual(rows.map((r) => r.ms));
  expect(samples?.map((s) => s.loadL1W)).toEqual(rows.map((r) => r.l1));
  expect(samples?.map((s) => s.loadL2W)).toEqual(rows.map((r) => r.l2));
  expect(counts).toMatchObject({
    taken: ROWS,
    rejected: 0,
    skipped: more.skipped ?? 0,
    records: ROWS + (more.skipped ?? 0),
  });
}

const comma = (w: number, digits = 3) => (w / 1000).toFixed(digits).replace(".", ",");

describe("a log's text", () => {
  const german: Log = {
    header: ["Zeit", "Last L1 (W)", "Last L2 (W)", "Gehäuse °C"],
    cells: (r) => [r.iso, String(r.l1), String(r.l2), "21,5"],
    delimiter: ";",
  };
  it.each([
    ["UTF-8", (t: string) => Buffer.from(t)],
    ["UTF-8 with a mark", (t: string) => Buffer.from(`\uFEFF${t}`)],
    ["UTF-16 LE with a mark", (t: string) => Buffer.from(`\uFEFF${t}`, "utf16le")],
    ["UTF-16 BE with a mark", (t: string) => Buffer.from(`\uFEFF${t}`, "utf16le").swap16()],
    ["UTF-16 LE", (t: string) => Buffer.from(t, "utf16le")],
    ["UTF-16 BE", (t: string) => Buffer.from(t, "utf16le").swap16()],
    ["Windows-1252", (t: string) => Buffer.from(t, "latin1")],
  ])("in %s", async (_, encode) => {
    await expectSame({ ...german, encode });
  });

  it.each([",", ";", "\t", "|"])(
    "with %j between fields, and lines that end in LF, CRLF and CR",
    async (delimiter) => {
      for (const end of ["\n", "\r\n", "\r"]) await expectSame({ delimiter, end });
    },
  );

  it.each([
    ["decimal comma", ";", (w: number) => comma(w)],
    ["decimal comma in quotes", ",", (w: number) => `"${comma(w)}"`],
    ["decimal comma behind tabs", "\t", (w: number) => comma(w)],
    ["decimal comma between bars", "|", (w: number) => comma(w)],
    ["decimal point", ",", (w: number) => (w / 1000).toFixed(3)],
  ])("with %s", async (_, delimiter, cell) => {
    await expectSame({
      header: ["Time", "Load L1 (kW)", "Load L2 (kW)"],
      delimiter,
      cells: (r) => [r.iso, cell(r.l1), cell(r.l2)],
    });
  });

  const grouped = (w: number, group: string, mark: string) =>
    `${String(w).replace(/\B(?=(\d{3})+$)/g, group)}${mark}0`;
  it.each([
    ["1,234.5 in quotes", ",", (w: number) => `"${grouped(w, ",", ".")}"`],
    ["1.234,5", ";", (w: number) => grouped(w, ".", ",")],
    ["1 234,5", ";", (w: number) => grouped(w, " ", ",")],
    ["1 234,5 with a hard space", ";", (w: number) => grouped(w, "\u00a0", ",")],
    ["1 234,5 with a thin space", ";", (w: number) => grouped(w, "\u2009", ",")],
    ["1 234,5 with a narrow hard space", ";", (w: number) => grouped(w, "\u202f", ",")],
    ["1'234.5", ";", (w: number) => grouped(w, "'", ".")],
    ["1.234 beside 999, whole numbers", ";", (w: number) => String(w).replace(/\B(?=(\d{3})+$)/g, ".")],
  ])("with thousands as %s", async (_, delimiter, cell) => {
    await expectSame({ delimiter, cells: (r) => [r.iso, cell(r.l1), cell(r.l2)] });
  });

  it("with units in its cells, which change from W to kW", async () => {
    await expectSame({
      header: ["Time", "Load L1", "Load L2"],
      cells: (r) => [r.iso, r.l1 < 1000 ? `${r.l1} W` : `${r.l1 / 1000} kW`, `${r.l2 / 1000}kW`],
    });
    await expectSame({
      header: ["Time", "Load L1", "Load L2", "Battery"],
      delimiter: ";",
      cells: (r) => [r.iso, `${comma(r.l1)} kW`, `${comma(r.l2)} kW`, "54 %"],
    });
  });

  it("with a cell of another quantity's unit: it is counted and missing, never read", async () => {
    const { samples, sniffed } = await taken({
      header: ["Time", "Load L1", "Load L2"],
      cells: (r, i) => [r.iso, i === 7 ? "12.3 A" : `${r.l1} W`, `${r.l2} W`],
    });
    expect(sniffed.ask).toEqual([]);
    expect(samples?.[7]).toMatchObject({ loadL1W: Number.NaN, loadL2W: rows[7].l2 });
  });

  it("with line ends in quoted cells", async () => {
    await expectSame({
      header: ["Time", "Load L1 (W)", "Load L2 (W)", "Note"],
      cells: (r, i) => [r.iso, String(r.l1), String(r.l2), i % 50 === 3 ? '"door\nopen, ""wide"""' : ""],
    });
  });

  it.each([
    ["a title", ["Alder Creek Pottery"]],
    ["blank lines", ["", "Alder Creek Pottery", "", ""]],
    ["key: value", ["Site: Alder Creek Pottery", "Serial: 0451-22", "Exported: 2026-05-02 09:15"]],
    ["key and value in columns", ["Site,Alder Creek", "Rows,300", "From,2026-04-30 22:00"]],
    ["lines as wide as the table", ["Site,Alder Creek,Pottery", "Limit,4000,4000", "From,2026-04-30,to"]],
    ["lines that are wider", ["a,b,c,d,e,f", "1,2,3,4,5,6", ",,,,,"]],
    ["comments", ["# site: Alder Creek", "# 120/240 V"]],
    ["what a spreadsheet says of the delimiter", ["sep=,"]],
    ["eighty lines", Array.from({ length: 80 }, (_, i) => `parameter ${i} = ${i * 7}`)],
  ])("under %s", async (_, above) => {
    await expectSame({ above });
  });

  it("with a row of units under the header, and groups over it", async () => {
    await expectSame({ header: ["Time", "Load L1", "Load L2"], between: ["[-],[W],[W]"] }, { skipped: 1 });
    await expectSame({ header: ["Time", "L1 (W)", "L2 (W)"], above: [",Load,Load"] });
    await expectSame({ header: ["", "L1", "L2"], above: ["Time,Load,"], between: [",W,W"] }, { skipped: 1 });
  });

  it("with the header again in its middle, with its lines above, and a footer", async () => {
    const text = Buffer.from(written({ above: ["Alder Creek", ""] })).toString();
    const lines = text.split("\n");
    const again = ["Alder Creek", "", "Time,Load L1 (W),Load L2 (W)"];
    const whole = [
      ...lines.slice(0, 100),
      ...again,
      ...lines.slice(100, -1),
      "Total,1,2",
      "end of file",
      "",
    ].join("\n");
    const bytes = new TextEncoder().encode(whole);
    const { map } = sniffLog(bytes, null, { name: "x", strict: false });
    if (map === null) throw new Error("asked");
    const sink = collectingSink();
    const verdict = await readLog(
      memoryLog(bytes),
      map,
      { siteZone: ZONE, receivedAtMs: RECEIVED_AT_MS },
      sink,
    );
    expect(!verdict.refused && verdict.counts).toMatchObject({
      taken: ROWS,
      skipped: 5,
      rejected: 0,
      records: ROWS + 5,
    });
  });

  it("with its columns in another order under a later header", async () => {
    const text = Buffer.from(written({})).toString();
    const lines = text.trimEnd().split("\n");
    const other = lines.slice(150).map((line) => {
      const [time, l1, l2] = line.split(",");
      return `${l2},9,${time},${l1}`;
    });
    const whole = [...lines.slice(0, 150), "Load L2 (W),Frequency (Hz),Time,Load L1 (W)", ...other].join(
      "\n",
    );
    const bytes = new TextEncoder().encode(whole);
    const { map } = sniffLog(bytes, null, { name: "x", strict: false });
    if (map === null) throw new Error("asked");
    const sink = collectingSink();
    const verdict = await readLog(
      memoryLog(bytes),
      map,
      { siteZone: ZONE, receivedAtMs: RECEIVED_AT_MS },
      sink,
    );
    expect(!verdict.refused && verdict.counts).toMatchObject({ taken: ROWS, skipped: 1, rejected: 0 });
    expect(sink.samples.map((s) => s.loadL1W)).toEqual(rows.map((r) => r.l1));
  });

  it("rejects the rows under a later header that lacks its columns, until the header comes again", async () => {
    const header = "Time,Load L1 (W),Load L2 (W)";
    const lines = Buffer.from(written({})).toString().trimEnd().split("\n");
    const whole = [
      ...lines.slice(0, 150),
      "Time,Load L1 (W),Grid (W)",
      ...lines.slice(150, 200),
      header,
      ...lines.slice(200),
    ].join("\n");
    const bytes = new TextEncoder().encode(whole);
    const { map } = sniffLog(bytes, null, { name: "x", strict: false });
    if (map === null) throw new Error("asked");
    const sink = collectingSink();
    const verdict = await readLog(
      memoryLog(bytes),
      map,
      { siteZone: ZONE, receivedAtMs: RECEIVED_AT_MS },
      sink,
    );
    expect(verdict).toMatchObject({
      counts: { taken: ROWS - 50, skipped: 2, rejected: 50 },
      codes: { "row.other-header": 50 },
    });
  });

  it("with delimiters at the ends of its rows, and ragged rows", async () => {
    await expectSame({ cells: (r) => [r.iso, String(r.l1), String(r.l2), ""] });
    await expectSame({
      header: ["Time", "Load L1 (W)", "Load L2 (W)", ""],
      cells: (r) => [r.iso, String(r.l1), String(r.l2), ""],
    });
    const { counts } = await taken({
      cells: (r, i) => (i % 100 === 50 ? [r.iso, String(r.l1)] : [r.iso, String(r.l1), String(r.l2)]),
    });
    expect(counts).toMatchObject({ taken: ROWS - 3, rejected: 3 });
  });

  it("with row numbers first, named or not", async () => {
    for (const name of ["#", "", "index"]) {
      await expectSame({
        header: [name, "Time", "Load L1 (W)", "Load L2 (W)"],
        cells: (r, i) => [String(i), r.iso, String(r.l1), String(r.l2)],
      });
    }
    await expectSame({ cells: (r, i) => [String(i + 1), r.iso, String(r.l1), String(r.l2)] });
  });

  it("without a header: columns by number, and what they are is asked", async () => {
    const { sniffed } = await taken({ header: null });
    expect(sniffed.names).toEqual(["1", "2", "3"]);
    expect(sniffed.draft.time).toMatchObject({ column: 1, format: "auto" });
    expect(sniffed.evidence.find((e) => e.choice === "header")?.value).toBe("none");
    expect(sniffed.map === null).toBe(sniffed.ask.length > 0);
  });

  it("takes what a column map states of it, and refuses what the log contradicts", () => {
    const bytes = written({
      header: ["Time", "Load L1 (kW)", "Load L2 (kW)"],
      delimiter: ";",
      cells: (r) => [r.iso, "1,204", "12,350"],
    });
    const sniff = (text: object) => sniffLog(bytes, { version: 1, text }, { name: "x", strict: false });
    expect(sniff({}).ask.map((q) => q.choice)).toContain("text.decimalMark");
    expect(sniff({ decimalMark: "," }).ask).toEqual([]);
    expect(sniff({ decimalMark: "," }).map?.text).toEqual({ decimalMark: "," });
    expect(sniff({ decimalMark: "," }).evidence.find((e) => e.choice === "decimal mark")).toMatchObject({
      from: "given",
    });
    expect(sniff({ delimiter: "|" }).refusal).toMatchObject({ code: "file.text-wrong" });
    expect(sniff({ headerLine: 5000 }).refusal).toMatchObject({ code: "file.text-wrong" });
    expect(sniff({ encoding: "utf-16le" }).refusal).not.toBeNull();
    const plain = written({ cells: (r) => [r.iso, (r.l1 / 7).toFixed(2), "1.5"] });
    expect(
      sniffLog(plain, { version: 1, text: { decimalMark: "," } }, { name: "x", strict: false }).refusal,
    ).toMatchObject({
      code: "file.text-wrong",
    });
  });
});

describe("a log's times", () => {
  const months = {
    en: "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" "),
    es: "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre".split(" "),
    de: "Januar Februar März April Mai Juni Juli August September Oktober November Dezember".split(" "),
    fr: "janv. févr. mars avr. mai juin juil. août sept. oct. nov. déc.".split(" "),
  };
  const clock = (r: Row) => r.iso.slice(11);
  const twelve = (r: Row, am = "AM", pm = "PM") => {
    const { h, m } = parts(r.wall);
    return `${h % 12 || 12}:${two(m)} ${h < 12 ? am : pm}`;
  };
  const us = (r: Row) => `${two(parts(r.wall).M)}/${two(parts(r.wall).d)}/${parts(r.wall).y}`;
  const eu = (r: Row, mark = ".") => [two(parts(r.wall).d), two(parts(r.wall).M), parts(r.wall).y].join(mark);
  const iso = (r: Row) => new Date(r.ms).toISOString();
  const day = (r: Row) => (r.ms + OFFSET_MS - Date.UTC(1899, 11, 30)) / 86_400_000;

  it.each<[string, string, (r: Row) => string]>([
    ["ISO with T", "Time", (r) => r.iso],
    ["ISO with a space, to the minute", "Time", (r) => r.iso.slice(0, 16).replace("T", " ")],
    ["ISO with an offset", "Time", (r) => `${r.iso}-06:00`],
    ["ISO with an offset of four digits", "Time", (r) => `${r.iso}.000-0600`],
    ["ISO with Z", "Time", (r) => iso(r)],
    ["ISO with a zone in brackets", "Time", (r) => `${r.iso}-06:00[America/Denver]`],
    ["wall times with a zone in brackets", "Time", (r) => `${r.iso}[America/Denver]`],
    ["fractions behind a comma", "Time", (r) => `${r.iso},000`],
    ["compact", "Time", (r) => r.iso.replace(/[-:]/g, "")],
    ["fourteen digits", "Time", (r) => r.iso.replace(/[-:T]/g, "")],
    ["UTC in the header", "Time (UTC)", (r) => iso(r).slice(0, 19)],
    ["an offset in the header", "Time (UTC-6)", (r) => r.iso],
    [
      "another zone in the header",
      "Time [Europe/Berlin]",
      (r) => new Date(r.ms + 7_200_000).toISOString().slice(0, 19),
    ],
    ["epoch seconds", "Time", (r) => String(r.ms / 1000)],
    ["epoch seconds with a fraction", "ts", (r) => (r.ms / 1000).toFixed(3)],
    ["epoch seconds, scientific", "ts", (r) => (r.ms / 1000).toExponential(9)],
    ["epoch milliseconds", "ts", (r) => String(r.ms)],
    ["epoch microseconds", "ts", (r) => String(r.ms * 1000)],
    ["spreadsheet days", "Date", (r) => day(r).toFixed(5)],
    ["spreadsheet days, exact", "Date", (r) => String(Number(day(r).toFixed(10)))],
    ["spreadsheet days to four decimals", "Date", (r) => String(Number(day(r).toFixed(4)))],
    ["month first", "Time", (r) => `${us(r)} ${clock(r)}`],
    ["month first, twelve hours", "Time", (r) => `${us(r)} ${twelve(r)}`],
    ["day first with points", "Zeit", (r) => `${eu(r)} ${clock(r)}`],
    ["day first with strokes and a. m.", "Fecha", (r) => `${eu(r, "/")} ${twelve(r, "a. m.", "p. m.")}`],
    ["day first with a.m.", "Time", (r) => `${eu(r, "-")} ${twelve(r, "a.m.", "p.m.")}`],
    ["short years", "Zeit", (r) => `${eu(r).slice(0, 6)}26 ${clock(r)}`],
    ["short years, month first", "Time", (r) => `${us(r).slice(0, 6)}26 ${clock(r)}`],
    ["short years in front", "Time", (r) => `${r.iso.slice(2, 10)} ${clock(r)}`],
    [
      "English months",
      "Time",
      (r) => `${months.en[parts(r.wall).M - 1]} ${parts(r.wall).d}, 2026 ${twelve(r)}`,
    ],
    [
      "English months, short",
      "Time",
      (r) => `${parts(r.wall).d}-${months.en[parts(r.wall).M - 1]}-26 ${clock(r)}`,
    ],
    [
      "Spanish months",
      "Fecha",
      (r) => `${parts(r.wall).d} de ${months.es[parts(r.wall).M - 1]} de 2026 ${clock(r)}`,
    ],
    [
      "German months",
      "Zeit",
      (r) => `${parts(r.wall).d}. ${months.de[parts(r.wall).M - 1]} 2026 ${clock(r)}`,
    ],
    [
      "French months",
      "Heure",
      (r) => `${parts(r.wall).d} ${months.fr[parts(r.wall).M - 1]} 2026 ${clock(r)}`,
    ],
    [
      "weekdays in front",
      "Time",
      (r) => `${["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"][r.wall.getUTCDay()]} ${us(r)} ${clock(r)}`,
    ],
    ["a zone's abbreviation", "Time", (r) => `${r.iso.replace("T", " ")} MDT`],
  ])("as %s", async (_, name, time) => {
    await expectSame({
      header: [name, "Load L1 (W)", "Load L2 (W)"],
      delimiter: ";",
      cells: (r) => [time(r), String(r.l1), String(r.l2)],
    });
  });

  it.each<[string, string[], (r: Row) => string[]]>([
    ["date and time", ["Date", "Time"], (r) => [eu(r), clock(r)]],
    ["time and date", ["Time", "Date"], (r) => [clock(r), r.iso.slice(0, 10)]],
    [
      "compact date and time",
      ["Date", "Time"],
      (r) => [r.iso.slice(0, 10).replaceAll("-", ""), clock(r).replaceAll(":", "")],
    ],
    [
      "date, hour and minute",
      ["Date", "Hour", "Minute"],
      (r) => [us(r), String(parts(r.wall).h), String(parts(r.wall).m)],
    ],
    [
      "date, time and AM or PM",
      ["Date", "Time", "AM/PM"],
      (r) => [us(r), twelve(r).split(" ")[0], twelve(r).split(" ")[1]],
    ],
    [
      "year to second",
      ["Year", "Month", "Day", "Hour", "Minute", "Second"],
      (r) => Object.values(parts(r.wall)).map(String),
    ],
    ["time and offset", ["Time", "UTC offset"], (r) => [r.iso, "-06:00"]],
    ["time and zone", ["Time", "Zone"], (r) => [r.iso, "America/Denver"]],
    ["local beside UTC", ["Local time", "UTC time"], (r) => [r.iso, iso(r).slice(0, 19)]],
    ["UTC beside local", ["Time (UTC)", "Time (local)"], (r) => [iso(r).slice(0, 19), r.iso]],
    [
      "from and to",
      ["From", "To"],
      (r) => [r.iso, new Date(r.ms + 60_000 + OFFSET_MS).toISOString().slice(0, 19)],
    ],
  ])("in columns of their own: %s", async (_, names, cells) => {
    await expectSame({
      header: [...names, "Load L1 (W)", "Load L2 (W)"],
      cells: (r) => [...cells(r), String(r.l1), String(r.l2)],
    });
  });

  it.each([
    ["Timezone: America/Denver", 0],
    ["Zeitzone: UTC+2", 8 * 3_600_000],
    ["All times are UTC", 6 * 3_600_000],
    ["UTC offset: -06:00", 0],
  ])("in a zone that a line above says: %s", async (line, shiftMs) => {
    await expectSame({
      above: [line, ""],
      cells: (r) => [
        new Date(r.ms + OFFSET_MS + shiftMs).toISOString().slice(0, 19),
        String(r.l1),
        String(r.l2),
      ],
    });
  });

  const asked = async (log: Log, name?: string) => (await taken(log, name)).sniffed.ask;

  it("asks which comes first, the day or the month, where nothing shows it, and only there", async () => {
    const early = (format: (r: Row) => string): Log => ({
      cells: (r) => [format(r), String(r.l1), String(r.l2)],
    });
    const oneDay = early(
      (r) => `05/01/2026 ${new Date(FROM_MS - 4 * 3_600_000 + (r.ms - FROM_MS)).toISOString().slice(11, 19)}`,
    );
    expect((await asked(oneDay)).find((q) => q.choice === "time.format")?.options).toEqual([
      "dd/MM/yyyy HH:mm:ss",
      "MM/dd/yyyy HH:mm:ss",
    ]);
    expect(await asked(oneDay, "log 2026-05-01.csv")).toEqual([]);
    expect(await asked({ ...oneDay, above: ["Report of May 1, 2026"] })).toEqual([]);
  });

  it("asks for the day of a log that has times of day only, and takes the days on from it", async () => {
    const log: Log = { cells: (r) => [clock(r), String(r.l1), String(r.l2)] };
    const ask = await asked(log, "2026-04-30.csv");
    expect(ask.find((q) => q.choice === "time.date")?.options).toEqual(["2026-04-30"]);
    const bytes = written(log);
    const { map } = sniffLog(
      bytes,
      { version: 1, time: { date: "2026-04-30" } },
      { name: "x", strict: false },
    );
    if (map === null) throw new Error("asked");
    const sink = collectingSink();
    await readLog(memoryLog(bytes), map, { siteZone: ZONE, receivedAtMs: RECEIVED_AT_MS }, sink);
    expect(sink.samples.map((s) => s.timeMs)).toEqual(rows.map((r) => r.ms));
  });

  it("asks where hours of twelve have no am or pm, and where two columns of times don't agree", async () => {
    const half = await asked({
      cells: (r) => [
        `${us({ ...r, wall: new Date(r.ms + 6 * 3_600_000) })} ${twelve({ ...r, wall: new Date(r.ms + 6 * 3_600_000) }).split(" ")[0]}`,
        String(r.l1),
        String(r.l2),
      ],
    });
    expect(half.map((q) => q.choice)).toContain("time.format");
    const two = await asked({
      header: ["UTC time", "Local time", "Load L1 (W)", "Load L2 (W)"],
      cells: (r, i) => [
        iso(r),
        new Date(r.ms + i * 777_000).toISOString().slice(0, 19),
        String(r.l1),
        String(r.l2),
      ],
    });
    expect(two.map((q) => q.choice)).toContain("time.column");
  });

  it("asks what a zone's abbreviation in the header means, and where header and line above contradict each other", async () => {
    expect(
      (await asked({ header: ["Time (MST)", "Load L1 (W)", "Load L2 (W)"] })).map((q) => q.choice),
    ).toContain("time.zone");
    expect(
      (
        await asked({
          header: ["Time (UTC)", "Load L1 (W)", "Load L2 (W)"],
          above: ["Timezone: America/Denver"],
        })
      ).map((q) => q.choice),
    ).toContain("time.zone");
  });

  it("asks where the time stands still over several rows", async () => {
    const log: Log = { cells: (r, i) => [rows[i - (i % 3)].iso, String(r.l1), String(r.l2)] };
    expect((await asked(log)).map((q) => q.choice)).toContain("time.column");
  });
});
