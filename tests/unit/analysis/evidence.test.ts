import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { continuousLoadEvidence } from "../../../src/analysis/continuous-load-evidence";
import { EVIDENCE_FIGURES, evidenceOf } from "../../../src/analysis/evidence";
import { imbalanceEvidence } from "../../../src/analysis/imbalance-evidence";
import { brokenFigures, lacking, missingEvidence } from "../../../src/analysis/missing-evidence";
import { nearLimitEvidence } from "../../../src/analysis/near-limit-evidence";
import { openNeutralEvidence } from "../../../src/analysis/open-neutral-evidence";
import {
  REQUIRED_BY_CAUSE,
  REQUIRED_BY_TAG,
  REQUIRED_OF_CONTINUOUS_LOAD,
  REQUIRED_OF_DROPOUT,
  REQUIRED_OF_EVENT,
  REQUIRED_OF_IMBALANCE,
  REQUIRED_OF_NEAR_LIMIT,
  REQUIRED_OF_OPEN_NEUTRAL,
  REQUIRED_OF_TRANSFER,
  REQUIRED_OF_TRANSFER_BY_CAUSE,
  type RequiredByCause,
  type RequiredByTag,
} from "../../../src/analysis/required-evidence";
import type { Dropout, ReviewResult, Transfer } from "../../../src/analysis/results";
import { type Source, TRANSFER_CAUSES } from "../../../src/analysis/series";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { LOG_KINDS, randomLog, reduced } from "./random-log";
import { RATINGS, review, type Sample, START_MS, seriesOf, steady } from "./samples";

type Event = Transfer | Dropout;

/** A log at `intervalS`: ten minutes on inverter, then `away` for five, then back for ten. */
function over(
  intervalS: number,
  before: Omit<Sample, "s">,
  away: Omit<Sample, "s">,
  { gapS = 0, s = 0, source = "utility" as Source } = {},
): Sample[] {
  const count = 600 / intervalS;
  return [
    ...steady(count, intervalS, { source: "inverter", ...before }, s),
    ...steady(count / 2, intervalS, { source, ...before, ...away }, s + 600 + gapS),
    ...steady(count, intervalS, { source: "inverter", ...before }, s + 900 + gapS),
  ];
}

const QUIET = {
  loadL1W: 500,
  loadL2W: 400,
  batteryA: 20,
  batteryV: 52,
  batterySocPct: 60,
  inverterTempC: 40,
};

