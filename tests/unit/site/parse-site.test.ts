import { describe, expect, it } from "vitest";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { parseSite } from "../../../src/site/parse-site";

const SITE = {
  version: 1,
  name: "Alder Creek Pottery",
  timezone: "America/Denver",
  ratings: [{ from: "2026-01-01", legLimitW: 4000 }],
};
const rated = (more: object) => ({ ...SITE, ratings: [{ ...SITE.ratings[0], ...more }] });

function problems(json: unknown) {
  const parsed = parseSite(json);
  return parsed.ok ? [] : parsed.problems;
}

describe("parseSite", () => {
  it("fills in every default of a site with one leg limit", () => {
    const parsed = parseSite(SITE);
    expect(parsed.ok && parsed.site).toEqual({
      name: "Alder Creek Pottery",
      timezone: "America/Denver",
      ratings: [
        {
          from: "2026-01-01",
          legLimitW: 4000,
          totalLimitW: 8000,
          legLimitVa: 4000,
          totalLimitVa: 8000,
          legNominalV: 120,
          overload: [],
          derate: [],
          hundredPercentRated: [],
          battery: {},
        },
      ],
      settings: DEFAULT_SETTINGS,
      loggers: [{ name: "main" }],
      circuits: [],
      tariff: null,
    });
  });

  it("gives the site back as it was written, besides", () => {
    const parsed = parseSite(SITE);
    expect(parsed.ok && parsed.input).toEqual(SITE);
  });

  it("keeps what is given and merges settings with the defaults", () => {
    const parsed = parseSite({
      ...rated({ totalLimitW: 7000, legLimitVa: 4500 }),
      settings: { nearLimitEnter: 0.95 },
    });
    expect(parsed.ok && parsed.site.ratings[0]).toMatchObject({
      totalLimitW: 7000,
      legLimitVa: 4500,
      totalLimitVa: 7000,
    });
    expect(parsed.ok && parsed.site.settings).toEqual({ ...DEFAULT_SETTINGS, nearLimitEnter: 0.95 });
  });

  it("puts ratings in order of their days", () => {
    const later = { from: "2026-06-01", legLimitW: 5000 };
    const parsed = parseSite({ ...SITE, ratings: [later, ...SITE.ratings] });
    expect(parsed.ok && parsed.site.ratings.map((r) => r.from)).toEqual(["2026-01-01", "2026-06-01"]);
  });

  it("takes the whole example of the file format", () => {
    const parsed = parseSite({
      ...rated({
        totalLimitW: 8000,
        overload: [
          { upToRatio: 1.25, forS: 30 },
          { upToRatio: 2.0, forS: 1 },
        ],
        legSurgeA: 80,
        surgeS: 2,
        derate: [{ aboveC: 45, ratio: 0.9 }],
        maxTempC: 75,
        passThroughA: 60,
        serviceA: 100,
        loadOutsideA: 0,
        hundredPercentRated: [],
        returnDelayS: 180,
        idleW: 60,
        battery: {
          nominalV: 51.2,
          capacityAh: 400,
          maxDischargeA: 200,
          maxChargeA: 120,
          surgeA: 300,
          fuseA: 250,
          lowSocPct: 20,
          resumeSocPct: 30,
          lowV: 48.0,
        },
        dcCable: { size: "4/0", oneWayFt: 6 },
        solarPeakW: 7200,
      }),
      loggers: [{ name: "main" }, { name: "meter", channels: ["gridW"] }],
      circuits: [{ name: "Kiln 1", legs: "both", breakerA: 30, continuous: true }],
      tariff: {
        currency: "USD",
        periods: [
          {
            name: "evening",
            pricePerKwh: 0.31,
            months: [6, 7, 8, 9],
            days: ["mon", "fri"],
            from: "16:00",
            to: "21:00",
          },
        ],
        otherwisePerKwh: 0.14,
        exportPerKwh: 0.04,
        fixedPerMonth: 12,
      },
      settings: { nearLimitEnter: 0.9 },
    });
    expect(parsed.ok).toBe(true);
  });

  it.each([
    ["a rating of zero", rated({ legLimitW: 0 }), "ratings[0].legLimitW", /is 0; it must be above 0/],
    ["a negative rating", rated({ totalLimitW: -1 }), "ratings[0].totalLimitW", /must be above 0/],
    [
      "a rating as a text",
      rated({ legLimitW: "4 kW" }),
      "ratings[0].legLimitW",
      /"4 kW", which is not a number/,
    ],
    ["no leg limit", { ...SITE, ratings: [{ from: "2026-01-01" }] }, "ratings[0].legLimitW", /is missing/],
    ["no ratings", { ...SITE, ratings: [] }, "ratings", /at least 1/],
    ["a zone that doesn't exist", { ...SITE, timezone: "America/Denvr" }, "timezone", /not a time zone/],
    ["an offset for a zone", { ...SITE, timezone: "-07:00" }, "timezone", /not a time zone/],
    [
      "a day that isn't in the calendar",
      rated({ from: "2026-02-30" }),
      "ratings[0].from",
      /not a day of the calendar/,
    ],
    ["a date in another form", rated({ from: "1/1/2026" }), "ratings[0].from", /yyyy-MM-dd/],
    ["a 230 V supply", rated({ legNominalV: 230 }), "ratings[0].legNominalV", /120\/240 V split-phase/],
    ["a supply key", { ...SITE, supply: "three-phase" }, "supply", /Only 120\/240 V split-phase/],
    ["phases", rated({ phases: 3 }), "ratings[0].phases", /Only 120\/240 V split-phase/],
    [
      "overload out of order",
      rated({
        overload: [
          { upToRatio: 2, forS: 1 },
          { upToRatio: 1.2, forS: 1 },
        ],
      }),
      "ratings[0].overload",
      /ascending/,
    ],
    [
      "an overload ratio under 1",
      rated({ overload: [{ upToRatio: 0.9, forS: 1 }] }),
      "ratings[0].overload[0].upToRatio",
      /above 1/,
    ],
    [
      "two entries from one day",
      { ...SITE, ratings: [SITE.ratings[0], SITE.ratings[0]] },
      "ratings",
      /same day/,
    ],
    [
      "a battery that resumes below its low mark",
      rated({ battery: { lowSocPct: 30, resumeSocPct: 20 } }),
      "ratings[0].battery.resumeSocPct",
      /below lowSocPct/,
    ],
    ["two loggers of one name", { ...SITE, loggers: [{ name: "a" }, { name: "a" }] }, "loggers", /same name/],
    [
      "an unknown channel",
      { ...SITE, loggers: [{ name: "a", channels: ["gridX"] }] },
      "loggers[0].channels[0]",
      /can be "loadL1W"/,
    ],
    [
      "a leaving threshold above the entering one",
      { ...SITE, settings: { nearLimitLeave: 0.95 } },
      "settings.nearLimitLeave",
      /above nearLimitEnter/,
    ],
    ["another version", { ...SITE, version: 2 }, "version", /it can be 1/],
    ["an endless name", { ...SITE, name: "x".repeat(1000) }, "name", /at most 120 characters/],
    ["a rating past every site", rated({ legLimitW: 1e9 }), "ratings[0].legLimitW", /at most 500000/],
    ["not an object", "site", "", /not an object/],
    ["null", null, "", /not an object/],
  ])("refuses %s, saying where, what and how to mend it", (_, json, path, message) => {
    const [problem] = problems(json);
    expect(problem.path).toBe(path);
    expect(problem.message).toMatch(message);
    expect(problem.hint.length).toBeGreaterThan(8);
  });

  it("names an unknown key and the nearest known one", () => {
    expect(problems(rated({ legLimtW: 1 }))[0]).toMatchObject({
      path: "ratings[0].legLimtW",
      hint: expect.stringContaining('"legLimitW"'),
    });
    expect(problems({ ...SITE, settings: { nearLimitEntr: 1 } })[0].hint).toContain('"nearLimitEnter"');
    expect(problems({ ...SITE, zzzzzzzzzzz: 1 })[0].hint).toContain("Known keys here: version, name");
  });

  it("suggests the nearest zone", () => {
    expect(problems({ ...SITE, timezone: "America/Denvr" })[0].hint).toContain('"America/Denver"');
  });

  it("lists every problem, not only the first", () => {
    expect(problems({ version: 1 }).map((p) => p.path)).toEqual(["name", "timezone", "ratings"]);
  });
});
