import { chmodSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { runLegroom, startLegroom } from "../../run-legroom";

// The real command, with what people give it by mistake. Each answer says what is wrong, where, and what to do.

const SITE = {
  version: 1,
  name: "Alder Creek Pottery",
  timezone: "America/Denver",
  ratings: [{ from: "2026-01-01", legLimitW: 4000 }],
};
const COLUMNS = {
  version: 1,
  time: { column: "Time", format: "auto", zone: "site", stamps: "start" },
  channels: {
    loadL1W: { column: "L1 W", unit: "W" },
    loadL2W: { column: "L2 W", unit: "W" },
    source: { column: "Source", words: { inverter: "inverter", utility: "utility" } },
  },
  missing: [""],
};
const HEADER = "Time,L1 W,L2 W,Source\n";
const MAY = Date.UTC(2026, 4, 3);

let folder: string;
const at = (name: string) => join(folder, name);
const put = (name: string, content: string | Uint8Array | object) =>
  writeFileSync(
    at(name),
    typeof content === "string" || content instanceof Uint8Array ? content : JSON.stringify(content),
  );
const rows = (count: number, everyMs = 60_000) =>
  Array.from(
    { length: count },
    (_, i) => `${new Date(MAY + i * everyMs).toISOString()},${600 + (i % 900)},${300 + (i % 70)},inverter\n`,
  ).join("");

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "legroom bad input "));
  put("site.json", SITE);
  put("columns.json", COLUMNS);
  put("log.csv", HEADER + rows(100));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const review = (log: string, site = "site.json", columns = "columns.json") =>
  runLegroom(["review", at(log), "--site", at(site), "--columns", at(columns)]);

