import { describe, expect, it } from "vitest";
import { EVIDENCE_FIGURES, type EvidenceCode, type EvidenceFigures } from "../../../src/analysis/evidence";
import type { Evidence } from "../../../src/analysis/results";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { evidenceSentence } from "../../../src/report/evidence-sentence";
import { clockOf } from "../../../src/report/format";
import { plainEvidence } from "../../../src/report/plain-evidence";

const clock = clockOf("America/Denver");
/** 14 May, 18:02:05 in Denver. */
const AT = Date.UTC(2026, 4, 15, 0, 2, 5);
const minutes = (count: number) => AT + count * 60_000;

/** For every code, figures and the sentence that they make. A code without a case doesn't compile. */
const CASES: { readonly [C in EvidenceCode]: readonly (readonly [EvidenceFigures[C], string])[] } = {
  window: [
    [
      { fromMs: minutes(-1), toMs: minutes(1), samples: 121, transferLookbackS: 60, intervalS: 1 },
      "Looked at: 121 samples from 18:01:05 to 18:03:05 (1 min or three intervals back, setting transferLookbackS).",
    ],
    [
      { fromMs: AT, toMs: AT, samples: 1, transferLookbackS: 60, intervalS: 60 },
      "Looked at: 1 sample from 18:02:05 to 18:02:05 (1 min or three intervals back, setting transferLookbackS).",
    ],
  ],
  "peak-loading": [
    [
      peak({}),
      "L1 reached 1.15 of its limit at 18:02:05: 4.60 kW asked for, the limit was 4.00 kW (an overload counts from 0.98, setting overloadSeenAt).",
    ],
    [
      peak({ quantity: "total", near: false, loadW: 9200, limitW: 8000 }),
      "The total reached 1.15 of its limit at 18:02:05, some time before: 9.20 kW asked for, the limit was 8.00 kW (an overload counts from 0.98, setting overloadSeenAt).",
    ],
    [
      peak({ limitRatio: 0.9, loadW: 4140, limitW: 3600 }),
      "L1 reached 1.15 of its limit at 18:02:05: 4.14 kW asked for, the limit was 3.60 kW, lowered to 90 % by temperature (an overload counts from 0.98, setting overloadSeenAt).",
    ],
    [
      peak({ shownIn: "VA", loading: 1.1, loadW: 3500, limitVa: 4000 }),
      "L1 reached 1.10 of its limit at 18:02:05: 4.40 kVA asked for, the limit was 4.00 kVA (an overload counts from 0.98, setting overloadSeenAt).",
    ],
    [
      peak({ shownIn: "part", loading: 1, loadW: 5200 }),
      "L1 reached 1.00 of its limit at 18:02:05: the inverter's part was 4.00 kW of the 5.20 kW asked for, the limit was 4.00 kW (an overload counts from 0.98, setting overloadSeenAt).",
    ],
  ],
  "no-loading": [
    [{ hasLoad: true }, "No load is known around it: the samples there have none."],
    [{ hasLoad: false }, "The log has no load channel: whether a load was the cause can't be told."],
  ],
  "fault-code": [
    [
      { faultCode: "17", meaning: "overload", codeBefore: null, atMs: AT },
      "The inverter gave fault code 17 at 18:02:05, which the column map says means overload; there was none before.",
    ],
    [
      { faultCode: "E4", meaning: null, codeBefore: "E3", atMs: AT },
      "The inverter gave fault code E4 at 18:02:05; before it was E3.",
    ],
  ],
  "dc-current": [
    [
      { batteryA: 197.4, maxDischargeA: 200, dcLimitAt: 0.98, atMs: AT },
      "The battery gave 197 A at 18:02:05; its rating is 200 A (counted from 98 % of it, setting dcLimitAt).",
    ],
  ],
  temperature: [
    [
      { inverterTempC: 76.5, maxTempC: 75, atMs: AT },
      "The inverter was at 76.5 °C at 18:02:05; its limit is 75 °C.",
    ],
  ],
  "low-soc": [
    [
      { batterySocPct: 21, lowSocPct: 20, lowSocMarginPct: 2, atMs: AT },
      "The battery was down to 21 % state of charge at 18:02:05; the inverter leaves it at 20 % (counted within 2 points, setting lowSocMarginPct).",
    ],
  ],
  "low-volts": [
    [
      { batteryV: 48.15, lowV: 48, lowVMarginV: 0.2, atMs: AT },
      "The battery was down to 48.2 V at 18:02:05; the inverter leaves it at 48.0 V (counted within 0.2 V, setting lowVMarginV).",
    ],
  ],
  "battery-at-return": [
    [
      { returnedAtMs: minutes(600), returnSocPct: 31, returnBatteryV: 52.1, resumeSocPct: 30 },
      "The loads came back on 15 May, 04:02:05 with the battery at 31 % state of charge and 52.1 V; the ratings say 30 % (resumeSocPct).",
    ],
    [
      { returnedAtMs: minutes(600), returnSocPct: null, returnBatteryV: 52.1, resumeSocPct: null },
      "The loads came back on 15 May, 04:02:05 with the battery at 52.1 V; the ratings don't say at what state of charge they should (resumeSocPct).",
    ],
    [
      { returnedAtMs: minutes(600), returnSocPct: null, returnBatteryV: null, resumeSocPct: 30 },
      "The loads came back on 15 May, 04:02:05; how full the battery was then isn't in the log.",
    ],
    [
      { returnedAtMs: null, returnSocPct: null, returnBatteryV: null, resumeSocPct: 30 },
      "When the loads came back the log doesn't show, nor how full the battery was then.",
    ],
  ],
  "leg-rise": [
    [
      { leg: "L1", riseW: 2100, legLimitW: 4000, startRise: 0.25, fromMs: AT - 5000, toMs: AT },
      "L1 rose by 2.10 kW between 18:02:00 and 18:02:05, 52.5 % of the leg's limit of 4.00 kW: something came on (counted from 25 %, setting startRise).",
    ],
  ],
  "peak-channel": [
    [
      { leg: "L2", loading: 1.4, peakW: 5600, limitW: 4000, overloadSeenAt: 0.98, atMs: AT },
      "The log's peak channel of L2 shows 1.40 of the leg's limit within the interval of 18:02:05: 5.60 kW, the limit was 4.00 kW (counted from 0.98, setting overloadSeenAt).",
    ],
  ],
  "same-clock-time": [
    [
      {
        days: 9,
        ofDays: 13,
        clockS: 12_600,
        toleranceS: 300,
        scheduledDays: 3,
        scheduledWithinDays: 14,
        scheduledShare: 0.4,
        overloadSeenAt: 0.98,
      },
      "On 9 of 13 other days with samples within 14 days it went over within 5 min of the same clock time, 03:30, with no loading from 0.98 up (counted from 3 days and 40 % of them, settings scheduledDays and scheduledShare).",
    ],
  ],
  "return-delay": [
    [
      { loading: 0.75, overloadInferredAt: 0.7, onUtilityS: 185, returnDelayS: 180, toleranceS: 60 },
      "It came back after 3 min 5 s, as after an overload that was over at once: the return delay is 3 min (± 1 min). The samples show a loading of 0.75 (counted from 0.70, setting overloadInferredAt).",
    ],
  ],
  "gap-before": [
    [
      { gapFromMs: minutes(-60), gapToMs: AT },
      "The log has a gap just before it, from 14 May, 17:02:05 to 14 May, 18:02:05: when and why it happened lies in the gap.",
    ],
  ],
  "nothing-found": [
    [
      nothing({}),
      "Looked at, and none explains it: fault codes (no new one), battery current (62.0 A at most, the rating is 200 A), inverter temperature (41 °C at most, the limit is 75 °C), state of charge (55 % at least, the inverter leaves at 20 %), battery voltage (51.9 V at least, the inverter leaves at 48.0 V), a sudden rise of a leg (L1 by 120 W; 1.00 kW counts), the same clock time (on 1 other day; 3 count), the return delay (on the utility for 20 min; the delay is 3 min, and a loading from 0.70 must go with it).",
    ],
    [
      nothing({
        hasFaultCodes: false,
        hasSoc: false,
        batterySocPct: null,
        batteryA: null,
        maxTempC: null,
        riseW: -40,
        riseLeg: "L2",
        sameClockDays: null,
        onUtilityS: null,
      }),
      "Looked at, and none explains it: battery voltage (51.9 V at least, the inverter leaves at 48.0 V), a sudden rise of a leg (none). Not in this log: fault codes, state of charge. Missing in these samples: battery current. The ratings give no limit for: inverter temperature.",
    ],
    [
      nothing({
        hasFaultCodes: false,
        hasBatteryA: false,
        hasTemperature: false,
        hasSoc: false,
        hasBatteryV: false,
        hasLegs: false,
        sameClockDays: null,
        returnDelayS: null,
      }),
      "There was nothing to look at that could explain it. Not in this log: fault codes, battery current, inverter temperature, state of charge, battery voltage, load of the legs.",
    ],
  ],
  "interval-hides": [
    [
      { intervalS: 60 },
      "The log has a sample every 1 min: what went up and down between two samples, a motor start above all, it can't show.",
    ],
    [{ intervalS: 1 }, "The log has a sample every 1 s: an inrush shorter than that it can't show."],
    [{ intervalS: 0.25 }, "The log has a sample every 0.25 s: an inrush shorter than that it can't show."],
    [{ intervalS: 0 }, "The log has too few samples: what came before and after them it can't show."],
  ],
  "without-grid": [
    [
      { onUtilityS: 360, lowerBound: false, returned: true },
      "Without a grid the loads would have been dead for 6 min, or longer.",
    ],
    [
      { onUtilityS: 360, lowerBound: true, returned: false },
      "Without a grid the loads would have been dead for 6 min at least: the log doesn't show the return.",
    ],
  ],
  "dead-time": [
    [dead({}), "By the log's source column the loads were dead for 8 min."],
    [
      dead({ lowerBound: true, ended: false }),
      "By the log's source column the loads were dead for 8 min at least: the log doesn't show the end.",
    ],
    [
      dead({ bySource: false }),
      "By a fall of the load from 10 % of the total limit or more to under 2 %, with a leg under 60.0 V (settings dropoutFromShare, dropoutToShare, dropoutV), the loads were dead for 8 min.",
    ],
  ],
  "allowance-used": [
    [
      { usedBefore: 0.2, usedHidden: 0.1, loading: 1.15, upToRatio: 1.25, forS: 30, intervalS: 3 },
      "Of the overload allowance on the nameplate at most 30 % was used, 20 % before and at most 10 % within one interval of 3 s (up to 1.25 it allows 30 s): by it the inverter should have carried this.",
    ],
    [
      { usedBefore: 1.4, usedHidden: 0.1, loading: 1.15, upToRatio: 1.25, forS: 30, intervalS: 3 },
      "The overload allowance on the nameplate was used up: 140 % of it before (up to 1.25 it allows 30 s).",
    ],
    [
      { usedBefore: null, usedHidden: null, loading: 2.4, upToRatio: null, forS: null, intervalS: 3 },
      "The overload allowance on the nameplate was used up: the load had passed its last step before (a loading of 2.40 is beyond its last step).",
    ],
  ],
  "allowance-hidden": [
    [
      { usedBefore: 0.2, usedHidden: 2, loading: 1.15, upToRatio: 1.25, forS: 30, intervalS: 60 },
      "Whether the overload allowance on the nameplate was used up can't be told at this interval: 20 % of it was used before, and 1 min at a loading of 1.15 may have been enough (up to 1.25 it allows 30 s).",
    ],
    [
      { usedBefore: 0, usedHidden: null, loading: 2.4, upToRatio: null, forS: null, intervalS: 1 },
      "Whether the overload allowance on the nameplate was used up can't be told at this interval: 0 % of it was used before, and 1 s at a loading of 2.40 may have been enough (a loading of 2.40 is beyond its last step).",
    ],
  ],
  "legs-at-peak": [
    [
      { leg: "L1", loading: 1.15, meanLoading: 0.66, meanW: 2650, limitW: 4000, oneLegMean: 0.95, atMs: AT },
      "L1 was over its limit while the mean of both legs was 0.66 of a leg's limit (2.65 kW of 4.00 kW): on balanced legs the load would have fitted (counted up to 0.95, setting oneLegMean).",
    ],
    [
      { leg: "L2", loading: 0.51, meanLoading: 0.4, meanW: 1600, limitW: 4000, oneLegMean: 0.95, atMs: AT },
      "L2 was the fuller leg, at 0.51, while the mean of both legs was 0.40 of a leg's limit (1.60 kW of 4.00 kW): on balanced legs there would have been more room (counted up to 0.95, setting oneLegMean).",
    ],
  ],
  "stacked-rises": [
    [
      { rises: 3, withinS: 120, leastW: 400, stackedRise: 0.1, legLimitW: 4000 },
      "3 loads of 400 W or more came on within 2 min: started one after the other they might have fitted (counted from 10 % of a leg's limit of 4.00 kW, settings stackedRise and stackedWithinS).",
    ],
  ],
  "last-return": [
    [
      { returnedAtMs: minutes(-5), sinceS: 300, repeatWithinS: 600 },
      "It had come back only 5 min before, at 17:57:05 (a repeat under 10 min, setting repeatWithinS).",
    ],
  ],
  "near-limit-peak": [
    [nearPeak({}), "L1 reached 1.10 of its limit at 18:02:05: 4.40 kW, the limit was 4.00 kW."],
    [
      nearPeak({ shownIn: "VA", loadW: 3500 }),
      "L1 reached 1.10 of its limit at 18:02:05, by its VA: their limit is the tighter one; its load was 3.50 kW.",
    ],
    [
      nearPeak({ shownIn: "VA", loadW: null }),
      "L1 reached 1.10 of its limit at 18:02:05, by its VA: their limit is the tighter one.",
    ],
    [
      nearPeak({ quantity: "total", shownIn: "part", loadW: 9600, limitW: 8000 }),
      "The total reached 1.10 of its limit at 18:02:05: the inverter's part was 8.80 kW of the 9.60 kW asked for, the limit was 8.00 kW.",
    ],
  ],
  "pass-through-peak": [
    [
      { loading: 0.95, currentA: 57, limitA: 60, atMs: AT },
      "The pass-through reached 0.95 of its limit at 18:02:05: 57.0 A, the limit is 60.0 A.",
    ],
  ],
  "near-limit-span": [
    [
      {
        durationS: 720,
        meanLoading: 0.97,
        overLimitS: 240,
        onInverterS: 600,
        onUtilityS: 120,
        nearLimitEnter: 0.9,
        nearLimitLeave: 0.85,
        nearLimitJoinS: 60,
        nearLimitMinS: 60,
      },
      "It lasted 12 min at a mean loading of 0.97, 4 min of it above the limit, 10 min on the inverter and 2 min on the utility (counted from 0.90 until under 0.85; joined under 1 min apart, dropped under 1 min unless the limit was reached; settings nearLimitEnter, nearLimitLeave, nearLimitJoinS, nearLimitMinS).",
    ],
  ],
  "imbalance-span": [
    [
      {
        durationS: 1200,
        heavierLeg: "L2",
        maxDifferenceW: 2100,
        atMs: AT,
        imbalanceEnter: 0.25,
        imbalanceLeave: 0.2,
        imbalanceLoadEnter: 0.5,
        imbalanceLoadLeave: 0.45,
        imbalanceJoinS: 120,
        imbalanceMinS: 600,
      },
      "For 20 min the legs differed by up to 2.10 kW (at 18:02:05); L2 carried more (counted from 25 % of a leg's limit until under 20 %, with the larger loading from 0.50 until under 0.45; joined under 2 min apart, dropped under 10 min; settings imbalanceEnter to imbalanceMinS).",
    ],
  ],
  "continuous-span": [
    [
      {
        device: "service",
        fromMs: minutes(-240),
        toMs: AT,
        durationS: 14_400,
        ratingA: 100,
        meanA: 84.2,
        maxA: 91.3,
        atMs: minutes(-60),
      },
      "The service carried 80 % or more of its 100 A for 4 h, from 14 May, 14:02:05 to 14 May, 18:02:05: 84.2 A in the mean, 91.3 A at most (17:02:05). Three hours or more are continuous load [NEC Art. 100].",
    ],
  ],
  "legs-apart": [
    [
      {
        fromMs: AT,
        toMs: AT + 40_000,
        samples: 4,
        differenceV: 18.4,
        l1V: 110.6,
        l2V: 129,
        l1W: 2400,
        l2W: 300,
        atMs: AT + 10_000,
        source: "utility",
        openNeutralV: 6,
      },
      "From 14 May, 18:02:05 to 14 May, 18:02:45 (4 samples, on utility) the legs lay up to 18.4 V apart, on opposite sides: L1 110.6 V at 2.40 kW, L2 129.0 V at 300 W (18:02:15; counted from 6.0 V, setting openNeutralV). An open or bad neutral looks like that.",
    ],
  ],
};

