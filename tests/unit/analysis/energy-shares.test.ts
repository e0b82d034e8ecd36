import { describe, expect, it } from "vitest";
import { RATINGS, review, reviewWithState, type Sample, START_MS, seriesOf, steady } from "./samples";

const total = (samples: readonly Sample[]) => review(seriesOf(samples)).total;

describe("energy shares (D10)", () => {
  it("serves the load from sun, then battery, then grid on inverter", () => {
    const shares = total(
      steady(10, 3600, { loadW: 1000, solarW: 400, batteryW: 300, gridW: 500, source: "inverter" }, 0),
    );
    expect(shares.solarToLoadWh).toBeCloseTo(4000, 6);
    expect(shares.batteryToLoadWh).toBeCloseTo(3000, 6);
    expect(shares.gridToLoadWh).toBeCloseTo(3000, 6);
    expect(shares.lossesWh).toBeCloseTo(2000, 6);
  });

  it("serves the load from the grid first on utility, and charges from what is left", () => {
    const shares = total(
      steady(10, 3600, { loadW: 1000, solarW: 400, batteryW: -700, gridW: 1300, source: "utility" }, 0),
    );
    expect(shares.gridToLoadWh).toBeCloseTo(10_000, 6);
    expect(shares.solarToLoadWh).toBe(0);
    expect(shares.solarToBatteryWh).toBeCloseTo(4000, 6);
    expect(shares.gridToBatteryWh).toBeCloseTo(3000, 6);
  });

  it("goes by that order where there is more than the load takes", () => {
    const day = (values: Omit<Sample, "s">) => total(steady(10, 3600, values));
    expect(day({ loadW: 500, solarW: 400, batteryW: 300, source: "inverter" })).toMatchObject({
      solarToLoadWh: 4000,
      batteryToLoadWh: 1000,
    });
    expect(day({ loadW: 500, solarW: 400, batteryW: 300, gridW: 300, source: "utility" })).toMatchObject({
      gridToLoadWh: 3000,
      solarToLoadWh: 2000,
      batteryToLoadWh: 0,
    });
    expect(day({ loadW: 0, solarW: 500, batteryW: -600, gridW: 300, source: "utility" })).toMatchObject({
      solarToBatteryWh: 5000,
      gridToBatteryWh: 1000,
    });
    expect(day({ loadW: 0, solarW: 500, batteryW: 600, gridW: -900, source: "inverter" })).toMatchObject({
      solarToGridWh: 5000,
      batteryToGridWh: 4000,
    });
  });

  it("keeps a generator's energy in columns of its own", () => {
    const shares = total(
      steady(10, 3600, { loadW: 1000, batteryW: -200, gridW: 1200, source: "generator" }, 0),
    );
    expect(shares.generatorToLoadWh).toBeCloseTo(10_000, 6);
    expect(shares.generatorToBatteryWh).toBeCloseTo(2000, 6);
    expect(shares.gridToLoadWh).toBe(0);
  });

  it("leaves a hold out where a channel that the log has is missing, and says so in the coverage", () => {
    const samples = steady(24, 3600, { loadW: 1000, solarW: 400, source: "inverter" });
    samples[5].solarW = Number.NaN;
    const [day] = review(seriesOf(samples)).days;
    expect(day.heldS).toBe(86_400);
    expect(day.sharesHeldS).toBe(82_800);
    expect(day.shares.loadWh).toBeCloseTo(23_000, 6);
  });

  it("splits a hold at the local midnight, also on a day of 25 hours", () => {
    // 2026-11-01 in Denver has 25 hours; samples every 45 minutes don't meet midnight.
    const startMs = Date.UTC(2026, 10, 1, 5, 30);
    const result = review(seriesOf(steady(60, 2700, { loadW: 1000, source: "inverter" }), startMs));
    expect(result.days.map((day) => day.date)).toEqual(["2026-10-31", "2026-11-01", "2026-11-02"]);
    expect(result.days[1].heldS).toBe(25 * 3600);
    expect(result.days[1].shares.loadWh).toBeCloseTo(25_000, 6);
    expect(result.days.reduce((sum, day) => sum + day.heldS, 0)).toBeCloseTo(60 * 2700, 6);
  });

  it("has each local day once where the clock goes back over midnight", () => {
    // St. John's, 7 November 2010: at 00:01 the clock went back to 23:01 of the 6th.
    const startMs = Date.UTC(2010, 10, 7, 2, 40);
    const ratings = [{ ...RATINGS, from: "2010-01-01" }];
    const options = { ratings, zone: "America/St_Johns" };
    const { days } = review(seriesOf(steady(26 * 60, 60, { loadW: 1000 }), startMs), options);
    expect(days.map((day) => day.date)).toEqual(["2010-11-07", "2010-11-08"]);
    // From 02:40 to 03:30 the next day, UTC.
    expect(days[0].heldS).toBe(24 * 3600 + 50 * 60);
    expect(days[0].toMs - days[0].fromMs).toBe(25 * 3_600_000);
  });

  it("takes grid power from the balance where the log has none", () => {
    const samples: Sample[] = [
      ...steady(10, 3600, { loadW: 1000, solarW: 200, batteryW: -300, source: "utility" }),
      ...steady(10, 3600, { loadW: 1000, solarW: 200, batteryW: 700, source: "inverter" }, 36_000),
    ];
    const shares = total(samples);
    // On utility 1000 + 300 − 200 W; on inverter nothing, and 100 W of the load stay unattributed.
    expect(shares.gridToLoadWh).toBeCloseTo(10_000, 6);
    expect(shares.gridToBatteryWh).toBeCloseTo(1000, 6);
    expect(shares.unattributedWh).toBeCloseTo(1000, 6);
  });

  it("knows what of the battery's energy came from the sun", () => {
    // The stock is empty at first; 1 kWh from the sun goes in and 0.5 kWh come out.
    const samples: Sample[] = [
      ...steady(10, 360, { loadW: 0, solarW: 1000, batteryW: -1000, batterySocPct: 0, source: "inverter" }),
      ...steady(
        10,
        360,
        { loadW: 500, solarW: 0, batteryW: 500, batterySocPct: 50, source: "inverter" },
        3600,
      ),
    ];
    for (const sample of samples.slice(1)) sample.batterySocPct = 50;
    const shares = total(samples);
    expect(shares.batteryToLoadWh).toBeCloseTo(500, 6);
    expect(shares.batteryToLoadOfSolarWh).toBeCloseTo(500, 6);
  });

  it("splits a hold with a channel missing, and the sun's part of the battery, at the local midnight", () => {
    const holed = steady(13, 7200, { loadW: 1000, solarW: 400, source: "inverter" }, 3600);
    holed[11].solarW = Number.NaN;
    expect(review(seriesOf(holed)).days.map((day) => [day.heldS, day.sharesHeldS])).toEqual([
      [82_800, 79_200],
      [10_800, 7200],
    ]);
    const samples: Sample[] = [
      ...steady(2, 7200, { loadW: 0, solarW: 1000, batteryW: -1000, source: "inverter" }, 19 * 3600),
      ...steady(2, 7200, { loadW: 500, solarW: 0, batteryW: 500, source: "inverter" }, 23 * 3600),
    ];
    const ratings = [{ ...RATINGS, battery: {} }];
    expect(
      review(seriesOf(samples), { ratings }).days.map((day) => day.shares.batteryToLoadOfSolarWh),
    ).toEqual([500, 1500]);
  });

  it("begins the stock at half the capacity and says when a later SOC would have told better", () => {
    const samples = steady(10, 360, {
      loadW: 500,
      batteryW: 500,
      batterySocPct: Number.NaN,
      source: "inverter",
    });
    samples[9].batterySocPct = 80;
    const first = reviewWithState(seriesOf(samples));
    expect(first.lateFirstSocPct).toBe(80);
    expect(reviewWithState(seriesOf(samples), { firstSocPct: 80 }).lateFirstSocPct).toBeNull();
    expect(RATINGS.battery.capacityAh).toBe(400);
  });

  describe("the battery's stock by origin, of 20.48 kWh", () => {
    const hour = (s: number, values: Omit<Sample, "s">): Sample => ({
      s: s * 3600,
      source: "inverter",
      ...values,
    });
    const charge = (s: number, more: Partial<Sample> = {}) =>
      hour(s, { loadW: 0, solarW: 2000, batteryW: -2000, gridW: 0, ...more });
    const draw = (s: number, more: Partial<Sample> = {}) =>
      hour(s, { loadW: 1000, solarW: 0, batteryW: 1000, gridW: 0, ...more });
    const ofSolarWh = (samples: readonly Sample[]) => total(samples).batteryToLoadOfSolarWh;

    it("is drawn from in proportion, the sun's and the grid's", () => {
      const samples = [
        charge(0, { batterySocPct: 0 }),
        charge(1, { solarW: 1000, gridW: 1000, source: "utility", batterySocPct: 50 }),
        draw(2, { batterySocPct: 50 }),
      ];
      expect(ofSolarWh(samples)).toBeCloseTo(500, 6);
    });

    it("is of unknown origin at first, by the first state of charge, else half of the capacity", () => {
      expect(ofSolarWh([draw(0, { batterySocPct: 50 }), draw(1, { batterySocPct: 45 })])).toBe(0);
      const known = [charge(0, { batterySocPct: 25 }), draw(1, { batterySocPct: 50 })];
      expect(ofSolarWh(known)).toBeCloseTo((1000 * 2) / (5.12 + 2), 6);
      expect(ofSolarWh([charge(0), draw(1)])).toBeCloseTo((1000 * 2) / (10.24 + 2), 6);
    });

    it("is scaled down, whatever its origin, to what the state of charge leaves", () => {
      const samples = [
        charge(0, { batterySocPct: 25 }),
        charge(1, { batterySocPct: 30 }),
        draw(2, { batterySocPct: 30 }),
      ];
      // 7.12 kWh, of them 2 of the sun, become 5.12; then 2 more of the sun come in.
      const solarKwh = (2 * 5.12) / 7.12 + 2;
      expect(ofSolarWh(samples)).toBeCloseTo((1000 * solarKwh) / 7.12, 6);
    });

    it("gives no more of the sun's than is in it", () => {
      const empty = [charge(0, { batterySocPct: 0 }), draw(1, { batterySocPct: 0 })];
      expect(ofSolarWh(empty)).toBe(0);
      const ratings = [{ ...RATINGS, battery: {} }];
      const samples = [charge(0), draw(1, { loadW: 3000, batteryW: 3000 }), draw(2)];
      expect(review(seriesOf(samples), { ratings }).total.batteryToLoadOfSolarWh).toBeCloseTo(2000, 6);
    });
  });

  it("notes a day on which the meters disagree by more than 15 %", () => {
    const disagree = review(
      seriesOf(steady(24, 3600, { loadW: 1000, solarW: 1200, gridW: 0, source: "inverter" })),
    );
    expect(disagree.notes.map((note) => note.code)).toContain("meters-disagree");
    const agree = review(
      seriesOf(steady(24, 3600, { loadW: 1000, solarW: 1100, gridW: 0, source: "inverter" })),
    );
    expect(agree.notes.map((note) => note.code)).not.toContain("meters-disagree");
  });

  it("lists every local day with any hold, if with zeros", () => {
    const samples = steady(30, 3600, { loadW: Number.NaN, source: "inverter" });
    const result = review(seriesOf(samples, START_MS));
    expect(result.days.map((day) => [day.date, day.shares.loadWh])).toEqual([
      ["2026-05-14", 0],
      ["2026-05-15", 0],
    ]);
  });
});
