import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  FINDING_FIGURES,
  type Finding,
  type FindingCode,
  SETTINGS_OF_FINDING,
} from "../../../src/analysis/finding";
import { createLocalClock } from "../../../src/analysis/local-time";
import { brokenFigures } from "../../../src/analysis/missing-evidence";
import { NOTE_FIGURES } from "../../../src/analysis/note";
import { type PeriodSubject, periodFindings } from "../../../src/analysis/period-findings";
import type { Ratings } from "../../../src/analysis/ratings";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { LOG_KINDS, randomLog, reduced } from "./random-log";
import { RATINGS, review, type Sample, START_MS, seriesOf, steady } from "./samples";

const clock = createLocalClock("America/Denver");
const at = (s: number) => START_MS + s * 1000;

/** The whole log as a period. */
function subjectOf(
  samples: readonly Sample[],
  ratings: readonly Ratings[] = [RATINGS],
  faultWords: Parameters<typeof review>[1] = {},
): PeriodSubject & { notes: readonly unknown[] } {
  const result = review(seriesOf(samples), { ratings, ...faultWords });
  const { coverage } = result;
  return {
    ...result,
    fromMs: coverage.fromMs ?? 0,
    toMs: coverage.toMs ?? 0,
    nominalS: coverage.nominalS,
    gaps: coverage.gaps,
    settings: DEFAULT_SETTINGS,
  };
}

const findingsOf = (samples: readonly Sample[], ratings: readonly Ratings[] = [RATINGS]) =>
  periodFindings(subjectOf(samples, ratings), ratings, clock);
const codesOf = (findings: readonly Finding[]) => findings.map(({ code }) => code);
const pick = (findings: readonly Finding[], code: FindingCode) =>
  findings.filter((finding) => finding.code === code);

const QUIET = { loadL1W: 500, loadL2W: 400, source: "inverter" as const };
/** Ten minutes quiet, five overloaded on the utility, ten quiet. */
const overload: Sample[] = [
  ...steady(60, 10, QUIET),
  ...steady(30, 10, { ...QUIET, loadL1W: 4600, source: "utility" }, 600),
  ...steady(60, 10, QUIET, 900),
];