describe("evidence in words", () => {
  const codes = Object.keys(CASES) as EvidenceCode[];

  it("has sentences for every code of the catalogue", () => {
    expect(codes.sort()).toEqual(Object.keys(EVIDENCE_FIGURES).sort());
    for (const code of codes) expect(CASES[code].length, code).toBeGreaterThan(0);
  });

  it.each(codes.flatMap((code) => CASES[code].map(([figures, text]) => ({ code, figures, text }))))(
    "says $code: $text",
    ({ code, figures, text }) => {
      expect(evidenceSentence({ code, figures } as Evidence, clock)).toBe(text);
    },
  );

  it("is free of the names of settings and ratings in running text, and still a sentence", () => {
    const names = new RegExp(
      Object.keys(DEFAULT_SETTINGS).concat("resumeSocPct", "settings?").join("\\b|\\b"),
    );
    for (const code of codes) {
      for (const [figures, text] of CASES[code]) {
        const plain = plainEvidence({ code, figures } as Evidence, clock);
        expect(plain).not.toMatch(names);
        expect(plain).toMatch(/\.$/);
        expect(plain).not.toMatch(/\(\s*\)|[,;]\)/);
        if (!names.test(text)) expect(plain).toBe(text);
      }
    }
    expect(plainEvidence({ code: "peak-loading", figures: peak({}) }, clock)).toBe(
      "L1 reached 1.15 of its limit at 18:02:05: 4.60 kW asked for, the limit was 4.00 kW (an overload counts from 0.98).",
    );
  });

  it("shows a code of a newer version with its figures", () => {
    const newer = { code: "moon-phase", figures: { full: true } } as unknown as Evidence;
    expect(evidenceSentence(newer, clock)).toBe("moon-phase: full true.");
  });

  it("says what isn't known where stored figures are of an older version", () => {
    const older = { code: "temperature", figures: { inverterTempC: 76 } } as unknown as Evidence;
    expect(evidenceSentence(older, clock)).toBe(
      "The inverter was at 76 °C at a time not known; its limit is not known.",
    );
  });
});

