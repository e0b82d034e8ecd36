import { describe, expect, test } from "vitest";
import { picture as around } from "../../../../app/_charts/around-transfer-live";
import { picture as current } from "../../../../app/_charts/current-duration-live";
import { picture as energy, energyPicture } from "../../../../app/_charts/energy-by-day-live";
import { picture as legsHours } from "../../../../app/_charts/legs-by-hour-live";
import { PICTURES } from "../../../../app/_charts/pictures";
import { renderSvg } from "../../../../app/_charts/render-svg";
import { picture as soc } from "../../../../app/_charts/soc-by-hour-live";
import type { TransferStretch } from "../../../../app/_charts/transfer-stretch";
import type { EnergyShares } from "../../../../src/analysis/results";

const NOTHING = {
  solarWh: 0,
  unattributedWh: 0,
  solarToBatteryWh: 0,
  gridToBatteryWh: 0,
  generatorToBatteryWh: 0,
  solarToGridWh: 0,
  batteryToGridWh: 0,
  lossesWh: 0,
  suppliedWh: 0,
  batteryToLoadOfSolarWh: 0,
} satisfies Partial<EnergyShares>;

const SHARES: EnergyShares = {
  ...NOTHING,
  loadWh: 20_000,
  solarToLoadWh: 10_000,
  batteryToLoadWh: 8000,
  gridToLoadWh: 2000,
  generatorToLoadWh: 0,
};

const day = (date: string) => ({ date, fromMs: 0, toMs: 86_400_000, sharesHeldS: 86_400, shares: SHARES });

test("every living picture is found by its name, with an option, stops and a readout", async () => {
  for (const load of Object.values(PICTURES)) {
    const picture = await load();
    expect(typeof picture.option).toBe("function");
    expect(typeof picture.stops).toBe("function");
    expect(typeof picture.readout).toBe("function");
  }
});

describe("energy by day", () => {
  const data = energyPicture(
    "alder",
    [day("2026-05-01"), day("2026-05-03")],
    ["2026-05-01", "2026-05-02", "2026-05-03"],
  );

  test("has a stop a day, told with kWh, shares and coverage", () => {
    expect(energy.stops(data)).toEqual([0, 1, 2]);
    expect(energy.readout(data, 0)).toEqual({
      where: "1 May 2026",
      what: "1 May 2026: load 20.0\u00a0kWh, of it sun 10.0\u00a0kWh (50\u00a0%), battery 8.0\u00a0kWh (40\u00a0%), grid 2.0\u00a0kWh (10\u00a0%); 100\u00a0% covered.",
    });
    expect(energy.readout(data, 1).what).toBe("2 May 2026: no samples.");
  });

  test("leads to the day, a month to its month, where there are samples", () => {
    expect(energy.open!(data, 2)).toBe("/sites/alder/2026-05/03");
    expect(energy.open!(data, 1)).toBeNull();
    const months = energyPicture("alder", [day("2026-05")], ["2026-05"]);
    expect(energy.open!(months, 0)).toBe("/sites/alder/2026-05");
    expect(energy.readout(months, 0).where).toBe("May 2026");
  });

  test("is drawn of nothing too, and is plain data", () => {
    expect(renderSvg(energy.option(energyPicture("alder", [], []), true), 350, 240)).toContain("<svg");
    expect(JSON.parse(JSON.stringify(data))).toEqual(data);
  });
});

