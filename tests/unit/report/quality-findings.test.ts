import { expect, test } from "vitest";
import { createLocalClock } from "../../../src/analysis/local-time";
import type { QualityDay } from "../../../src/analysis/quality-day";
import type { PeriodQuality } from "../../../src/analysis/quality-of-period";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { qualityFindings, qualityHeadline } from "../../../src/report/quality-findings";

const CLOCK = createLocalClock("America/Denver");
const NOON = Date.UTC(2026, 4, 14, 18);
const HOUR_MS = 3_600_000;

const PERIOD: PeriodQuality = {
  samples: 44_640,
  heldS: 31 * 86_400,
  coveredS: {},
  frozen: [],
  restingSoc: [],
  jumps: [],
  jumpCount: 0,
  clock: { days: 31, driftMinPerMonth: 0, steps: [] },
};

const DAY: QualityDay = {
  date: "2026-05-14",
  fromMs: NOON - 12 * HOUR_MS,
  toMs: NOON + 12 * HOUR_MS,
  samples: 1440,
  heldS: 86_400,
  coveredS: {},
  stillness: {},
  restingSoc: [],
  jumps: [],
  jumpCount: 0,
  meters: [],
  sun: null,
  lag: null,
};

/** Findings of one logger whose period is sound but for this. */
function of(period: Partial<PeriodQuality>, days: QualityDay[] = []) {
  return qualityFindings(
    [{ name: "main", days, period: { ...PERIOD, ...period } }],
    [],
    DEFAULT_SETTINGS,
    CLOCK,
  );
}

test("a sound log has nothing to tell", () => {
  expect(of({})).toEqual([]);
  expect(qualityHeadline([{ name: "main", days: [], period: PERIOD }], [], [], 31 * 86_400)).toBe(
    "The log covers 100 % of this period, without a gap. Nothing in it looks wrong.",
  );
});

test("a channel that hung says where it stood, for how long, and what it touches", () => {
  const run = {
    channel: "loadL1W" as const,
    fromMs: NOON,
    toMs: NOON + 4 * HOUR_MS,
    value: 912,
    steps: 240,
    othersMoved: 240,
  };
  expect(of({ frozen: [run] })).toEqual([
    {
      kind: "frozen",
      logger: "main",
      sentence:
        "Load of L1 stood at 912 W for 4 h from 14 May, 12:00 on, while other channels moved: the sensor or its connection may have hung.",
      touches: "loading, near-limit intervals, causes of transfers, imbalance, demand and energy shares",
    },
  ]);
});

test("a state of charge that stood still says what the battery did", () => {
  const run = { fromMs: NOON, toMs: NOON + 2 * HOUR_MS, socPct: 70, netWh: -2400 };
  expect(of({ restingSoc: [run] })[0].sentence).toBe(
    "The state of charge stood at 70 % from 14 May, 12:00 to 14 May, 14:00, in which the battery took 2.4 kWh.",
  );
});

test("jumps are told with their limit, and more than twenty are counted", () => {
  const leap = { channel: "batterySocPct" as const, atMs: NOON, from: 62, to: 100, limit: 5 };
  const spike = { channel: "loadL2W" as const, atMs: NOON, from: null, to: 15_000, limit: 14_400 };
  const told = of({ jumps: [leap, spike], jumpCount: 2 }).map(({ sentence }) => sentence);
  expect(told).toEqual([
    "State of charge went from 62.0 % to 100.0 % at 14 May, 12:00, more than 5.0 % in a minute.",
    "Load of L2 was 15,000 W at 14 May, 12:00, beyond 14,400 W, which the equipment can't pass.",
  ]);
  const many = of({ jumps: Array.from({ length: 50 }, () => spike), jumpCount: 720 });
  expect(many).toHaveLength(21);
  expect(many[20].sentence).toBe("700 more such values in the period.");
});

test("meters that disagree name the worst day", () => {
  const meters = (share: number) => [{ what: "battery-volt-amperes" as const, oneWh: 1, otherWh: -1, share }];
  const days = [
    { ...DAY, meters: meters(0.04) },
    { ...DAY, date: "2026-05-15", meters: meters(0.3) },
    { ...DAY, date: "2026-05-16", meters: meters(0.2) },
  ];
  expect(of({}, days)[0].sentence).toBe(
    "Battery voltage times current and battery power were apart by more than 5 % on 2 days, most on 2026-05-15 (30 % of the greater): one of the meters, its column or its sign is wrong.",
  );
});

test("a balance that doesn't close is told with its worst day", () => {
  const loggers = [{ name: "main", days: [DAY], period: PERIOD }];
  const balance = [
    { date: "2026-05-14", lossesWh: 900, suppliedWh: 10_000 },
    { date: "2026-05-15", lossesWh: -4000, suppliedWh: 10_000 },
  ];
  const findings = qualityFindings(loggers, balance, DEFAULT_SETTINGS, CLOCK);
  expect(findings[0].sentence).toBe(
    "On 1 day sun, battery and grid against load, charging and export leave more than 15 % (setting lossNoteShare); most on 2026-05-15: -4.0 kWh of 10.0 kWh supplied.",
  );
  expect(qualityHeadline(loggers, [{ fromMs: 0, toMs: 1_500_000 }], findings, 62 * 86_400)).toBe(
    "The log covers 50 % of this period, with 1 gap, the longest of 25 min. Doubtful: 1 disagreement of meters.",
  );
});

test("clocks: a step, a drift, and a second logger that runs ahead", () => {
  const sentences = of({ clock: { days: 60, driftMinPerMonth: null, steps: [{ atMs: NOON, byMin: -60 }] } });
  expect(sentences[0].sentence).toBe(
    "By the sun the clock moved by about 60 min back around 14 May 2026: it was set then, or summer time was not told. New shade or another panel looks the same.",
  );
  expect(of({ clock: { days: 40, driftMinPerMonth: 20, steps: [] } })[0].sentence).toBe(
    "By the sun of 40 days the clock gains about 20 min a month. Shade that wanders with the season looks the same.",
  );
  expect(of({ clock: { days: 40, driftMinPerMonth: -10, steps: [] } })).toEqual([]);
  const lag = (lagMin: number) => ({
    lagMin,
    correlation: 0.9,
    correlationAtZero: 0.1,
    by: "loadW" as const,
  });
  const meter = {
    name: "meter",
    days: [{ ...DAY, lag: lag(7) }, { ...DAY, lag: lag(8) }, DAY],
    period: PERIOD,
  };
  const found = qualityFindings(
    [{ name: "main", days: [DAY], period: PERIOD }, meter],
    [],
    DEFAULT_SETTINGS,
    CLOCK,
  );
  expect(found[0].sentence).toBe(
    'The clock of "meter" runs 8 min ahead of that of "main" on 2 of 3 days (from 7 to 8 min), by what both of them see.',
  );
});

test("a period without samples says so", () => {
  expect(qualityHeadline([], [], [], 86_400)).toBe("There are no samples in this period.");
});
