import { describe, expect, it } from "vitest";
import { CANT_TELL_REASONS, NOTE_FIGURES, type NoteCode, type NoteFigures } from "../../../src/analysis/note";
import type { Note } from "../../../src/analysis/results";
import { clockOf } from "../../../src/report/format";
import { noteSentence } from "../../../src/report/note-sentence";

const clock = clockOf("America/Denver");
const AT = Date.UTC(2026, 4, 15, 0, 2);

/** For every code, figures and the sentence that they make. A code without a case doesn't compile. */
const CASES: { readonly [C in NoteCode]: readonly (readonly [NoteFigures[C], string])[] } = {
  "no-load": [
    [{}, "The log has no load channel: loading, transfers' causes and energy shares can't be told."],
  ],
  "no-legs": [[{}, "The log has the total load but not the legs: every result per leg is not in this log."]],
  "no-source": [
    [
      {},
      "The log has neither a source column nor grid power: when the loads were on the utility can't be told.",
    ],
  ],
  "source-from-grid": [
    [
      { sourceFromGridShare: 0.5, sourceFloorShare: 0.05 },
      "The log has no source column: the loads count as on the utility where the grid gives 50 % of them or more (setting sourceFromGridShare); under 5 % of the total limit the state before stays (setting sourceFloorShare).",
    ],
  ],
  "no-solar": [[{}, "The log has no solar channel: solar counts as nothing."]],
  "no-battery": [[{}, "The log has no battery channel: the battery counts as nothing."]],
  "battery-no-volts": [
    [
      {},
      "The log has battery current but no battery voltage or power: the battery's energy counts as nothing.",
    ],
  ],
  "grid-from-balance": [
    [
      {},
      "The log has no grid channel: grid power on utility is taken as load + charging − solar, and nothing on inverter.",
    ],
  ],
  "channel-of-two-loggers": [
    [
      { channel: "gridW", logger: "main", by: "meter" },
      "The loggers meter and main both have gridW: that of meter counts. Which one does is said by the order of the site's loggers, or by the channels listed with them.",
    ],
  ],
  "power-factor-one": [[{}, "Leg power is taken as current times voltage: power factor 1 is assumed."]],
  derived: [
    [
      { what: "loadW", from: "loadL1W + loadL2W" },
      "The total load is not in this log: it is taken as load of L1 + load of L2.",
    ],
    [
      { what: "loadL1W", from: "loadL1A · legNominalV" },
      "The load of L1 is not in this log: it is taken as amperes of L1 · nominal leg voltage.",
    ],
  ],
  "unknown-device": [
    [
      { device: "main breaker" },
      'The ratings name "main breaker" as rated for 100 % of its current, which is none of the devices that are looked at (service, pass-through, dc-fuse).',
    ],
  ],
  "total-disagrees": [
    [
      { apartS: 90_000, totalDisagreement: 0.05 },
      "Measured total and the sum of the legs were more than 5 % apart (setting totalDisagreement) for 1 d 1 h: one of the meters, or its column, is wrong.",
    ],
  ],
  "negative-load": [
    [{ samples: 1 }, "A load was negative in 1 sample: a source feeds in behind the meter."],
    [{ samples: 1200 }, "A load was negative in 1,200 samples: a source feeds in behind the meter."],
  ],
  blending: [
    [
      { samples: 12, legsUnknown: 0, blendingShare: 0.05 },
      "In 12 samples on inverter the grid carried more than 5 % of the load (setting blendingShare); the inverter's part is load − grid import.",
    ],
    [
      { samples: 12, legsUnknown: 4, blendingShare: 0.05 },
      "In 12 samples on inverter the grid carried more than 5 % of the load (setting blendingShare); the inverter's part is load − grid import, and in 4 of them not known per leg.",
    ],
  ],
  "return-delay-differs": [
    [
      { medianS: 300, n: 7, returnDelayS: 180, toleranceS: 120, intervalS: 60 },
      "The loads came back 5 min after they were under their limits (median of 7 returns, ± 1 min), not after the 3 min of the ratings; they may differ by 2 min before this is said.",
    ],
  ],
  "before-first-rating": [
    [
      { from: "2026-01-01" },
      "Some samples are older than the first ratings (2026-01-01): they are held against those all the same.",
    ],
  ],
  "interval-changed": [
    [{ fromMs: AT, intervalS: 10 }, "From 14 May, 18:02 on the log has a sample every 10 s."],
  ],
  "meters-disagree": [
    [
      { date: "2026-05-14", lossesWh: -2400, suppliedWh: 12_000, lossNoteShare: 0.15 },
      "On 2026-05-14 the meters disagree by -2.4 kWh out of 12.0 kWh supplied (noted above 15 %, setting lossNoteShare).",
    ],
  ],
  guessed: [
    [
      { log: "a.csv", choice: "batteryA.positive", value: "charge", confidence: 0.62 },
      "a.csv: batteryA.positive was taken to be charge on weak evidence (62 %). If that is wrong, say so in columns.json.",
    ],
  ],
  "series.sorted": [
    [{ log: "a.csv", samples: 9 }, "a.csv: its rows were not in order of time; they were sorted."],
    [{ log: null, samples: 9 }, "The log: its rows were not in order of time; they were sorted."],
  ],
  "solar-below-zero": [
    [{ log: "a.csv", cells: 1 }, "a.csv: 1 cell of solar power was below zero and counts as nothing."],
    [{ log: null, cells: 30 }, "The log: 30 cells of solar power were below zero and count as nothing."],
  ],
  "series.counter-coarse": [
    [
      { log: "a.csv", channel: "gridW", resolutionWh: 100, stepW: 6000 },
      "a.csv: grid power comes from a counter with steps of 100 Wh, of which one within an interval means 6.00 kW: its power is good as a mean, not sample by sample.",
    ],
  ],
  "cant-tell": [
    [
      { what: "demand", places: 1, reason: "not-covered", needs: null },
      "demand is null: no clock interval of 15 minutes is covered enough (setting demandCoverage).",
    ],
    [
      { what: "transfers[].returnedAt", places: 3, reason: "not-shown", needs: null },
      "transfers[].returnedAt (in 3 places) is null: the log ends, or a gap begins, before it.",
    ],
    [
      { what: "demand.passThroughA", places: 1, reason: "no-rating", needs: "passThroughA" },
      "demand.passThroughA is null: the ratings don't give what it needs (passThroughA).",
    ],
  ],
  "not-yet": [[{ what: "steps" }, "This version doesn't compute yet: steps."]],
};

describe("notes in words", () => {
  const codes = Object.keys(CASES) as NoteCode[];

  it("has sentences for every code of the catalogue", () => {
    expect(codes.sort()).toEqual(Object.keys(NOTE_FIGURES).sort());
    for (const code of codes) expect(CASES[code].length, code).toBeGreaterThan(0);
  });

  it.each(codes.flatMap((code) => CASES[code].map(([figures, text]) => ({ code, figures, text }))))(
    "says $code: $text",
    ({ code, figures, text }) => {
      expect(noteSentence({ code, figures } as Note, clock)).toBe(text);
    },
  );

  it.each(CANT_TELL_REASONS)("has words for the reason %s", (reason) => {
    const text = noteSentence(
      { code: "cant-tell", figures: { what: "demand", places: 1, reason, needs: null } },
      clock,
    );
    expect(text).not.toContain(`: ${reason}.`);
    expect(text).toMatch(/^demand is null: [a-z0-9 ,'()A-Z]+\.$/);
  });

  it("shows a code of a newer version with its figures", () => {
    const newer = { code: "moon-phase", figures: { full: true } } as unknown as Note;
    expect(noteSentence(newer, clock)).toBe("moon-phase: full true.");
  });
});
