import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Note, ReviewResult } from "../../../src/analysis/results";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { clockOf } from "../../../src/report/format";
import { reviewJson } from "../../../src/report/review-json";
import { LOG_KINDS, randomLog, reduced } from "../analysis/random-log";
import { RATINGS, review, type Sample, seriesOf, steady } from "../analysis/samples";

const clock = clockOf("America/Denver");
const SITE = { name: "Alder Creek Pottery", settings: DEFAULT_SETTINGS, ratings: [RATINGS] };
const json = (result: ReviewResult, notes: readonly Note[] = []) =>
  reviewJson(result, SITE, [], clock, notes);

/** Paths of the places that are null, with [] for an index. */
function nullPlaces(value: unknown, path = ""): string[] {
  if (value === null) return [path];
  if (Array.isArray(value)) return value.flatMap((one) => nullPlaces(one, `${path}[]`));
  if (typeof value !== "object") return [];
  return Object.entries(value as object).flatMap(([key, one]) =>
    nullPlaces(one, path === "" ? key : `${path}.${key}`),
  );
}

function expectReasons(object: Record<string, unknown>): void {
  // What leaves is what was computed: neither NaN nor infinity, which JSON would turn into null in silence.
  expect(JSON.parse(JSON.stringify(object))).toEqual(object);
  const { notes, ...rest } = object;
  const said = new Map(
    (notes as { code: string; what?: string; places?: number; reason?: string; message: string }[]).map(
      (note) => [note.what, note],
    ),
  );
  const counts = new Map<string, number>();
  for (const place of nullPlaces(rest)) counts.set(place, (counts.get(place) ?? 0) + 1);
  for (const [place, count] of counts) {
    const note = said.get(place);
    expect(note, place).toBeDefined();
    expect(["cant-tell", "not-yet"]).toContain(note?.code);
    if (note?.code === "cant-tell") expect(note.places, place).toBe(count);
    expect(note?.message).toContain(place);
    expect(note?.reason, place).not.toBe("no-reason");
  }
}

const overload: Sample[] = [
  ...steady(60, 60, { loadL1W: 1500, loadL2W: 900, solarW: 0, source: "inverter" }),
  ...steady(5, 60, { loadL1W: 4600, loadL2W: 900, solarW: 0, source: "utility" }, 3600),
];

describe("review --json", () => {
  it("says why for every null, in random logs of every kind", () => {
    fc.assert(
      fc.property(randomLog, fc.constantFrom(...LOG_KINDS), (samples, kind) => {
        expectReasons(json(review(seriesOf(samples.map((one) => reduced(one, kind))))));
      }),
      { numRuns: 60 },
    );
  });

  it.each([
    ["no sample", []],
    ["one sample", [{ s: 0, loadL1W: 4500, loadL2W: 100, source: "inverter" } as Sample]],
    ["a log without load", steady(60, 60, { solarW: 900 })],
    ["a log of one leg's voltage", steady(60, 60, { loadW: 900, loadL1V: 119 })],
    ["a log of VA alone", steady(60, 60, { loadL1Va: 4500, loadL2Va: 100, loadW: 100, source: "inverter" })],
  ])("says why for every null of %s", (_, samples) => {
    expectReasons(json(review(seriesOf(samples))));
  });

  it("gives evidence as code, message and figures, with instants as local time", () => {
    const { transfers } = json(review(seriesOf(overload))) as {
      transfers: { evidence: { code: string; message: string; figures: object }[] }[];
    };
    expect(transfers[0].evidence[0]).toEqual({
      code: "peak-loading",
      message:
        "L1 reached 1.15 of its limit at 01:00:00: 4.60 kW asked for, the limit was 4.00 kW (an overload counts from 0.98, setting overloadSeenAt).",
      figures: {
        quantity: "L1",
        loading: 1.15,
        shownIn: "W",
        loadW: 4600,
        limitW: 4000,
        limitVa: 4000,
        limitRatio: 1,
        at: "2026-05-14T01:00:00-06:00",
        near: true,
        overloadSeenAt: 0.98,
      },
    });
  });

  it("gives intervals with what they stand on", () => {
    const { nearLimit, imbalance } = json(review(seriesOf(overload))) as {
      nearLimit: { evidence: { code: string }[] }[];
      imbalance: { intervals: { evidence: { code: string }[] }[] };
    };
    expect(nearLimit[0].evidence.map(({ code }) => code)).toEqual([
      "near-limit-peak",
      "near-limit-span",
      "interval-hides",
    ]);
    expect(imbalance.intervals.every(({ evidence }) => evidence.length === 2)).toBe(true);
  });

  it("rounds nothing", () => {
    const samples = steady(60, 60, { loadL1W: 1234.5, loadL2W: 333.25, source: "inverter" });
    const result = review(seriesOf(samples));
    const object = json(result) as { demand: { peakW: number }; shares: { total: { loadKwh: number } } };
    expect(object.demand.peakW).toBe(1567.75);
    expect(object.shares.total.loadKwh).toBe(result.total.loadWh / 1000);
    expect(object.shares.total.loadKwh).toBeCloseTo(1.56775, 12);
  });

  it("leaves for later what this version doesn't compute, and says so", () => {
    const object = json(review(seriesOf(overload)));
    for (const what of ["steps", "signatures"]) {
      expect(object[what]).toBeNull();
      expect(object.notes).toContainEqual({
        code: "not-yet",
        message: `This version doesn't compute yet: ${what}.`,
        what,
      });
    }
  });

  it("carries every figure of the period as a finding with coverage, interval and settings", () => {
    const { findings } = json(review(seriesOf(overload))) as {
      findings: { code: string; message: string; coverage: number; intervalS: number; settings: object }[];
    };
    expect(findings.find(({ code }) => code === "demand")).toMatchObject({
      coverage: 1,
      intervalS: 60,
      settings: { demandCoverage: 0.8 },
    });
  });
});
