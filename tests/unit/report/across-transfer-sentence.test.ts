import { describe, expect, it } from "vitest";
import { evidenceOf } from "../../../src/analysis/evidence";
import {
  acrossTransferSentences,
  type SampleLoads,
  type SamplesAcross,
} from "../../../src/report/across-transfer-sentence";
import { clockOf } from "../../../src/report/format";

/* The words are ours; there is no outside source. */

const clock = clockOf("America/Denver");
/** 14 May, 19:12 in Denver. */
const AT = Date.UTC(2026, 4, 15, 1, 12);

const sample = (seconds: number, L1: number | null, over: Partial<SampleLoads> = {}): SampleLoads => ({
  atMs: AT + seconds * 1000,
  L1,
  L2: 900,
  total: L1 === null ? null : L1 + 900,
  ...over,
});
const ACROSS: SamplesAcross = { last: sample(-60, 3060), first: sample(0, 3780), intervalS: 60 };

const peak = (seconds: number, given: object = {}) =>
  evidenceOf("peak-loading", {
    quantity: "L1",
    loading: 1.045,
    shownIn: "W",
    loadW: 4180,
    limitW: 4000,
    limitVa: 4000,
    limitRatio: 1,
    atMs: AT + seconds * 1000,
    near: true,
    overloadSeenAt: 0.98,
    ...given,
  });

const said = (across: Partial<SamplesAcross> = {}, of: object = {}) =>
  acrossTransferSentences(
    { ...ACROSS, ...across },
    { limiting: "L1", to: "utility", cause: "overload", evidence: [peak(60)], ...of },
    clock,
  );

describe("the samples on either side of a transfer", () => {
  it("are said with their loads, the greatest near it, and that the moment lies between them", () => {
    expect(said()).toEqual([
      "At 19:11, the last sample on the inverter, L1 was at 3.06 kW; at 19:12, the first on the utility, at 3.78 kW; the greatest near it was 4.18 kW at 19:13, on the utility.",
      "The log gives one value a minute, and the transfer lies between these two: the load at that moment the log doesn't show.",
    ]);
  });

  it("say which of them is the greatest", () => {
    expect(said({}, { evidence: [peak(0)] })[0]).toMatch(/at 3\.78 kW, the latter the greatest near it\.$/);
    expect(said({}, { evidence: [peak(-60)] })[0]).toMatch(/at 3\.78 kW, the former the greatest near it\.$/);
    expect(said({}, { evidence: [peak(-120, { near: false })] })[0]).toMatch(
      /; the greatest of the samples looked at was 4\.18 kW at 19:10, still on the inverter\.$/,
    );
    expect(said({}, { evidence: [peak(60, { loadW: null })] })[0]).toMatch(/at 3\.78 kW\.$/);
  });

  it("have seconds and the interval of the log", () => {
    expect(said({ last: sample(-10, 3060), intervalS: 10 })).toEqual([
      expect.stringMatching(/^At 19:11:50, .*; at 19:12:00, the first on the utility/),
      expect.stringMatching(/^The log gives one value every 10 s, /),
    ]);
    expect(said({ intervalS: 1 })[1]).toMatch(/^The log gives one value a second, /);
    expect(said({ intervalS: 0.5 })[1]).toMatch(/^The log gives one value every 0\.5 s, /);
    expect(said({ intervalS: 300 })[1]).toMatch(/^The log gives one value every 5 min, /);
  });

  it("speak of both legs together, and of a generator", () => {
    expect(said({}, { limiting: "total", to: "generator", evidence: [] })[0]).toBe(
      "At 19:11, the last sample on the inverter, both legs together were at 3.96 kW; at 19:12, the first on the generator, at 4.68 kW.",
    );
  });

  it("leave out what lies between them where that is a gap, which is said by itself", () => {
    expect(said({}, { cause: "in-gap" })).toHaveLength(1);
  });

  it("say nothing where a load isn't known", () => {
    expect(said({ last: null })).toEqual([]);
    expect(said({ first: null })).toEqual([]);
    expect(said({ last: sample(-60, null) })).toEqual([]);
    expect(said({}, { limiting: null })).toEqual([]);
  });
});
