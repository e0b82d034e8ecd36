import { describe, expect, it } from "vitest";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { clockOf } from "../../../src/report/format";
import { monthText } from "../../../src/report/month-text";
import { reviewSubject } from "../../../src/report/review-subject";
import { reviewText } from "../../../src/report/review-text";
import { PAGE_COLUMNS } from "../../../src/report/wrap-text";
import { RATINGS, review, type Sample, seriesOf, steady } from "../analysis/samples";

const clock = clockOf("America/Denver");
const SITE = {
  name: "Alder Creek Pottery",
  timezone: "America/Denver",
  ratings: [{ ...RATINGS, passThroughA: 60, serviceA: 100 }],
  settings: DEFAULT_SETTINGS,
};
const FILES = [
  {
    name: "may.csv",
    records: 1250,
    taken: 1247,
    duplicates: 0,
    conflicts: 0,
    rejected: 3,
    skipped: 0,
    codes: { "cell.not-a-number": 3 },
  },
];
const QUIET = { loadL1W: 500, loadL2W: 400, loadL1V: 120, loadL2V: 120, batterySocPct: 60 };

/** An overload, a dropout, a gap, and a stretch in which the legs' voltages lie apart. */
const eventful: Sample[] = [
  ...steady(60, 10, { source: "inverter", ...QUIET }),
  ...steady(6, 10, { source: "utility", ...QUIET, loadL1W: 4600 }, 600),
  ...steady(60, 10, { source: "inverter", ...QUIET }, 660),
  ...steady(4, 10, { source: "none", ...QUIET, loadL1W: 0, loadL2W: 0 }, 1260),
  ...steady(60, 10, { source: "inverter", ...QUIET, loadL1W: 2400, loadL1V: 105, loadL2V: 135 }, 1300),
  ...steady(60, 10, { source: "inverter", ...QUIET }, 9000),
];

function page(samples: readonly Sample[]): string {
  return reviewText(review(seriesOf(samples), { ratings: SITE.ratings }), SITE, FILES, clock);
}

/** The lines below a heading, up to the next empty line. */
function section(text: string, title: string): string[] {
  const lines = text.split("\n");
  const at = lines.indexOf(title);
  return at < 0 ? [] : lines.slice(at + 1, lines.indexOf("", at));
}

