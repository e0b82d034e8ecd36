import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { runLegroom } from "../run-legroom";
import { readMemoryLog } from "../unit/ingest/memory-log";
import { openData } from "./open-data";

/**
 * Open Power System Data, Household Data (CC BY 4.0; ISC Konstanz, CoSSMic project), household "residential4": the
 * publisher's file as it is, cumulative kWh of calibrated meters, by a column map that says no more than `unit: kWh`.
 * The meters' first and last readings are the publisher's; what stands in holes of more than three hours is reckoned
 * here from the file, since power must not be made of it (checks.md, B.1).
 */
const FILE = "opsd-household/household_data_60min_singleindex_residential4.csv";
const { paths, missing } = openData(FILE);
const HOUR_MS = 3_600_000;

const SITE = {
  version: 1,
  name: "Household",
  timezone: "Europe/Berlin",
  ratings: [{ from: "2015-01-01", legLimitW: 10_000 }],
};

/** The meter's column, and what it counted from its first to its last reading in the file; kWh. */
const METERS = [
  ["grid_import", 6321.316],
  ["grid_export", 9563.098],
  ["pv", 12_336.971],
] as const;

describe.skipIf(missing)("a household's counters by a column map", { timeout: 120_000 }, () => {
  let folder: string;
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), "legroom-counters-"));
    writeFileSync(join(folder, "site.json"), JSON.stringify(SITE));
  });
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it.each(METERS)(
    "gives the total of %s on the command line: %d kWh, less what lies in its holes",
    async (name, totalKwh) => {
      const columns = join(folder, `${name}.json`);
      writeFileSync(
        columns,
        JSON.stringify({
          version: 1,
          time: { column: "utc_timestamp" },
          channels: { loadW: { column: `DE_KN_residential4_${name}`, unit: "kWh" } },
        }),
      );
      const run = await runLegroom([
        "review",
        paths[FILE],
        "--site",
        join(folder, "site.json"),
        "--columns",
        columns,
        "--strict",
        "--json",
      ]);
      expect(run.code, run.err).toBe(0);
      const result = JSON.parse(run.out);
      const readings = readingsOf(name);
      const first = readings[0];
      const last = readings[readings.length - 1];
      let inHolesKwh = 0;
      let holes = 0;
      let greatestKwh = 0;
      for (let i = 1; i < readings.length; i++) {
        const kwh = readings[i].kwh - readings[i - 1].kwh;
        const hours = (readings[i].atMs - readings[i - 1].atMs) / HOUR_MS;
        if (hours > 3) {
          holes++;
          inHolesKwh += kwh;
        } else greatestKwh = Math.max(greatestKwh, kwh / hours);
      }
      expect(holes).toBeGreaterThan(0);
      // Before all three meters had a reading this one may have counted: the published total begins there.
      const beforeKwh = readings.find((r) => r.atMs === Date.UTC(2015, 9, 11, 19))!.kwh - first.kwh;
      expect(last.kwh - first.kwh - beforeKwh).toBeCloseTo(totalKwh, 6);
      expect(result.shares.total.loadKwh).toBeCloseTo(totalKwh + beforeKwh - inHolesKwh, 2);
      expect(result.demand.peakW).toBeLessThanOrEqual(greatestKwh * 1000 + 0.01);
      expect(result.log.files[0].codes["cell.counter-gap"]).toBe(holes);
      expect(result.log.files[0].codes["cell.counter-reset"]).toBeUndefined();
    },
  );

  it("gives import less export as the power of one channel, and no hour of 83 kW after the hole of 54 hours", async () => {
    const { sink, verdict } = await readMemoryLog(readFileSync(paths[FILE]), {
      time: { column: "utc_timestamp" },
      channels: {
        gridW: {
          column: { plus: "DE_KN_residential4_grid_import", minus: "DE_KN_residential4_grid_export" },
          unit: "kWh",
        },
        solarW: { column: "DE_KN_residential4_pv", unit: "kWh" },
      },
    });
    if (verdict.refused) throw new Error(verdict.problem.what);
    const at = new Map(sink.samples.map((sample) => [sample.timeMs, sample]));
    let checked = 0;
    const bought = readingsOf("grid_import");
    const sold = new Map(readingsOf("grid_export").map((r) => [r.atMs, r.kwh]));
    for (let i = 1; i < bought.length; i++) {
      const from = bought[i - 1];
      const to = bought[i];
      const soldBefore = sold.get(from.atMs);
      const soldAfter = sold.get(to.atMs);
      if (to.atMs - from.atMs !== HOUR_MS || soldBefore === undefined || soldAfter === undefined) continue;
      expect(at.get(from.atMs)?.gridW).toBeCloseTo((to.kwh - from.kwh - (soldAfter - soldBefore)) * 1000, 2);
      checked++;
    }
    expect(checked).toBeGreaterThan(11_000);
    // The row of 2016-04-22T14:00Z is the last before the hole, that of 2016-04-24T21:00Z the first after it.
    expect(at.get(Date.UTC(2016, 3, 22, 14))?.solarW).toBeNaN();
    expect(Math.max(...sink.samples.map((s) => s.solarW ?? 0).filter(Number.isFinite))).toBeLessThan(10_000);
  });
});

function readingsOf(name: string): { atMs: number; kwh: number }[] {
  const [header, ...lines] = readFileSync(paths[FILE], "utf8").trim().split("\n");
  const column = header.split(",").indexOf(`DE_KN_residential4_${name}`);
  return lines
    .map((line) => line.split(","))
    .filter((cells) => cells[column] !== "")
    .map((cells) => ({ atMs: Date.parse(cells[0]), kwh: Number(cells[column]) }));
}
