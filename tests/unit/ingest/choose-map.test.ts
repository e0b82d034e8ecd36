import { describe, expect, it } from "vitest";
import { type ChooseOptions, chooseMap, type KeptMap } from "../../../src/ingest/choose-map";
import { logShape } from "../../../src/ingest/log-shape";
import { recognitionText } from "../../../src/ingest/recognition-text";
import { shapedHead } from "../../../src/ingest/shaped-head";
import type { ColumnMap } from "../../../src/site/column-map";

const MAP: ColumnMap = {
  version: 1,
  time: { column: "Stamp", format: "dd/MM/yyyy HH:mm", zone: "UTC", stamps: "end" },
  channels: {
    loadL1W: { column: "Left", unit: "kW" },
    loadL2W: { column: "Right", unit: "kW" },
    batteryA: { column: "Pack", unit: "A", positive: "charge" },
  },
  missing: ["", "??"],
};

/** Thirty rows at the head of a log with these columns; cells by column name, from the day given. */
function log(names: readonly string[], { day = 13, delimiter = ",", header = true, iso = false } = {}) {
  const lines = header ? [names.join(delimiter)] : [];
  for (let row = 0; row < 30; row++) {
    const minute = String(row).padStart(2, "0");
    const date = String(day).padStart(2, "0");
    const cells: Record<string, string> = {
      Stamp: iso ? `2026-05-${date} 10:${minute}` : `${date}/05/2026 10:${minute}`,
      Left: (1 + row / 100).toFixed(2),
      Right: (0.5 + row / 50).toFixed(2),
      Pack: (row / 2).toFixed(1),
    };
    lines.push(names.map((name) => cells[name] ?? "7").join(delimiter));
  }
  return new TextEncoder().encode(`${lines.join("\n")}\n`);
}

const COLUMNS = ["Stamp", "Left", "Right", "Pack", "Note"];

function kept(names: readonly string[], given: Partial<KeptMap> = {}, header = true): KeptMap {
  const map = given.map ?? MAP;
  const head = shapedHead("May.csv", log(names, { header }), true, [map.time.column]);
  if (head === null) throw new Error("no table");
  return {
    loggerName: "main",
    shape: logShape(head, map.time.column),
    map,
    guessed: ["time"],
    logName: "May.csv",
    createdAtMs: 0,
    ...given,
  };
}

const OPTIONS: ChooseOptions = { name: "June.csv", loggerName: "main", strict: false, acceptShape: false };