function peak(given: Partial<EvidenceFigures["peak-loading"]>): EvidenceFigures["peak-loading"] {
  return {
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
  };
}

function nothing(given: Partial<EvidenceFigures["nothing-found"]>): EvidenceFigures["nothing-found"] {
  return {
    hasFaultCodes: true,
    batteryA: 62,
    hasBatteryA: true,
    maxDischargeA: 200,
    dcLimitAt: 0.98,
    inverterTempC: 41,
    hasTemperature: true,
    maxTempC: 75,
    batterySocPct: 55,
    hasSoc: true,
    lowSocPct: 20,
    lowSocMarginPct: 2,
    batteryV: 51.9,
    hasBatteryV: true,
    lowV: 48,
    lowVMarginV: 0.2,
    riseW: 120,
    riseLeg: "L1",
    hasLegs: true,
    legLimitW: 4000,
    startRise: 0.25,
    sameClockDays: 1,
    scheduledDays: 3,
    onUtilityS: 1200,
    returnDelayS: 180,
    overloadInferredAt: 0.7,
    ...given,
  };
}

function dead(given: Partial<EvidenceFigures["dead-time"]>): EvidenceFigures["dead-time"] {
  return {
    deadS: 480,
    lowerBound: false,
    ended: true,
    bySource: true,
    dropoutFromShare: 0.1,
    dropoutToShare: 0.02,
    dropoutV: 60,
    ...given,
  };
}

function nearPeak(given: Partial<EvidenceFigures["near-limit-peak"]>): EvidenceFigures["near-limit-peak"] {
  return {
    quantity: "L1",
    loading: 1.1,
    shownIn: "W",
    loadW: 4400,
    limitW: 4000,
    atMs: AT,
    ...given,
  };
}