/** Small logs, one for each way in which a cause can be decided. */
const LOGS: { readonly [name: string]: { samples: Sample[]; fault?: boolean } } = {
  "an overload seen": { samples: over(10, QUIET, { loadL1W: 4600 }) },
  "an overload at one second": { samples: over(1, QUIET, { loadL1W: 4600, loadL2W: 4500 }) },
  "an overload inferred by the return": {
    samples: [
      ...steady(20, 60, { source: "inverter", ...QUIET, loadL1W: 3000, loadL2W: 2900 }),
      ...steady(3, 60, { source: "utility", ...QUIET, loadL1W: 3000, loadL2W: 2900 }, 1200),
      ...steady(20, 60, { source: "inverter", ...QUIET, loadL1W: 3000, loadL2W: 2900 }, 1380),
    ],
  },
  "a fault": { samples: over(10, { ...QUIET, fault: 0 }, { fault: 1 }) },
  "a fault that means overload": { samples: over(10, { ...QUIET, fault: 1 }, { fault: 2 }) },
  "a DC limit": { samples: over(10, { ...QUIET, batteryA: 199 }, { batteryA: 0 }) },
  heat: { samples: over(10, { ...QUIET, inverterTempC: 76 }, {}) },
  "a low state of charge": { samples: over(10, { ...QUIET, batterySocPct: 21 }, { batterySocPct: 20 }) },
  "a low state of charge that doesn't come back": {
    samples: over(10, { ...QUIET, batterySocPct: 21 }, {}).filter(
      ({ source }, i) => i < 60 || source === "utility",
    ),
  },
  "a low voltage": { samples: over(10, { loadL1W: 500, loadL2W: 400, batteryA: 20, batteryV: 48.1 }, {}) },
  "a motor start": { samples: over(1, QUIET, { loadL1W: 2500 }) },
  "a load step": { samples: over(60, QUIET, { loadL1W: 2500 }) },
  "a peak channel": { samples: over(60, { ...QUIET, loadL1PeakW: 600 }, { loadL1PeakW: 7000 }) },
  "the same clock time": {
    samples: [0, 1, 2, 3, 4].flatMap((day) => over(60, QUIET, {}, { s: day * 86_400 })),
  },
  "a gap": { samples: over(60, QUIET, {}, { gapS: 7200 }) },
  nothing: { samples: over(60, QUIET, {}) },
  "nothing, and little to look at": { samples: over(60, { loadW: 500 }, {}) },
  "no load at all": { samples: over(60, { solarW: 500 }, {}) },
  "loads that are missing": { samples: over(60, { loadL1W: Number.NaN, loadL2W: Number.NaN }, {}) },
  "a dropout": { samples: over(10, QUIET, { loadL1W: 0, loadL2W: 0 }, { source: "none" }) },
  "a dropout by overload": {
    samples: over(10, { ...QUIET, loadL1W: 4700 }, { loadL1W: 0 }, { source: "none" }),
  },
  "a dropout in a gap": { samples: over(60, QUIET, {}, { source: "none", gapS: 7200 }) },
  "a dropout without a source column": {
    samples: [
      ...steady(60, 10, { loadL1W: 900, loadL2W: 200, loadL1V: 120, loadL2V: 120 }),
      ...steady(3, 10, { loadL1W: 0, loadL2W: 0, loadL1V: 3, loadL2V: 2 }, 600),
      ...steady(60, 10, { loadL1W: 900, loadL2W: 200, loadL1V: 120, loadL2V: 120 }, 630),
    ],
  },
  "within the allowance": {
    samples: [
      ...steady(60, 1, { source: "inverter", ...QUIET }),
      ...steady(5, 1, { source: "inverter", ...QUIET, loadL1W: 4600 }, 60),
      ...steady(30, 1, { source: "utility", ...QUIET, loadL1W: 4600 }, 65),
      ...steady(60, 1, { source: "inverter", ...QUIET }, 95),
    ],
  },
  "beyond the allowance": {
    samples: [
      ...steady(60, 1, { source: "inverter", ...QUIET }),
      ...steady(5, 1, { source: "inverter", ...QUIET, loadL1W: 9000 }, 60),
      ...steady(30, 1, { source: "utility", ...QUIET, loadL1W: 9000 }, 65),
      ...steady(60, 1, { source: "inverter", ...QUIET }, 95),
    ],
  },
  "stacked starts, and again": {
    samples: [0, 400].flatMap((s) => [
      ...steady(100, 1, { source: "inverter", ...QUIET }, s),
      ...steady(20, 1, { source: "inverter", ...QUIET, loadL1W: 2000 }, s + 100),
      ...steady(20, 1, { source: "utility", ...QUIET, loadL1W: 4600 }, s + 120),
      ...steady(260, 1, { source: "inverter", ...QUIET }, s + 140),
    ]),
  },
};
const FAULT_WORDS = [
  { code: "7", meaning: null },
  { code: "9", meaning: "overload" as const },
];

const events = (result: ReviewResult): Event[] => [...result.transfers, ...result.dropouts];

/** Every list of codes that an event must have one of. */
function requirements(event: Event) {
  const transfer = "returnedAtMs" in event;
  return [
    ...REQUIRED_OF_EVENT,
    ...(transfer ? REQUIRED_OF_TRANSFER : REQUIRED_OF_DROPOUT),
    ...REQUIRED_BY_CAUSE[event.cause],
    ...(transfer ? REQUIRED_OF_TRANSFER_BY_CAUSE[event.cause] : []),
    ...(event.tags ?? []).flatMap((tag) => [...REQUIRED_BY_TAG[tag]]),
  ];
}