describe("chooseMap", () => {
  it("uses the kept map as it is for a log of the same shape, on days that leave the order open too", () => {
    const { sniffed, recognition } = chooseMap(log(COLUMNS, { day: 3 }), [kept(COLUMNS)], OPTIONS);
    expect(recognition?.kind).toBe("same");
    expect(sniffed.map).toEqual(MAP);
    expect(sniffed.ask).toEqual([]);
    expect([...sniffed.guessed]).toEqual(["time"]);
    expect(recognitionText(recognition!, "1 June 2026", "main")).toBe(
      'Recognised: the map of "May.csv", imported on 1 June 2026.',
    );
  });

  it("takes no notice of case and white space in header names", () => {
    const shouted = COLUMNS.map((name) => name);
    const head = new TextDecoder()
      .decode(log(shouted))
      .replace("Stamp,Left,Right,Pack,Note", "STAMP, left,Right ,PACK,Note");
    const { sniffed, recognition } = chooseMap(new TextEncoder().encode(head), [kept(COLUMNS)], OPTIONS);
    expect(recognition?.kind).toBe("same");
    expect(sniffed.refusal).toBeNull();
    expect(sniffed.map).toEqual(MAP);
  });

  it("looks on the log's own logger first, then on the site's others", () => {
    const other = kept(COLUMNS, { loggerName: "meter", logName: "other.csv" });
    const own = kept(COLUMNS, { logName: "own.csv" });
    expect(chooseMap(log(COLUMNS), [other, own], OPTIONS).recognition).toMatchObject({ logName: "own.csv" });
    const { recognition } = chooseMap(log(COLUMNS), [other], OPTIONS);
    expect(recognition).toMatchObject({ kind: "same", loggerName: "meter" });
    expect(recognitionText(recognition!, "today", "main")).toContain('into logger "meter"');
  });

  it("finds columns that have moved by their names, and numbers by the names that they had", () => {
    const byNumber = kept(COLUMNS, {
      map: { ...MAP, channels: { ...MAP.channels, batteryA: { column: 4, unit: "A", positive: "charge" } } },
    });
    const moved = ["Stamp", "Pack", "Right", "Left", "Note"];
    const { sniffed, recognition } = chooseMap(log(moved), [byNumber], OPTIONS);
    expect(recognition).toMatchObject({ kind: "same-names", moved: ["Pack", "Left"] });
    expect(sniffed.map?.channels.batteryA).toEqual({ column: 2, unit: "A", positive: "charge" });
    expect(sniffed.map?.channels.loadL1W).toEqual({ column: "Left", unit: "kW" });
    expect(recognitionText(recognition!, "today", "main")).toContain('other places: "Pack", "Left"');
  });

  it("reads the same columns with another delimiter by the same map, and says so", () => {
    const { sniffed, recognition } = chooseMap(log(COLUMNS, { delimiter: ";" }), [kept(COLUMNS)], OPTIONS);
    expect(recognition).toMatchObject({ kind: "same-names", form: ["delimiter"] });
    expect(sniffed.map).toEqual(MAP);
  });

  it("takes what is still there as given where an unmapped column came and another went", () => {
    const { sniffed, recognition } = chooseMap(
      log(["Stamp", "Left", "Right", "Pack", "Fan"]),
      [kept(COLUMNS)],
      OPTIONS,
    );
    expect(recognition).toMatchObject({ kind: "changed", went: ["note"], came: ["Fan"], gone: [] });
    expect(sniffed.ask).toEqual([]);
    expect(sniffed.map?.channels).toEqual(MAP.channels);
    expect(sniffed.map?.time).toEqual(MAP.time);
    expect(sniffed.map?.missing).toEqual(MAP.missing);
  });

  it("asks where a mapped column has gone, and takes the rest without it only when told to", () => {
    const names = ["Stamp", "Left", "Right", "Note"];
    const asked = chooseMap(log(names), [kept(COLUMNS)], OPTIONS);
    expect(asked.sniffed.map).toBeNull();
    expect(asked.sniffed.ask).toEqual([
      {
        choice: "channels.batteryA",
        why: 'The map of "May.csv" takes batteryA from "Pack", which this log doesn\'t have any more.',
        options: [],
      },
    ]);
    const { batteryA: _, ...rest } = MAP.channels;
    const accepted = chooseMap(log(names), [kept(COLUMNS)], { ...OPTIONS, acceptShape: true });
    expect(accepted.sniffed.map?.channels).toEqual(rest);
    expect(accepted.recognition).toMatchObject({ kind: "changed", went: ["pack"] });
  });

  it("infers the form of the times anew where they are written otherwise, and keeps zone and stamps", () => {
    const { sniffed, recognition } = chooseMap(log(COLUMNS, { iso: true }), [kept(COLUMNS)], OPTIONS);
    expect(recognition).toMatchObject({ kind: "changed", form: ["time form"] });
    expect(sniffed.map?.time).toMatchObject({ zone: "UTC", stamps: "end" });
    expect(sniffed.map?.time.format).not.toBe(MAP.time.format);
    expect(sniffed.guessed.has("time")).toBe(true);
  });

  it("infers a log that shares no mapped column, and says that it is another one", () => {
    const { recognition } = chooseMap(log(["Stamp", "L1 W", "L2 W"]), [kept(COLUMNS)], OPTIONS);
    expect(recognition?.kind).toBe("other");
    const elsewhere = kept(COLUMNS, { loggerName: "meter" });
    expect(chooseMap(log(["Stamp", "Left", "Right"]), [elsewhere], OPTIONS).recognition).toBeNull();
  });

  it("recognises a log without a header by its columns' kinds, and asks where their number has changed", () => {
    const map: ColumnMap = {
      ...MAP,
      time: { ...MAP.time, column: 1 },
      channels: { loadL1W: { column: 2, unit: "kW" }, loadL2W: { column: 3, unit: "kW" } },
    };
    const bare = kept(COLUMNS.slice(0, 4), { map }, false);
    const same = chooseMap(log(COLUMNS.slice(0, 4), { header: false }), [bare], OPTIONS);
    expect(same.recognition?.kind).toBe("same");
    expect(same.sniffed.map).toEqual(map);
    const wider = chooseMap(log(COLUMNS, { header: false }), [bare], OPTIONS);
    expect(wider.recognition?.kind).toBe("changed");
    expect(wider.sniffed.map).toBeNull();
  });

  it("never takes the day of another log for times that have none", () => {
    const clock = { ...MAP.time, format: "yyyy-MM-dd HH:mm", date: "2026-05-13" };
    const text = new TextDecoder().decode(log(COLUMNS)).replaceAll("13/05/2026 ", "");
    const head = new TextEncoder().encode(text);
    const shaped = shapedHead("May.csv", head, true, ["Stamp"])!;
    const map: ColumnMap = { ...MAP, time: clock };
    const one = kept(COLUMNS, { map, shape: logShape(shaped, "Stamp") });
    const { sniffed, recognition } = chooseMap(head, [one], OPTIONS);
    expect(recognition?.kind).toBe("same");
    expect(sniffed.map).toBeNull();
    expect(sniffed.ask.map(({ choice }) => choice)).toContain("time.date");
    expect(sniffed.draft.time?.date).toBeUndefined();
    expect(sniffed.draft.channels).toEqual(MAP.channels);
  });

  it("infers as before where no map is kept", () => {
    expect(chooseMap(log(COLUMNS), [], OPTIONS).recognition).toBeNull();
  });
});

describe("logShape", () => {
  it("doesn't hang on the days, the figures or the fraction of a second", () => {
    const shapeOf = (text: string) => {
      const head = shapedHead("a.csv", new TextEncoder().encode(text), true, ["Time"]);
      return logShape(head!, "Time");
    };
    const a = shapeOf("Time,Load\n2026-05-01 9:05:00.5,1.5\n2026-05-01 9:06:00.25,12.5\n");
    const b = shapeOf("Time,Load\n2027-11-12 19:05:00,1000.5\n2027-11-12 19:06:00,2.25\n");
    expect(a).toEqual(b);
    expect(a.timeForm).toBe("dddd-d-d d:d:d");
    expect(shapeOf("Time,Load\n5/1/2026 9:05 PM,1.5\n5/1/2026 9:06 PM,1.5\n").timeForm).toBe(
      "d/d/dddd d:d a",
    );
  });
});
