import { describe, expect, it } from "vitest";
import {
  FINDING_FIGURES,
  type Finding,
  type FindingCode,
  type FindingFigures,
  SETTINGS_OF_FINDING,
} from "../../../src/analysis/finding";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { findingSentence } from "../../../src/report/finding-sentence";
import { clockOf } from "../../../src/report/format";

const clock = clockOf("America/Denver");
/** 14 May, 18:02 in Denver. */
const AT = Date.UTC(2026, 4, 15, 0, 2);

/** For every code, figures and the sentence that they make. A code without a case doesn't compile. */
const CASES: { readonly [C in FindingCode]: readonly (readonly [FindingFigures[C], string])[] } = {
  "open-neutral": [
    [
      neutral({}),
      "STOP: this looks like an open or bad neutral. On 14 May, 18:02:00 (4 samples, on utility) the legs lay 18.4 V apart on opposite sides: L1 110.6 V at 2.40 kW, L2 129.0 V at 300 W. Switch off what is sensitive and call an electrician before anything else.",
    ],
    [
      neutral({ stretches: 3, l2W: null }),
      "STOP: this looks like an open or bad neutral. On 14 May, 18:02:00 (4 samples, on utility, the worst of 3 such stretches) the legs lay 18.4 V apart on opposite sides: L1 110.6 V at 2.40 kW, L2 129.0 V at not known. Switch off what is sensitive and call an electrician before anything else.",
    ],
  ],
  "no-open-neutral": [
    [
      { openNeutralV: 6 },
      "Nothing looked like an open neutral (legs more than 6.0 V apart on opposite sides); that is no proof that the neutral is sound.",
    ],
  ],
  carried: [
    [
      { onInverterS: 7200, onUtilityS: 480, deadS: 0, unknownS: 0, share: 0.9375, transfers: 1, dropouts: 0 },
      "The inverter carried the loads for 2 h, 93.8 % of the time that is known; for 8 min they were on the utility.",
    ],
    [
      { onInverterS: 7200, onUtilityS: 0, deadS: 60, unknownS: 30, share: 0.99, transfers: 0, dropouts: 1 },
      "The inverter carried the loads for 2 h, 99 % of the time that is known; they were never on the utility, for 1 min dead, for 30 s it isn't known.",
    ],
    [
      { onInverterS: 0, onUtilityS: 0, deadS: 0, unknownS: 900, share: null, transfers: 0, dropouts: 0 },
      "What carried the loads can't be told from this log.",
    ],
  ],
  coverage: [
    [
      { samples: 41_760, heldS: 1, lengthS: 1, ratio: 0.971, gaps: 2 },
      "The log covers 97.1 % of this period: 41,760 samples, one every 1 min, 2 gaps; the rest isn't counted in any figure here.",
    ],
    [
      { samples: 44_640, heldS: 1, lengthS: 1, ratio: 1, gaps: 0 },
      "The log covers 100 % of this period: 44,640 samples, one every 1 min, no gap.",
    ],
  ],
  transfers: [
    [{ count: 12, onUtilityS: 11_100 }, "12 transfers to the utility, 3 h 5 min there in all."],
    [{ count: 1, onUtilityS: 360 }, "1 transfer to the utility, 6 min there in all."],
  ],
  "transfers-of-cause": [
    [
      { cause: "overload", count: 5, seen: 4, onUtilityS: 2400 },
      "Overload: 5 transfers, 40 min on the utility; 4 seen in the log, 1 inferred.",
    ],
    [
      { cause: "low-battery", count: 2, seen: 2, onUtilityS: 7200 },
      "Low battery: 2 transfers, 2 h on the utility; seen in the log.",
    ],
    [
      { cause: "motor-start", count: 1, seen: 0, onUtilityS: 180 },
      "Motor start: 1 transfer, 3 min on the utility; inferred.",
    ],
    [
      { cause: "unexplained", count: 1, seen: 0, onUtilityS: 180 },
      "Unexplained: 1 transfer, 3 min on the utility.",
    ],
  ],
  avoidable: [
    [
      { count: 7, of: 12, oneLeg: 5, stackedStarts: 3 },
      "7 of 12 transfers were avoidable: balanced legs (5) or staggered starts (3) would have spared them.",
    ],
    [
      { count: 1, of: 1, oneLeg: 1, stackedStarts: 0 },
      "1 of 1 transfer was avoidable: balanced legs (1) or staggered starts (0) would have spared it.",
    ],
  ],
  nuisance: [
    [
      { count: 1, of: 12 },
      "1 of 12 transfers was a nuisance transfer: by its nameplate's overload allowance the inverter should have ridden through.",
    ],
    [
      { count: 2, of: 12 },
      "2 of 12 transfers were nuisance transfers: by its nameplate's overload allowance the inverter should have ridden through.",
    ],
  ],
  repeats: [
    [
      { count: 3, of: 12 },
      "3 of 12 transfers came within 10 min of the return before: often one long overload.",
    ],
  ],
  "fuller-leg": [
    [
      { leg: "L1", count: 5, of: 12, meanLoading: 1.08, meanOfLegs: 0.71 },
      "In 5 of 12 transfers L1 was the fuller leg: at 1.08 in the mean, the mean of both legs at 0.71.",
    ],
  ],
  dropouts: [[{ count: 2, deadS: 720 }, "2 dropouts: the loads were dead for 12 min in all."]],
  "return-delay": [
    [
      { medianS: 182, q1S: 180, q3S: 190, n: 7, returnDelayS: 180, toleranceS: 120 },
      "The loads came back 3 min 2 s after they were under their limits (median of 7 returns, the middle half 3 min to 3 min 10 s, ± 1 min); the ratings say 3 min, which is within 2 min of it.",
    ],
    [
      { medianS: 320, q1S: 300, q3S: 330, n: 7, returnDelayS: 180, toleranceS: 120 },
      "The loads came back 5 min 20 s after they were under their limits (median of 7 returns, the middle half 5 min to 5 min 30 s, ± 1 min), not after the 3 min of the ratings.",
    ],
    [
      { medianS: 180, q1S: 180, q3S: 180, n: 1, returnDelayS: null, toleranceS: 120 },
      "The loads came back 3 min after they were under their limits (median of 1 return, the middle half 3 min to 3 min, ± 1 min); the ratings don't give a return delay.",
    ],
  ],
  "peak-loading": [
    [
      { quantity: "L1", loading: 1.15, loadW: 4600, limitW: 4000, atMs: AT },
      "The greatest loading was 1.15: L1 asked for 4.60 kW of 4.00 kW on 14 May, 18:02.",
    ],
    [
      { quantity: "total", loading: 0.72, loadW: null, limitW: 8000, atMs: AT },
      "The greatest loading was 0.72 of 8.00 kW: the total on 14 May, 18:02.",
    ],
    [
      { quantity: "L2", loading: 0.72, loadW: null, limitW: null, atMs: AT },
      "The greatest loading was 0.72: L2 on 14 May, 18:02.",
    ],
  ],
  "near-limit": [
    [
      { quantity: "L1", intervals: 3, durationS: 720, overLimitS: 240, onInverterS: 600 },
      "L1 was near or above its limit for 12 min in 3 intervals, 10 min of it on the inverter; above its limit for 4 min, wherever the supply came from.",
    ],
    [
      { quantity: "pass-through", intervals: 1, durationS: 720, overLimitS: 0, onInverterS: 0 },
      "The pass-through was near or above its limit for 12 min in 1 interval, 0 s of it on the inverter; above its limit for 0 s, wherever the supply came from.",
    ],
    [
      { quantity: "L2", intervals: 0, durationS: 0, overLimitS: 0, onInverterS: 0 },
      "L2 never came near its limit for as long as 1 min.",
    ],
  ],
  "longest-run-held": [
    [
      { durationS: 720, fromMs: AT, quantity: "L1", peakLoading: 1.1 },
      "The longest run that the inverter held near or above a limit: 12 min from 14 May, 18:02 (L1, up to a loading of 1.10).",
    ],
  ],
  imbalance: [
    [
      { meanShare: 0.38, intervals: 4, durationS: 4800, heavierLeg: "L2", maxDifferenceW: 2420 },
      "The legs differed by 38 % of their sum in the mean; far and long in 4 intervals of 1 h 20 min in all, by up to 2.42 kW, mostly with L2 the heavier.",
    ],
    [
      { meanShare: 0.1, intervals: 0, durationS: 0, heavierLeg: null, maxDifferenceW: null },
      "The legs differed by 10 % of their sum in the mean; never far and long while one of them was loaded.",
    ],
  ],
  "stranded-capacity": [
    [
      { atPeakW: 2100, meanW: 1300, totalLimitW: 8000 },
      "By the split of the legs this much of the 8.00 kW could not be used: 2.10 kW at the greatest load, 1.30 kW in the mean while a leg was at 0.50 or more.",
    ],
    [
      { atPeakW: 2100, meanW: null, totalLimitW: 8000 },
      "By the split of the legs this much of the 8.00 kW could not be used: 2.10 kW at the greatest load.",
    ],
  ],
  "neutral-current": [
    [
      { neutralA: 22.3, atMs: AT },
      "The greatest current in the neutral was 22.3 A on 14 May, 18:02, for loads in phase; where power factors differ it was more.",
    ],
  ],
  demand: [
    [
      { peakW: 6587, atMs: AT, loadFactor: 0.1968, recordDays: 5 },
      "Peak demand was 6.59 kW, the mean of the 15 minutes from 14 May, 18:02; load factor 19.7 %, over 5 days of record.",
    ],
    [
      { peakW: 0, atMs: AT, loadFactor: null, recordDays: 1 },
      "Peak demand was 0 W, the mean of the 15 minutes from 14 May, 18:02, over 1 day of record.",
    ],
  ],
  "heavier-leg-demand": [
    [
      { leg: "L2", currentA: 27.84, atMs: AT, legNominalV: 120 },
      "The heavier leg's peak demand was 27.8 A (L2, its power over 120 V, in the 15 minutes from 14 May, 18:02).",
    ],
  ],
  "service-current": [
    [
      { currentA: 55, atMs: AT, serviceA: 100 },
      "A leg of the service carried at most 55.0 A, in the mean of the 15 minutes from 14 May, 18:02, of 100 A rated.",
    ],
    [
      { currentA: 55, atMs: AT, serviceA: null },
      "A leg of the service carried at most 55.0 A, in the mean of the 15 minutes from 14 May, 18:02 (the ratings give no serviceA).",
    ],
  ],
  "pass-through-current": [
    [
      { currentA: 38.2, atMs: AT, passThroughA: 60 },
      "A leg of the pass-through carried at most 38.2 A on utility, load and charging, in the mean of the 15 minutes from 14 May, 18:02, of 60.0 A rated.",
    ],
    [
      { currentA: 45.7, atMs: AT, passThroughA: 30 },
      "A leg of the pass-through carried at most 45.7 A on utility, load and charging, in the mean of the 15 minutes from 14 May, 18:02: more than the 30.0 A rated.",
    ],
  ],
  "existing-load": [
    [
      existing({}),
      "Arithmetic in the form of NEC 220.87 (Article 120 in the 2026 edition): 1.25 × 27.8 A = 34.8 A, to compare with the service's 100 A. It is no code calculation: the article's recording exception excludes a service with solar or peak shaving; it wants 30 days of record, this one has 5; it wants the larger of heating and cooling in the record.",
    ],
    [
      existing({ under30Days: false, seasonUnknown: false, recordDays: 400 }),
      "Arithmetic in the form of NEC 220.87 (Article 120 in the 2026 edition): 1.25 × 27.8 A = 34.8 A, to compare with the service's 100 A. It is no code calculation: the article's recording exception excludes a service with solar or peak shaving.",
    ],
  ],
  "continuous-load": [
    [
      {
        device: "dc-fuse",
        stretches: 2,
        fromMs: AT,
        durationS: 14_400,
        ratingA: 250,
        meanA: 210,
        maxA: 231,
      },
      "The battery's fuse carried continuous load 2 times: at the longest 4 h from 14 May, 18:02, 210 A in the mean and 231 A at most of its 250 A. Three hours or more from 80 % of a rating up want a rating of 125 % of the load, or a device listed for 100 % [NEC 210.20(A), 215.3].",
    ],
  ],
  "no-continuous-load": [
    [
      { service: true, passThrough: true },
      "No continuous load, which is 80 % of a rating for three hours or more, on the service or the pass-through, as far as the log tells their current.",
    ],
    [
      { service: true, passThrough: false },
      "No continuous load, which is 80 % of a rating for three hours or more, on the service, as far as the log tells their current.",
    ],
  ],
  "leg-voltage": [
    [
      voltage({}),
      "L1 lay between 113.2 V (14 May, 18:02) and 124.8 V (14 May, 18:03), 98 % of its samples from 116.0 V to 123.1 V; 12 min under 114.0 V, 0 s over 126.0 V.",
    ],
    [
      voltage({ leg: "L2", p1V: null, p99V: null }),
      "L2 lay between 113.2 V (14 May, 18:02) and 124.8 V (14 May, 18:03); 12 min under 114.0 V, 0 s over 126.0 V.",
    ],
  ],
  sag: [
    [
      { leg: "L1", source: "utility", voltsPerKw: -1.234, r2: 0.83, samples: 1200 },
      "On utility L1 falls by 1.23 V per kW of its load (r² 0.83, 1,200 samples).",
    ],
    [
      { leg: "L2", source: "inverter", voltsPerKw: 0.1, r2: null, samples: 40 },
      "On inverter L2 rises by 0.10 V per kW of its load (40 samples).",
    ],
  ],
  energy: [
    [energy({}), "Of 10.0 kWh of load the sun carried 30 % directly, the battery 45 %, the grid 25 %."],
    [
      energy({ gridToLoadWh: 1000, generatorToLoadWh: 500, unattributedWh: 1000 }),
      "Of 10.0 kWh of load the sun carried 30 % directly, the battery 45 %, the grid 10 %, a generator 5 %, 10 % can't be attributed.",
    ],
  ],
  "solar-fraction": [
    [
      { fraction: 0.6, solarWh: 6000, loadWh: 10_000 },
      "Counting what the battery had from the sun, 60 % of the load's energy was solar: 6.0 kWh of 10.0 kWh.",
    ],
  ],
  "self-consumption": [
    [
      { share: 0.9, usedWh: 9000, solarWh: 10_000 },
      "Of 10.0 kWh from the sun 90 % was used here, by the loads or into the battery: 9.0 kWh.",
    ],
  ],
  losses: [
    [
      { lossesWh: 900, suppliedWh: 10_000 },
      "900 Wh of 10.0 kWh supplied went into losses, or the meters disagree by it.",
    ],
    [
      { lossesWh: -900, suppliedWh: 10_000 },
      "The meters disagree: they show 900 Wh more used than the 10.0 kWh supplied.",
    ],
  ],
  "not-in-log": [
    [{ what: "peak-loading" }, "Loading: not in this log, it has no load."],
    [{ what: "imbalance" }, "What each leg carries: not in this log."],
    [{ what: "demand" }, "Demand: no clock interval of 15 minutes is covered enough."],
    [
      { what: "service-current" },
      "Amperes of the service: not in this log for any 15 minutes that are covered enough.",
    ],
    [{ what: "leg-voltage" }, "Leg voltage, and with it an open neutral: not in this log."],
    [
      { what: "open-neutral" },
      "Whether a neutral is open: not in this log, it would take the voltage and the load of both legs.",
    ],
    [{ what: "energy" }, "Where the energy came from: not in this log, it has no load."],
    [{ what: "moonlight" }, "Not in this log: moonlight."],
  ],
};