describe("a review on a page", () => {
  const text = page(eventful);

  it("has its parts in order, the warning before everything else", () => {
    const titles = text.split("\n").filter((line) => /^[A-Z][A-Z' ]+$/.test(line));
    expect(titles).toEqual([
      "BEFORE ANYTHING ELSE",
      "EQUIPMENT AS RATED",
      "THE ANSWER",
      "WHAT CARRIED THE LOADS",
      "TRANSFERS AND RETURNS",
      "LOADING",
      "THE TWO LEGS",
      "DEMAND AND DEVICES",
      "VOLTAGE",
      "ENERGY",
      "TRANSFERS ONE BY ONE",
      "DROPOUTS ONE BY ONE",
      "STRETCHES TO LOOK AT",
      "WHAT THE LOG CAN'T SHOW",
      "WHAT TO DO NEXT",
      "NOTES",
      "RECORDS",
      "CAUTIONS",
    ]);
  });

  it("begins with site and period", () => {
    expect(text.split("\n").slice(0, 3)).toEqual([
      "Alder Creek Pottery: review of a log",
      "====================================",
      "From 14 May 2026, 00:00 to 14 May 2026, 02:40; times are those of America/Denver.",
    ]);
  });

  it("gives the equipment as rated", () => {
    expect(section(text, "EQUIPMENT AS RATED")).toEqual([
      "From 2026-01-01:",
      "  4.00 kW a leg, 8.00 kW in all, 120 V a leg, overload 30 s up to 1.25 of it, overload 1 s up to 2",
      "  of it, return delay 3 min",
      "  Pass-through 60.0 A, service 100 A",
      "  Battery 51.2 V, 400 Ah, 200 A out at most, left at 20 %, taken up again at 30 %, left at 48.0 V",
    ]);
  });

  it("puts the answer in a sentence", () => {
    expect(section(text, "THE ANSWER").join(" ")).toBe(
      "In the log the loads went over to the utility once and lost supply once; the inverter carried them 96 % of the time logged.",
    );
  });

  it("gives what figures stand on below them, once for those that stand on the same", () => {
    expect(section(text, "LOADING")).toEqual([
      "- The greatest loading was 1.15: L1 asked for 4.60 kW of 4.00 kW on 14 May, 00:10.",
      "- L1 was near or above its limit for 1 min in 1 interval, 0 s of it on the inverter; above its limit",
      "  for 1 min, wherever the supply came from.",
      "- L2 never came near its limit for as long as 1 min.",
      "  [these 2: nearLimitEnter 0.9, nearLimitLeave 0.85, nearLimitJoinS 60, nearLimitMinS 60]",
    ]);
  });

  it("gives each transfer with its evidence", () => {
    expect(section(text, "TRANSFERS ONE BY ONE")).toEqual([
      "1. 14 May, 00:10: over to the utility because L1 asked for 4.60 kW and its limit was 4.00 kW.",
      "   Another cause fits too: a load step. Back on the inverter after 1 min.",
      "   - L1 reached 1.15 of its limit at 00:10:00: 4.60 kW asked for, the limit was 4.00 kW (an overload",
      "     counts from 0.98, setting overloadSeenAt).",
      "   - L1 rose by 4.10 kW between 00:09:50 and 00:10:00, 102.5 % of the leg's limit of 4.00 kW:",
      "     something came on (counted from 25 %, setting startRise).",
      "   - Looked at: 8 samples from 00:09:00 to 00:10:10 (1 min or three intervals back, setting",
      "     transferLookbackS).",
      "   - L1 was over its limit while the mean of both legs was 0.62 of a leg's limit (2.50 kW of",
      "     4.00 kW): on balanced legs the load would have fitted (counted up to 0.95, setting oneLegMean).",
      "   - Of the overload allowance on the nameplate at most 33.3 % was used, 0 % before and at most",
      "     33.3 % within one interval of 10 s (up to 1.25 it allows 30 s): by it the inverter should have",
      "     carried this.",
      "   - Without a grid the loads would have been dead for 1 min, or longer.",
    ]);
  });

  it("says what the log can't show, with its gaps", () => {
    expect(section(text, "WHAT THE LOG CAN'T SHOW")).toEqual([
      "- The log has a sample every 10 s: what went up and down between two samples, a motor start above",
      "  all, it can't show.",
      "- Gap: 14 May, 00:31:40 to 14 May, 02:30 (1 h 58 min).",
    ]);
  });

  it("says what became of every record", () => {
    expect(section(text, "RECORDS")).toEqual([
      "- may.csv: 1250 records: 1247 taken, 0 duplicates, 0 conflicts, 3 rejected, 0 skipped (cell.not-a-number 3).",
    ]);
  });

  it("ends with cautions, and a line to sign", () => {
    const cautions = section(text, "CAUTIONS").join(" ").replace(/ +/g, " ");
    expect(cautions).toContain("are no code calculation");
    expect(cautions).toContain("licensed people under the local code");
    expect(cautions).toContain("stay live with the disconnect open");
    expect(text.trimEnd().split("\n").at(-1)).toMatch(
      /^Read and found right: _+ {2}License: _+ {2}Date: _+$/,
    );
  });

  it("never passes the last column, but for records", () => {
    const records = section(text, "RECORDS");
    const prose = text.split("\n").filter((line) => !records.includes(line));
    for (const line of prose) expect(line.length).toBeLessThanOrEqual(PAGE_COLUMNS);
  });

  it("has no warning where nothing is suspected, and says what that is worth", () => {
    const quiet = page(steady(60, 60, { source: "inverter", ...QUIET }));
    expect(quiet).not.toContain("BEFORE ANYTHING ELSE");
    expect(quiet.replace(/\s+/g, " ")).toContain("that is no proof that the neutral is sound");
  });

  it("stands for a log without samples too", () => {
    expect(page([])).toContain("THE ANSWER\nThere are no samples for the log.\n");
  });

  it("lists a dozen gaps and counts the others", () => {
    const samples = Array.from({ length: 20 }, (_, i) =>
      steady(10, 60, { source: "inverter", ...QUIET }, i * 7200),
    ).flat();
    const lines = section(page(samples), "WHAT THE LOG CAN'T SHOW");
    expect(lines.filter((line) => line.startsWith("- Gap: "))).toHaveLength(12);
    expect(lines.at(-1)).toBe("- And 7 gaps more.");
  });

  it("gives only the ratings that count in the period, each from its day", () => {
    const ratings = [
      { ...RATINGS, from: "2025-01-01", legLimitW: 3000 },
      { ...RATINGS, from: "2026-01-01" },
      { ...RATINGS, from: "2027-01-01", legLimitW: 6000 },
    ];
    const text = reviewText(review(seriesOf(eventful), { ratings }), { ...SITE, ratings }, FILES, clock);
    expect(section(text, "EQUIPMENT AS RATED").filter((line) => line.startsWith("From"))).toEqual([
      "From 2026-01-01:",
    ]);
  });
});

describe("a month on a page", () => {
  it("is the same page, for the month", () => {
    const result = review(seriesOf(eventful), { ratings: SITE.ratings });
    const subject = {
      ...reviewSubject(result, DEFAULT_SETTINGS),
      fromMs: Date.UTC(2026, 4, 1, 6),
      toMs: Date.UTC(2026, 5, 1, 6),
      notes: result.notes,
    };
    const text = monthText(subject, subject, "2026-05", SITE, clock);
    expect(text.split("\n").slice(0, 3)).toEqual([
      "Alder Creek Pottery: May 2026",
      "=============================",
      "From 1 May 2026, 00:00 to 1 Jun 2026, 00:00; times are those of America/Denver.",
    ]);
    expect(text).toContain("In May 2026 the loads went over to the utility once");
    expect(section(text, "TRANSFERS AND RETURNS").join(" ")).toContain(
      "The month before (0.1 % covered) it had 1 transfer, as many as now.",
    );
    expect(text).not.toContain("RECORDS");
    expect(text).not.toContain("WRITTEN BY HAND");
  });

  it("has what a person wrote about it, each on a line after its day or event", () => {
    const result = review(seriesOf(eventful), { ratings: SITE.ratings });
    const subject = { ...reviewSubject(result, DEFAULT_SETTINGS), notes: result.notes };
    const note = { isChange: false, stands: true };
    const text = monthText(subject, null, "2026-05", SITE, clock, [
      {
        ...note,
        kind: "day",
        atMs: null,
        date: "2026-05-14",
        isChange: true,
        text: "Moved the kiln\nto L2.",
      },
    ]);
    expect(section(text, "WRITTEN BY HAND")).toEqual(["- 14 May (change): Moved the kiln / to L2."]);
  });
});