function expectFull(event: Event): void {
  expect(missingEvidence(event)).toEqual([]);
  expect(JSON.parse(JSON.stringify(event))).toEqual(event);
  expect(missingEvidence({ ...event, evidence: [] })).toHaveLength(
    requirements(event).length + (event.cause === "overload" ? 1 : 0),
  );
  for (const anyOf of requirements(event)) {
    const without = event.evidence.filter(({ code }) => !(anyOf as readonly string[]).includes(code));
    expect(missingEvidence({ ...event, evidence: without })).toContain(`requires ${anyOf.join(" or ")}`);
  }
  for (const [i, piece] of event.evidence.entries()) {
    for (const name of Object.keys(piece.figures)) {
      const { [name as never]: _, ...figures } = piece.figures as Record<string, unknown>;
      const evidence = event.evidence.with(i, { ...piece, figures } as never);
      expect(missingEvidence({ ...event, evidence })).not.toEqual([]);
    }
  }
}

describe("the evidence of an event", () => {
  const found = Object.entries(LOGS).map(([name, { samples }]) => ({
    name,
    events: events(
      review(seriesOf(samples), { ratings: [{ ...RATINGS, maxTempC: 75 }], faultWords: FAULT_WORDS }),
    ),
  }));

  it.each(found)("is complete for $name, and no piece can be taken away", ({ events: list }) => {
    expect(list.length).toBeGreaterThan(0);
    for (const event of list) expectFull(event);
  });

  it("is looked at for every cause, every tag and every code", () => {
    const all = found.flatMap(({ events: list }) => list);
    expect(new Set(all.map(({ cause }) => cause))).toEqual(new Set(TRANSFER_CAUSES));
    expect(new Set(all.flatMap(({ tags }) => tags ?? []))).toEqual(new Set(Object.keys(REQUIRED_BY_TAG)));
    const codes = new Set<string>(all.flatMap(({ evidence }) => evidence.map(({ code }) => code)));
    const elsewhere = [
      "near-limit-peak",
      "pass-through-peak",
      "near-limit-span",
      "imbalance-span",
      "continuous-span",
      "legs-apart",
    ];
    for (const code of Object.keys(EVIDENCE_FIGURES)) {
      if (!elsewhere.includes(code) && code !== "allowance-hidden") expect(codes).toContain(code);
    }
  });

  it("is complete for random logs", () => {
    let looked = 0;
    fc.assert(
      fc.property(randomLog, fc.constantFrom(...LOG_KINDS), (samples, kind) => {
        const result = review(seriesOf(samples.map((one) => reduced(one, kind))), {
          ratings: [
            { ...RATINGS, maxTempC: 75, passThroughA: 25, derate: [{ aboveC: 45, ratio: 0.9 }] },
            {
              ...RATINGS,
              from: "2026-05-15",
              legLimitW: 3000,
              legLimitVa: 2500,
              overload: [],
              battery: {},
            },
          ],
          faultWords: FAULT_WORDS,
        });
        for (const event of events(result)) {
          looked++;
          expect(missingEvidence(event)).toEqual([]);
          expect(JSON.parse(JSON.stringify(event))).toEqual(event);
        }
        for (const interval of result.nearLimit) {
          const evidence = nearLimitEvidence(interval, DEFAULT_SETTINGS);
          expect(lacking(evidence, REQUIRED_OF_NEAR_LIMIT)).toEqual([]);
          expect(brokenFigures(evidence)).toEqual([]);
        }
        for (const interval of result.figures.imbalance?.intervals ?? []) {
          const evidence = imbalanceEvidence(interval, DEFAULT_SETTINGS);
          expect(lacking(evidence, REQUIRED_OF_IMBALANCE)).toEqual([]);
          expect(brokenFigures(evidence)).toEqual([]);
        }
      }),
      { numRuns: 80 },
    );
    expect(looked).toBeGreaterThan(100);
  });
});