/** A finding of a minute's log with the settings that its code depends on. */
function finding<C extends FindingCode>(code: C, figures: FindingFigures[C]): Finding {
  const settings = Object.fromEntries(
    SETTINGS_OF_FINDING[code].map((name) => [name, DEFAULT_SETTINGS[name]]),
  );
  return { code, figures, coverage: 1, intervalS: 60, settings } as Finding;
}

describe("figures of a period in words", () => {
  const codes = Object.keys(CASES) as FindingCode[];

  it("has sentences for every code of the catalogue", () => {
    expect(codes.sort()).toEqual(Object.keys(FINDING_FIGURES).sort());
    for (const code of codes) expect(CASES[code].length, code).toBeGreaterThan(0);
  });

  it.each(codes.flatMap((code) => CASES[code].map(([figures, text]) => ({ code, figures, text }))))(
    "says $code: $text",
    ({ code, figures, text }) => {
      expect(findingSentence(finding(code, figures), clock)).toBe(text);
    },
  );

  it("shows a code of a newer version with its figures", () => {
    const newer = { code: "moon-phase", figures: { full: true } } as unknown as Finding;
    expect(findingSentence(newer, clock)).toBe("moon-phase: full true.");
  });
});

function neutral(given: Partial<FindingFigures["open-neutral"]>): FindingFigures["open-neutral"] {
  return {
    stretches: 1,
    fromMs: AT,
    toMs: AT + 40_000,
    samples: 4,
    differenceV: 18.4,
    l1V: 110.6,
    l2V: 129,
    l1W: 2400,
    l2W: 300,
    atMs: AT,
    source: "utility",
    ...given,
  };
}

function existing(given: Partial<FindingFigures["existing-load"]>): FindingFigures["existing-load"] {
  return {
    demandA: 27.84,
    demand125A: 34.8,
    serviceA: 100,
    leftA: 65.2,
    recordDays: 5,
    solarOrShaving: true,
    under30Days: true,
    seasonUnknown: true,
    ...given,
  };
}

function voltage(given: Partial<FindingFigures["leg-voltage"]>): FindingFigures["leg-voltage"] {
  return {
    leg: "L1",
    minV: 113.2,
    minAtMs: AT,
    maxV: 124.8,
    maxAtMs: AT + 60_000,
    p1V: 116,
    p99V: 123.1,
    belowS: 720,
    aboveS: 0,
    heldS: 86_400,
    lowV: 114,
    highV: 126,
    ...given,
  };
}

function energy(given: Partial<FindingFigures["energy"]>): FindingFigures["energy"] {
  return {
    loadWh: 10_000,
    solarToLoadWh: 3000,
    batteryToLoadWh: 4500,
    gridToLoadWh: 2500,
    generatorToLoadWh: 0,
    unattributedWh: 0,
    ...given,
  };
}
