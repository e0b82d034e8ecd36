import { describe, expect, it } from "vitest";
import { clockOf } from "../../../src/report/format";
import { type SiteFacts, siteAttention } from "../../../src/report/site-attention";

const clock = clockOf("America/Denver");
const LAST = Date.UTC(2026, 4, 31, 12);
const HOUR = 3_600_000;

const QUIET: SiteFacts = {
  samplesRevision: 3,
  resultsRevision: 3,
  latestMonth: "2026-05",
  months: ["2026-04", "2026-05"],
  lastMs: LAST,
  transfersThisMonth: 0,
  transfersMonthBefore: 2,
  peak: { loading: 0.7, quantity: "L1", atMs: LAST },
  coverage: 0.98,
  job: null,
  neutralAtMs: null,
  waiting: null,
  failed: [],
  lastReceivedAtMs: LAST + HOUR,
};

const of = (facts: Partial<SiteFacts>, nowMs = LAST + HOUR) =>
  siteAttention({ ...QUIET, ...facts }, clock, nowMs);
const codes = (facts: Partial<SiteFacts>, nowMs?: number) => of(facts, nowMs).map(({ code }) => code);

describe("what of a site wants a person", () => {
  it("is nothing where all is well", () => {
    expect(of({})).toEqual([]);
  });

  it("puts the suspicion of an open neutral before everything else, then what waits for a person", () => {
    expect(
      codes(
        {
          neutralAtMs: LAST,
          failed: [{ kind: "recompute", logId: null, message: "" }],
          waiting: { logs: 1, logId: 7, name: "june.csv" },
          job: { kind: "import", logId: 8, share: 0.5 },
          resultsRevision: 2,
          peak: { loading: 1.2, quantity: "L2", atMs: LAST },
          transfersThisMonth: 4,
          coverage: 0.5,
        },
        LAST + 100 * HOUR,
      ),
    ).toEqual([
      "open-neutral",
      "failed-recompute",
      "import-waits",
      "log-stopped",
      "importing",
      "limit-reached",
      "transfers",
      "coverage",
    ]);
    const [first] = of({ neutralAtMs: LAST });
    expect(first).toMatchObject({ urgency: "danger", place: { sheet: "month", month: "2026-05" } });
    expect(first.text).toContain("call an electrician now");
  });

  it("leads to the one log that waits, or to all of them", () => {
    expect(of({ waiting: { logs: 1, logId: 7, name: "june.csv" } })[0]).toMatchObject({
      text: "The log “june.csv” came and waits for you to say how it is read.",
      place: { sheet: "log", logId: 7 },
    });
    expect(of({ waiting: { logs: 3, logId: 7, name: "june.csv" } })[0]).toMatchObject({
      text: "3 logs came and wait for you to say how they are read.",
      place: { sheet: "logs" },
    });
  });

  it("asks for the first log, but not while one is on its way or waits", () => {
    const empty = {
      samplesRevision: 0,
      resultsRevision: null,
      latestMonth: null,
      months: [],
      lastMs: null,
      peak: null,
      coverage: null,
      lastReceivedAtMs: null,
    };
    expect(codes(empty)).toEqual(["no-log"]);
    expect(codes({ ...empty, job: { kind: "import", logId: 1, share: null } })).toEqual(["importing"]);
    expect(codes({ ...empty, waiting: { logs: 1, logId: 1, name: "" } })).toEqual(["import-waits"]);
  });

  it("misses a log that went on coming, and not one that was brought long after its end", () => {
    expect(codes({}, LAST + 48 * HOUR)).toEqual([]);
    expect(of({}, LAST + 72 * HOUR)[0]).toMatchObject({
      code: "log-stopped",
      text: "No samples for 3 d: the last is of 31 May 2026. Look whether the logger still runs, or import the next log.",
    });
    // An export of May that was imported in November says nothing about the logger.
    const november = Date.UTC(2026, 10, 29);
    expect(codes({ lastReceivedAtMs: november }, november + 72 * HOUR)).toEqual([]);
  });

  it("says how far an import is without saying that it is done", () => {
    const text = (share: number | null) => of({ job: { kind: "import", logId: 4, share } })[0].text;
    expect(text(0.999)).toBe("A log is being imported (99 %).");
    expect(text(null)).toBe("A log is being imported.");
  });

  it("names the month before only where there is one", () => {
    expect(of({ transfersThisMonth: 1 })[0].text).toBe(
      "It went over to the utility once in May 2026 (the month before: 2 transfers).",
    );
    expect(of({ transfersThisMonth: 2, months: ["2026-05"] })[0].text).toBe(
      "It went over to the utility twice in May 2026.",
    );
  });
});