describe("the evidence of a stretch", () => {
  it("is complete for continuous load", () => {
    const evidence = continuousLoadEvidence(
      {
        device: "service",
        fromMs: 0,
        toMs: 14_400_000,
        durationS: 14_400,
        ratingA: 100,
        meanA: 84,
        maxA: 90,
        maxAtMs: 1000,
      },
      60,
    );
    expect(lacking(evidence, REQUIRED_OF_CONTINUOUS_LOAD)).toEqual([]);
    expect(lacking([], REQUIRED_OF_CONTINUOUS_LOAD)).toHaveLength(2);
    expect(brokenFigures(evidence)).toEqual([]);
    expect(evidence[0].figures).toMatchObject({ device: "service", atMs: 1000 });
  });

  it("is complete for the suspicion of an open neutral", () => {
    const evidence = openNeutralEvidence(
      {
        fromMs: 0,
        toMs: 30_000,
        samples: 3,
        maxDifferenceV: 18,
        maxDifferenceAtMs: 10_000,
        l1V: 111,
        l2V: 129,
        l1W: 2400,
        l2W: Number.NaN,
        source: "utility",
      },
      DEFAULT_SETTINGS,
      10,
    );
    expect(lacking(evidence, REQUIRED_OF_OPEN_NEUTRAL)).toEqual([]);
    expect(lacking([], REQUIRED_OF_OPEN_NEUTRAL)).toHaveLength(2);
    expect(brokenFigures(evidence)).toEqual([]);
    expect(evidence[0].figures).toMatchObject({ differenceV: 18, l2W: null, openNeutralV: 6 });
  });
});