describe.concurrent("a log that can't be taken", { timeout: 60_000 }, () => {
  const logs: [string, string | Uint8Array, RegExp[]][] = [
    ["an empty file", "", [/file is empty: it has 0 bytes/, /file\.empty/, /Export the log again/]],
    ["a header alone", HEADER, [/header and no record/, /file\.empty/, /Export the log again/]],
    [
      "a binary file",
      Uint8Array.from({ length: 5000 }, (_, i) => (i * 7919) % 251),
      [/Byte \d+ is 0.*binary file/, /file\.not-a-table/, /Give a CSV file/],
    ],
    [
      "no time column",
      `L1 W,L2 W\n${"600,300\n".repeat(50)}`,
      [/takes time from "Time".*Its columns: "L1 W", "L2 W"/, /line 1/, /time\.column/],
    ],
    [
      "stamps in 1970 only",
      HEADER + "1970-01-01T00:00:00Z,600,300,inverter\n".repeat(50),
      [/None of the 50 rows.*cell\.time-out-of-range/, /line 2, column "Time"/, /Set the logger's clock/],
    ],
    [
      "a first line of 10 MB",
      `${"x".repeat(10_000_000)}\n${HEADER}${rows(10)}`,
      [/are one line/, /file\.not-a-table/, /Give a CSV file/],
    ],
    [
      "a quote in the header that is never closed",
      `Time,"L1 W,L2 W,Source\n${rows(40_000)}`,
      [/quotation mark opens on line 1 and is never closed/, /line 1$/m],
    ],
  ];
  it.each(logs)("with %s is refused with exit code 1", async (name, content, says) => {
    const file = `${name}.csv`;
    put(file, content);
    const { code, out, err } = await review(file);
    expect(err).toContain(file);
    for (const words of says) expect(err).toMatch(words);
    expect({ code, out }).toEqual({ code: 1, out: "" });
  });

  it("for being a folder with nothing in it, or not there, says so", async () => {
    mkdirSync(at("logs.csv"));
    const [isFolder, missing] = await Promise.all([review("logs.csv"), review("none.csv")]);
    expect(isFolder).toMatchObject({ code: 1, out: "" });
    expect(isFolder.err).toMatch(/The folder .*logs\.csv holds no file\.\n.*Put logs into it/);
    expect(missing).toMatchObject({ code: 1, out: "" });
    expect(missing.err).toMatch(/none\.csv can't be read: there is no such file/);
  });

  it("for being unreadable says so", async () => {
    // Root may read every file; this one gives nobody its first byte.
    const { code, out, err } = await runLegroom(["review", "/proc/self/mem", "--site", at("site.json")]);
    expect({ code, out }).toEqual({ code: 1, out: "" });
    expect(err).toMatch(/\/proc\/self\/mem can't be read: its disk reports an error/);
    if (process.getuid?.() === 0) return;
    put("closed.csv", HEADER + rows(10));
    chmodSync(at("closed.csv"), 0);
    expect((await review("closed.csv")).err).toMatch(/closed\.csv can't be read: this user may not read it/);
  });
});

describe.concurrent("a log with bad rows", { timeout: 60_000 }, () => {
  const logs: [string, string, number, RegExp][] = [
    [
      "stamps in 1970 and 2190",
      `${HEADER}1970-01-01T00:00:00Z,1,2,inverter\n${rows(100)}2190-01-01T00:00:00Z,1,2,inverter\n`,
      100,
      /102 records: 100 taken.* 2 rejected.*cell\.time-out-of-range 2/,
    ],
    [
      "an end inside a row",
      (HEADER + rows(100)).slice(0, -25),
      99,
      /100 records: 99 taken.* 1 rejected.*row\.field-count 1/,
    ],
    [
      "a line of 10 MB in the middle",
      `${HEADER}${rows(100)}${"x".repeat(10_000_000)}\n`,
      100,
      /101 records: 100 taken.* 1 rejected.*row\.field-count 1/,
    ],
  ];
  it.each(logs)(
    "such as %s is taken without them, and they are counted",
    async (name, content, taken, says) => {
      put(`${name}.csv`, content);
      const { code, out, err } = await review(`${name}.csv`);
      expect({ code, err }).toEqual({ code: 0, err: "" });
      expect(out).toMatch(says);
      expect(out).toContain(`${taken} samples`);
    },
  );
});

// By itself: what runs beside it would count as its time.
describe("a large log with bad rows", { timeout: 120_000 }, () => {
  it("such as a quote that is never closed in 40 MB is read in less than 300 MB of memory", async () => {
    const broken = rows(50).replace("inverter\n", '"inverter\n');
    put("quote.csv", `${HEADER}${broken}${rows(950_000, 1000).split("\n").slice(3000).join("\n")}`);
    expect(statSync(at("quote.csv")).size).toBeGreaterThan(40_000_000);
    const { child, ended } = startLegroom([
      "review",
      at("quote.csv"),
      "--site",
      at("site.json"),
      "--columns",
      at("columns.json"),
      "--json",
    ]);
    let peakKb = 0;
    const watching = setInterval(() => {
      peakKb = Math.max(peakKb, peakOf(child.pid));
    }, 50);
    const { code, out } = await ended.finally(() => clearInterval(watching));
    expect(code).toBe(0);
    const [file] = JSON.parse(out).log.files;
    expect(file.codes["row.open-quote"]).toBe(1);
    expect(file.rejected).toBe(1);
    expect(peakKb).toBeGreaterThan(50_000);
    expect(peakKb / 1024).toBeLessThan(300);
  });
});

describe.concurrent("a site.json or columns.json", { timeout: 60_000 }, () => {
  const sites: [string, string | object, RegExp[]][] = [
    [
      "that isn't JSON",
      '{"version": 1,\n "name": "X",,}',
      [/is not JSON/, /line 2, column/, /double quotes/],
    ],
    ["that is empty", "", [/is not JSON: the file is empty/]],
    ["with an unknown key", { ...SITE, timezon: "x" }, [/"timezon" is not a key/, /Did you mean "timezone"/]],
    [
      "with a rating of zero",
      { ...SITE, ratings: [{ from: "2026-01-01", legLimitW: 0 }] },
      [/ratings\[0\]\.legLimitW is 0/, /from the nameplate/],
    ],
    [
      "with a zone that doesn't exist",
      { ...SITE, timezone: "America/Dnver" },
      [/not a time zone/, /Did you mean "America\/Denver"/],
    ],
  ];
  it.each(sites)(
    "%s is refused by review and by site add, without a database",
    async (name, content, says) => {
      put(`site ${name}.json`, content);
      const runs = await Promise.all([
        review("log.csv", `site ${name}.json`),
        // A data folder that can't be made: nothing gets as far as a database.
        runLegroom(["site", "add", at(`site ${name}.json`)], { LEGROOM_DATA_DIR: "/proc/none" }),
      ]);
      for (const { code, out, err } of runs) {
        expect(err).toContain(`site ${name}.json`);
        for (const words of says) expect(err).toMatch(words);
        expect({ code, out }).toEqual({ code: 1, out: "" });
      }
    },
  );

  const { loadL1W, loadL2W, source } = COLUMNS.channels;
  const maps: [string, object, RegExp[]][] = [
    [
      "with a column that isn't there",
      { loadL1W: { ...loadL1W, column: "Leg 1" } },
      [/takes loadL1W from "Leg 1".*Its columns: "Time", "L1 W"/, /Correct the name/],
    ],
    [
      "that takes two legs from one column",
      { loadL1W, loadL2W: { ...loadL2W, column: "L1 W" }, source },
      [/"L1 W" is taken for loadL1W .* and for loadL2W/, /leave it at one of them/],
    ],
    [
      "with a unit that its channel can't have",
      { loadL1W: { ...loadL1W, unit: "V" } },
      [/loadL1W\.unit is "V"; it can be "W", "kW"/],
    ],
    ["with an unknown channel", { loadL1: loadL1W }, [/"loadL1" is not a key.*Did you mean "loadL1W"/]],
  ];
  it.each(maps)("%s is refused", async (name, channels, says) => {
    put(`map ${name}.json`, { ...COLUMNS, channels });
    const { code, out, err } = await review("log.csv", "site.json", `map ${name}.json`);
    for (const words of says) expect(err).toMatch(words);
    expect({ code, out }).toEqual({ code: 1, out: "" });
  });
});

describe.concurrent("wrong usage", { timeout: 60_000 }, () => {
  const uses: [string, string[], RegExp[]][] = [
    ["no command", [], []],
    ["an unknown command", ["revew", "log.csv"], [/no command "revew"/, /mean "review"/]],
    ["half a command", ["site", "ad", "x"], [/no command "site"/, /mean "site add"/]],
    [
      "an unknown option",
      ["review", "--colums", "x"],
      [/no option --colums/, /mean --columns/, /review LOG/],
    ],
    ["a missing option", ["import", "log.csv"], [/import needs --site/, /import LOG/]],
    ["a word too many", ["site", "add", "a.json", "b.json"], [/"b\.json" is one word too many/]],
    ["a port that is none", ["serve", "--port", "99999"], [/from 1 to 65535/]],
  ];
  it.each(uses)("such as %s has exit code 2", async (_, words, says) => {
    const { code, err } = await runLegroom(words, { LEGROOM_DATA_DIR: "/proc/none" });
    for (const expected of says) expect(err).toMatch(expected);
    expect(code).toBe(2);
  });
});

/** Peak of a process's resident memory so far, in kB; 0 where it has ended. */
function peakOf(pid: number | undefined): number {
  try {
    return Number(/VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1] ?? 0);
  } catch {
    return 0;
  }
}