describe("findings of a period", () => {
  it("are none where there are no samples", () => {
    expect(findingsOf([])).toEqual([]);
  });

  it("carry figures of the catalogue, their settings and a coverage, in random logs of every kind", () => {
    const seen = new Set<string>();
    fc.assert(
      fc.property(randomLog, fc.constantFrom(...LOG_KINDS), (samples, kind) => {
        const ratings = [
          { ...RATINGS, serviceA: 40, passThroughA: 40, battery: { ...RATINGS.battery, fuseA: 100 } },
          { ...RATINGS, from: "2026-05-15", derate: [{ aboveC: 45, ratio: 0.9 }] },
        ];
        const subject = subjectOf(
          samples.map((one) => reduced(one, kind)),
          ratings,
        );
        const findings = periodFindings(subject, ratings, clock);
        expect(brokenFigures(findings, FINDING_FIGURES)).toEqual([]);
        expect(brokenFigures(subject.notes as [], NOTE_FIGURES)).toEqual([]);
        expect(JSON.parse(JSON.stringify(findings))).toEqual(findings);
        for (const { code, coverage, intervalS, settings } of findings) {
          seen.add(code);
          expect(Object.keys(settings)).toEqual(SETTINGS_OF_FINDING[code]);
          if (coverage !== null) expect(coverage).toBeLessThanOrEqual(1 + 1e-9);
          if (coverage !== null) expect(coverage).toBeGreaterThanOrEqual(0);
          expect(intervalS).toBe(subject.nominalS);
        }
      }),
      { numRuns: 60 },
    );
    expect(seen.size).toBeGreaterThan(20);
  });

  it("stand in the order in which a month is read", () => {
    const order = Object.keys(FINDING_FIGURES);
    const codes = codesOf(findingsOf(overload));
    expect(codes.slice(0, 3)).toEqual(["carried", "coverage", "transfers"]);
    expect(codes.indexOf("transfers")).toBeLessThan(codes.indexOf("peak-loading"));
    expect(codes.indexOf("peak-loading")).toBeLessThan(codes.indexOf("imbalance"));
    expect(codes.indexOf("imbalance")).toBeLessThan(codes.indexOf("demand"));
    expect(codes.indexOf("demand")).toBeLessThan(codes.indexOf("energy"));
    for (const code of codes) expect(order).toContain(code);
  });

  it("say what carried the loads, and how often they went over and for what", () => {
    const findings = findingsOf(overload);
    expect(pick(findings, "carried")[0].figures).toEqual({
      onInverterS: 1200,
      onUtilityS: 300,
      deadS: 0,
      unknownS: 0,
      share: 0.8,
      transfers: 1,
      dropouts: 0,
    });
    expect(pick(findings, "transfers-of-cause").map(({ figures }) => figures)).toEqual([
      { cause: "overload", count: 1, seen: 1, onUtilityS: 300 },
    ]);
    expect(pick(findings, "fuller-leg")[0].figures).toEqual({
      leg: "L1",
      count: 1,
      of: 1,
      meanLoading: 1.15,
      meanOfLegs: 0.625,
    });
  });

  it("give their own coverage: of the legs where one is missing, of the energy where solar is", () => {
    const samples = overload.map((one, i) => ({
      ...one,
      loadL2W: i < 30 ? Number.NaN : one.loadL2W,
      solarW: i < 75 ? Number.NaN : 0,
    }));
    const findings = findingsOf(samples);
    expect(pick(findings, "coverage")[0].coverage).toBe(1);
    expect(pick(findings, "imbalance")[0].coverage).toBeCloseTo(0.8, 9);
    expect(pick(findings, "near-limit")[0].coverage).toBe(1);
    expect(pick(findings, "energy")[0].coverage).toBeCloseTo(0.5, 9);
  });

  it("give load and limit of the greatest loading as they were at its sample", () => {
    const derated = { ...RATINGS, derate: [{ aboveC: 45, ratio: 0.9 }] };
    const hot = overload.map((one) => ({ ...one, inverterTempC: 50 }));
    expect(pick(findingsOf(hot, [derated]), "peak-loading")[0].figures).toEqual({
      quantity: "L1",
      loading: 4600 / 3600,
      loadW: 4600,
      limitW: 3600,
      atMs: at(600),
    });
    const low = steady(60, 10, { ...QUIET, loadL1W: 2000 });
    expect(pick(findingsOf(low), "peak-loading")[0].figures).toMatchObject({ loadW: null, limitW: 4000 });
    expect(pick(findingsOf(low, [derated]), "peak-loading")[0].figures).toMatchObject({ limitW: null });
  });

  it("say that a leg never came near its limit, but not of a leg that isn't in the log", () => {
    const near = (samples: readonly Sample[]) =>
      pick(findingsOf(samples), "near-limit").map(({ figures }) => figures);
    expect(near(steady(60, 10, QUIET))).toMatchObject([
      { quantity: "L1", intervals: 0 },
      { quantity: "L2", intervals: 0 },
    ]);
    expect(near(steady(60, 10, { loadW: 900, source: "inverter" }))).toEqual([]);
  });

  it("add up near-limit intervals of each quantity", () => {
    expect(
      pick(
        findingsOf([...overload, ...overload.map((one) => ({ ...one, s: one.s + 1500 }))]),
        "near-limit",
      )[0].figures,
    ).toEqual({
      quantity: "L1",
      intervals: 2,
      durationS: 600,
      overLimitS: 600,
      onInverterS: 0,
    });
  });

  it("hold the return delay against the ratings' one, with what may lie between", () => {
    const figures = pick(findingsOf(overload), "return-delay")[0].figures;
    expect(figures).toMatchObject({ medianS: 0, n: 1, returnDelayS: 180, toleranceS: 30 });
    const { returnDelayS: _, ...without } = RATINGS;
    expect(pick(findingsOf(overload, [without]), "return-delay")[0].figures).toMatchObject({
      returnDelayS: null,
    });
  });

  it("give the arithmetic of existing loads only beside a service rating, with its cautions", () => {
    expect(codesOf(findingsOf(overload))).not.toContain("existing-load");
    expect(
      pick(findingsOf(overload, [{ ...RATINGS, serviceA: 100 }]), "existing-load")[0].figures,
    ).toMatchObject({
      serviceA: 100,
      solarOrShaving: true,
      under30Days: true,
      seasonUnknown: true,
      recordDays: 1,
    });
  });

  it("list continuous load by device, the longest of its stretches", () => {
    const samples = [
      ...steady(200, 60, { ...QUIET, loadL1W: 7200, gridL1A: 60, gridL2A: 5, source: "utility" }),
      ...steady(10, 60, { ...QUIET, gridL1A: 5, gridL2A: 5, source: "utility" }, 12_000),
      ...steady(250, 60, { ...QUIET, loadL1W: 7200, gridL1A: 60, gridL2A: 5, source: "utility" }, 12_600),
    ];
    const rated = [{ ...RATINGS, serviceA: 70 }];
    expect(pick(findingsOf(samples, rated), "continuous-load").map(({ figures }) => figures)).toEqual([
      {
        device: "service",
        stretches: 2,
        fromMs: at(12_600),
        durationS: 15_000,
        ratingA: 70,
        meanA: 60,
        maxA: 60,
      },
    ]);
    expect(
      pick(findingsOf(samples, [{ ...RATINGS, serviceA: 100 }]), "no-continuous-load")[0].figures,
    ).toEqual({
      service: true,
      passThrough: false,
    });
    expect(codesOf(findingsOf(samples))).not.toContain("no-continuous-load");
  });

  it("warn of an open neutral first, and tell none from not being able to tell", () => {
    const volts = (l1V: number, l2V: number) => ({ ...QUIET, loadL1V: l1V, loadL2V: l2V });
    const sound = steady(60, 10, volts(120, 120));
    const open = [...sound, ...steady(10, 10, { ...volts(105, 135), loadL1W: 2400 }, 600)];
    expect(codesOf(findingsOf(open))[0]).toBe("open-neutral");
    expect(findingsOf(open)[0].figures).toMatchObject({
      stretches: 1,
      samples: 10,
      differenceV: 30,
      l1V: 105,
      l2V: 135,
      fromMs: at(600),
    });
    expect(codesOf(findingsOf(sound))).toContain("no-open-neutral");
    const one = findingsOf(steady(60, 10, { ...QUIET, loadL1V: 120 }));
    expect(codesOf(one)).not.toContain("no-open-neutral");
    expect(pick(one, "not-in-log").map(({ figures }) => figures)).toContainEqual({ what: "open-neutral" });
  });

  it("scale the service range with the nominal voltage", () => {
    const samples = steady(60, 10, { ...QUIET, loadL1V: 127, loadL2V: 127 });
    const [l1] = pick(findingsOf(samples, [{ ...RATINGS, legNominalV: 127 }]), "leg-voltage");
    expect(l1.figures).toMatchObject({ lowV: 120.65, highV: 133.35, belowS: 0, aboveS: 0 });
  });

  it("speak of the sun only where there is any", () => {
    const sun = (solarW: number) => findingsOf(steady(60, 10, { ...QUIET, solarW, batteryW: 0, gridW: 0 }));
    expect(codesOf(sun(0))).not.toContain("solar-fraction");
    expect(pick(sun(450), "solar-fraction")[0].figures).toMatchObject({ fraction: 0.5 });
    expect(pick(sun(450), "self-consumption")[0].figures).toMatchObject({ share: 1 });
  });

  it("say what isn't in the log", () => {
    const what = (samples: readonly Sample[]) =>
      pick(findingsOf(samples), "not-in-log").map(({ figures }) => (figures as { what: string }).what);
    expect(what(steady(60, 60, { solarW: 900 }))).toEqual([
      "peak-loading",
      "imbalance",
      "demand",
      "leg-voltage",
      "energy",
    ]);
    expect(what(overload)).toEqual(["service-current", "leg-voltage"]);
  });
});