describe("figures of evidence", () => {
  const figuresOf = (name: string, code: string, index = 0) => {
    const result = review(seriesOf(LOGS[name].samples), {
      ratings: [{ ...RATINGS, maxTempC: 75, derate: [{ aboveC: 45, ratio: 0.9 }] }],
      faultWords: FAULT_WORDS,
    });
    return events(result)[index].evidence.find((one) => one.code === code)?.figures;
  };
  const at = (s: number) => START_MS + s * 1000;

  it("give the samples that were looked at", () => {
    expect(figuresOf("an overload seen", "window")).toEqual({
      fromMs: at(540),
      toMs: at(610),
      samples: 8,
      transferLookbackS: 60,
      intervalS: 10,
    });
  });

  it("give the load and the limit in force at the sample, not the ratings of later", () => {
    const samples = over(10, { ...QUIET, inverterTempC: 50 }, { loadL1W: 3800 });
    const { transfers } = review(seriesOf(samples), {
      ratings: [
        { ...RATINGS, derate: [{ aboveC: 45, ratio: 0.9 }] },
        { ...RATINGS, from: "2026-06-01", legLimitW: 6000 },
      ],
    });
    expect(transfers[0].evidence[0]).toMatchObject({
      code: "peak-loading",
      figures: { loadW: 3800, limitW: 3600, limitRatio: 0.9, shownIn: "W", atMs: at(600) },
    });
  });

  it("say that VA or the inverter's part is what the loading shows", () => {
    const va = review(
      seriesOf(over(10, { loadL1W: 500, loadL2W: 400, loadL1Va: 500, loadL2Va: 400 }, { loadL1Va: 4400 })),
    );
    expect(va.transfers[0].evidence[0].figures).toMatchObject({ shownIn: "VA", loadW: 500, limitVa: 4000 });
    const blended: Sample[] = [
      ...steady(60, 10, { source: "inverter", loadL1W: 500, loadL2W: 400, gridL1W: 0, gridL2W: 0 }),
      ...steady(6, 10, { source: "inverter", loadL1W: 5000, loadL2W: 400, gridL1W: 1000, gridL2W: 0 }, 600),
      ...steady(6, 10, { source: "utility", loadL1W: 500, loadL2W: 400, gridL1W: 500, gridL2W: 400 }, 660),
    ];
    expect(review(seriesOf(blended)).transfers[0].evidence[0].figures).toMatchObject({
      shownIn: "part",
      loadW: 5000,
      loading: 1,
    });
  });

  it("give state of charge and volts at the return", () => {
    expect(figuresOf("a low state of charge", "battery-at-return")).toEqual({
      returnedAtMs: at(900),
      returnSocPct: 21,
      returnBatteryV: 52,
      resumeSocPct: 30,
    });
    expect(figuresOf("a low voltage", "battery-at-return")).toMatchObject({ returnSocPct: null });
  });

  it("give the gap's edges", () => {
    expect(figuresOf("a gap", "gap-before")).toEqual({ gapFromMs: at(600), gapToMs: at(7800) });
  });

  it("say what the log doesn't have where nothing explains a transfer", () => {
    expect(figuresOf("nothing, and little to look at", "nothing-found")).toMatchObject({
      hasFaultCodes: false,
      hasSoc: false,
      batterySocPct: null,
      hasLegs: false,
      riseW: null,
    });
  });

  it("give the code before a fault code", () => {
    expect(figuresOf("a fault", "fault-code")).toMatchObject({
      faultCode: "7",
      meaning: null,
      codeBefore: null,
    });
    expect(figuresOf("a fault that means overload", "fault-code")).toMatchObject({
      faultCode: "9",
      meaning: "overload",
      codeBefore: "7",
    });
  });

  it("give the step of the allowance that the peak falls under, null beyond the last", () => {
    expect(figuresOf("within the allowance", "allowance-used")).toMatchObject({ upToRatio: 1.25, forS: 30 });
    expect(figuresOf("beyond the allowance", "allowance-used")).toMatchObject({
      usedBefore: null,
      upToRatio: null,
      forS: null,
    });
  });

  it("are null where NaN and infinities stood", () => {
    expect(
      evidenceOf("battery-at-return", {
        returnedAtMs: null,
        returnSocPct: Number.NaN,
        returnBatteryV: Number.POSITIVE_INFINITY,
        resumeSocPct: 30,
      }).figures,
    ).toEqual({ returnedAtMs: null, returnSocPct: null, returnBatteryV: null, resumeSocPct: 30 });
  });

  it("are refused where they are of another kind, surplus, or not in the catalogue", () => {
    const piece = evidenceOf("temperature", { inverterTempC: 80, maxTempC: 75, atMs: 0 });
    expect(brokenFigures([piece])).toEqual([]);
    const given = (figures: object) =>
      brokenFigures([{ ...piece, figures: { ...piece.figures, ...figures } }]);
    expect(given({ maxTempC: null })).toEqual(["temperature.maxTempC requires number, got null"]);
    expect(given({ maxTempC: Number.NaN })).toEqual(["temperature.maxTempC requires number, got NaN"]);
    expect(given({ maxTempC: "75" })).toEqual(["temperature.maxTempC requires number, got 75"]);
    expect(given({ more: 1 })).toEqual(["temperature.more isn't in the catalogue"]);
    expect(brokenFigures([{ code: "moon-phase", figures: {} } as never])).toEqual([
      "moon-phase isn't in the catalogue",
    ]);
  });

  it("don't make an overload of a loading below the setting", () => {
    const [transfer] = review(seriesOf(LOGS["an overload inferred by the return"].samples)).transfers;
    expect(missingEvidence(transfer)).toEqual([]);
    const evidence = transfer.evidence.filter(({ code }) => code !== "return-delay");
    expect(missingEvidence({ ...transfer, evidence })).toEqual([
      "overload requires a loading that counts, return-delay or fault-code",
    ]);
  });
});

describe("evidence that is required by type", () => {
  it("can't be left out or swapped: these lines don't compile without the comments above them", () => {
    const heat = evidenceOf("temperature", { inverterTempC: 80, maxTempC: 75, atMs: 0 });
    const good: RequiredByCause<"over-temperature"> = [heat];
    // @ts-expect-error an empty list is no evidence
    const empty: RequiredByCause<"over-temperature"> = [];
    // @ts-expect-error heat is no reason for a schedule
    const swapped: RequiredByCause<"scheduled"> = [heat];
    // @ts-expect-error a tag wants its own evidence
    const tag: RequiredByTag<"repeat"> = [heat];
    // @ts-expect-error a figure is missing
    const figure = evidenceOf("temperature", { inverterTempC: 80, maxTempC: 75 });
    // @ts-expect-error a figure that the log always tells is never null
    const known = evidenceOf("temperature", { inverterTempC: 80, maxTempC: null, atMs: 0 });
    expect([good, empty, swapped, tag, figure, known]).toHaveLength(6);
  });
});
