import { describe, expect, it } from "vitest";
import { evidenceOf } from "../../../src/analysis/evidence";
import type { Dropout, Evidence, Transfer } from "../../../src/analysis/results";
import { clockOf } from "../../../src/report/format";
import { dropoutSentence, transferSentence } from "../../../src/report/transfer-sentence";
import { RATINGS, review, type Sample, seriesOf, steady } from "../analysis/samples";

const clock = clockOf("America/Denver");
/** 14 May, 18:02 in Denver. */
const AT = Date.UTC(2026, 4, 15, 0, 2);

const peak = (given: object = {}): Evidence =>
  evidenceOf("peak-loading", {
    quantity: "L1",
    loading: 1.15,
    shownIn: "W",
    loadW: 4600,
    limitW: 4000,
    limitVa: 4000,
    limitRatio: 1,
    atMs: AT,
    near: true,
    overloadSeenAt: 0.98,
    ...given,
  });

function transfer(given: Partial<Transfer>): Transfer {
  return {
    atMs: AT,
    returnedAtMs: AT + 360_000,
    onUtilityS: 360,
    lowerBound: false,
    to: "utility",
    cause: "overload",
    alsoHolds: [],
    certainty: "seen",
    limiting: "L1",
    peakLoading: 1.15,
    peakAtMs: AT,
    tags: [],
    nuisance: false,
    avoidable: false,
    evidence: [peak()],
    ...given,
  };
}

describe("a transfer in a sentence", () => {
  it.each<[string, Partial<Transfer>, string]>([
    [
      "an overload seen",
      {},
      "14 May, 18:02: over to the utility because L1 asked for 4.60 kW and its limit was 4.00 kW. Back on the inverter after 6 min.",
    ],
    [
      "an overload just under its limit, and why it counts",
      { evidence: [peak({ loading: 0.995, loadW: 3980 })], peakLoading: 0.995, alsoHolds: ["load-step"] },
      "14 May, 18:02: over to the utility because L1 asked for 3.98 kW and its limit was 4.00 kW (an overload counts from 0.98 of the limit, since the load between two samples isn't seen). Another cause fits too: a load step. Back on the inverter after 6 min.",
    ],
    [
      "an overload of both legs, some time before",
      {
        certainty: "inferred",
        evidence: [peak({ quantity: "total", loadW: 9200, limitW: 8000, near: false })],
      },
      "14 May, 18:02: over to the utility most likely because the two legs together asked for 9.20 kW shortly before and their limit was 8.00 kW. Back on the inverter after 6 min.",
    ],
    [
      "an overload in VA",
      { evidence: [peak({ shownIn: "VA", loadW: 3000 })] },
      "14 May, 18:02: over to the utility because L1 asked for 4.60 kVA and its limit was 4.00 kVA. Back on the inverter after 6 min.",
    ],
    [
      "an overload with blending",
      { evidence: [peak({ shownIn: "part", loadW: 6000 })] },
      "14 May, 18:02: over to the utility because the inverter's part of L1 was 4.60 kW and its limit was 4.00 kW. Back on the inverter after 6 min.",
    ],
    [
      "an overload inferred from the return",
      {
        certainty: "inferred",
        evidence: [
          peak({ loading: 0.8, loadW: 3200 }),
          evidenceOf("return-delay", {
            loading: 0.8,
            overloadInferredAt: 0.7,
            onUtilityS: 180,
            returnDelayS: 180,
            toleranceS: 60,
          }),
        ],
        onUtilityS: 180,
      },
      "14 May, 18:02: over to the utility most likely because of an overload between two samples: L1 asked for 3.20 kW, its limit was 4.00 kW, and it came back when the return delay ran out. Back on the inverter after 3 min.",
    ],
    [
      "an overload by its fault code, with other rules that hold",
      { evidence: [peak({ loading: 0.5, loadW: 2000 })], alsoHolds: ["dc-limit", "load-step"] },
      "14 May, 18:02: over to the utility because the load was above what a leg or the inverter can carry. Other causes fit too: the limit of the battery's current and a load step. Back on the inverter after 6 min.",
    ],
    [
      "a low battery to a generator that the log doesn't see end",
      { cause: "low-battery", to: "generator", returnedAtMs: null, lowerBound: true },
      "14 May, 18:02: over to the generator because the battery was down to its limit. It stayed there for 6 min at least; when it came back the log doesn't show.",
    ],
    [
      "a load step",
      { cause: "load-step", certainty: "inferred" },
      "14 May, 18:02: over to the utility most likely because a large load came on; how high it went between samples the log can't show. Back on the inverter after 6 min.",
    ],
    [
      "nothing that explains it",
      { cause: "unexplained", certainty: "none" },
      "14 May, 18:02: over to the utility for a reason that the log doesn't show. Back on the inverter after 6 min.",
    ],
    [
      "a gap",
      { cause: "in-gap", certainty: "none" },
      "14 May, 18:02: over to the utility some time in a gap of the log. Back on the inverter after 6 min.",
    ],
  ])("says %s", (_, given, text) => {
    expect(transferSentence(transfer(given), clock)).toBe(text);
  });

  it("says the limit of the day of the transfer, lowered by its temperature, and not today's", () => {
    const samples: Sample[] = [
      ...steady(60, 60, { loadL1W: 500, loadL2W: 400, inverterTempC: 50, source: "inverter" }),
      ...steady(5, 60, { loadL1W: 3800, loadL2W: 400, inverterTempC: 50, source: "utility" }, 3600),
    ];
    const { transfers } = review(seriesOf(samples), {
      ratings: [
        { ...RATINGS, derate: [{ aboveC: 45, ratio: 0.9 }] },
        { ...RATINGS, from: "2026-05-15", legLimitW: 6000 },
      ],
    });
    expect(transferSentence(transfers[0], clock)).toContain("L1 asked for 3.80 kW and its limit was 3.60 kW");
  });
});

describe("a dropout in a sentence", () => {
  const dropout = (given: Partial<Dropout>): Dropout => {
    const { returnedAtMs: _, onUtilityS: __, to: ___, ...rest } = transfer({});
    return { ...rest, endedAtMs: AT + 480_000, deadS: 480, ...given };
  };

  it.each<[string, Partial<Dropout>, string]>([
    [
      "an overload",
      {},
      "14 May, 18:02: the loads lost supply because L1 asked for 4.60 kW and its limit was 4.00 kW. They were dead for 8 min.",
    ],
    [
      "an end that the log doesn't show",
      { cause: "unexplained", certainty: "none", lowerBound: true, endedAtMs: null },
      "14 May, 18:02: the loads lost supply for a reason that the log doesn't show. They were dead for 8 min at least.",
    ],
  ])("says %s", (_, given, text) => {
    expect(dropoutSentence(dropout(given), clock)).toBe(text);
  });
});