describe("the minutes around a transfer", () => {
  /** 14 May 2026, 18:02:33 in Denver. */
  const AT = Date.UTC(2026, 4, 15, 0, 2, 33);
  const stretch: TransferStretch = {
    fromMs: AT - 600_000,
    toMs: AT + 600_000,
    timezone: "America/Denver",
    l1W: [
      [AT - 1000, 4320],
      [AT, 4300],
      [AT + 1000, null],
    ],
    l2W: [[AT - 1000, 800]],
    loadW: null,
    batteryA: [[AT - 1000, -12]],
    socPct: [[AT - 1000, 55.5]],
    sources: [
      { fromMs: AT - 600_000, toMs: AT, source: "inverter" },
      { fromMs: AT, toMs: AT + 600_000, source: "utility" },
    ],
  };
  const data = {
    slug: "alder",
    stretch,
    marks: { atMs: AT, returnedAtMs: null, legLimitW: 4000, totalLimitW: 8000 },
  };

  test("are told sample by sample", () => {
    expect(around.stops(data)).toEqual([AT - 1000, AT, AT + 1000]);
    expect(around.readout(data, AT)).toEqual({
      where: "18:02:33",
      what: "18:02:33: L1 4.30\u00a0kW, 1.07 of its rating; L2 0.80\u00a0kW, 0.20 of its rating; battery 12.0\u00a0A in; SOC 55.5\u00a0%; on utility.",
    });
    expect(around.readout(data, AT + 5000).what).toContain("L1 not in the log");
  });

  test("lead, drawn over, to that part of the day", () => {
    expect(around.select!(data, AT + 10_400, AT - 20_000)).toBe(
      "/sites/alder/2026-05/14?from=18:02:13&to=18:02:43",
    );
    expect(around.select!(data, AT, AT + 300)).toBeNull();
  });
});

describe("legs by hour", () => {
  const hours = Array.from({ length: 24 }, (_, hour) => ({
    hour,
    l1W: hour === 3 ? null : 1500,
    l1HeldS: hour === 3 ? 0 : 3600,
    l2W: hour === 3 ? null : 900,
    l2HeldS: hour === 3 ? 0 : 3600,
  }));

  test("has a stop an hour, told with both legs and which carries more", () => {
    expect(legsHours.stops(hours)).toHaveLength(24);
    expect(plain(legsHours.readout(hours, 8).what)).toBe(
      "08:00 to 09:00, in the mean: L1 1.50 kW, L2 0.90 kW; L1 carries 0.60 kW more.",
    );
  });

  test("says of an hour without samples that it has none, and of one leg alone what it is", () => {
    expect(legsHours.readout(hours, 3).what).toBe("03:00 to 04:00: no samples.");
    const one = hours.map((hour) => ({ ...hour, l2W: null }));
    expect(plain(legsHours.readout(one, 8).what)).toBe("08:00 to 09:00, in the mean: L1 1.50 kW, L2 –.");
  });
});

describe("state of charge by hour", () => {
  const hour = { hour: 7, days: 31, leastPct: 20, greatestPct: 90, q1Pct: 35.25, medianPct: 42.4, q3Pct: 60 };
  const data = { hours: [hour], lowSocPct: 20 };

  test("tells the middle, the half around it and the extremes of an hour, and where there are no samples", () => {
    expect(soc.stops(data)).toHaveLength(24);
    expect(plain(soc.readout(data, 7).what)).toBe(
      "Hour from 07:00: 42.4 % in the middle of 31 days, half of the days from 35.3 % to 60.0 %; least 20.0 %, greatest 90.0 %.",
    );
    expect(soc.readout(data, 8).what).toBe("Hour from 08:00: no samples.");
    expect(plain(soc.readout({ ...data, hours: [{ ...hour, days: 1 }] }, 7).what)).toContain(
      "of 1 day; least",
    );
  });
});

describe("time at each battery current", () => {
  const step = (fromA: number, dischargeAtLeastS: number, chargeAtLeastS: number) => ({
    fromA,
    toA: fromA + 1,
    dischargeS: 0,
    chargeS: 0,
    dischargeAtLeastS,
    chargeAtLeastS,
  });
  const data = {
    steps: [step(0, 7200, 3600), step(100, 60, 0), step(200, 5, 0)],
    limits: [
      { amps: 120, name: "may take" },
      { amps: 200, name: "may give" },
    ],
  };

  test("stands at the currents that there are, and tells how long, and past which rating", () => {
    expect(current.stops(data)).toEqual([0, 100, 200]);
    expect(plain(current.readout(data, 99.6).what)).toBe(
      "100 A or more: discharging for 1 min, charging never.",
    );
    expect(plain(current.readout(data, 230).what)).toBe(
      "200 A or more: discharging for 5 s, charging never; at or above: may take, may give.",
    );
  });
});

/** With common spaces. */
function plain(text: string): string {
  return text.replaceAll("\u00a0", " ");
}
