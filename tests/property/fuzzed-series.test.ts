import { isDeepStrictEqual } from "node:util";
import { deserialize, serialize } from "node:v8";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addFound, createFound, type Found } from "../../src/analysis/found";
import { createLocalClock } from "../../src/analysis/local-time";
import { passConfig } from "../../src/analysis/pass-config";
import type { ReviewResult } from "../../src/analysis/results";
import { createReview } from "../../src/analysis/review";
import { createReviewByDay } from "../../src/analysis/review-by-day";
import { createReviewPass, type PassOptions, type PassState } from "../../src/analysis/review-pass";
import type { NumericChannel, Series } from "../../src/analysis/series";
import { reviewJson } from "../../src/report/review-json";
import { reviewText } from "../../src/report/review-text";
import { slice } from "../unit/analysis/samples";
import { type FuzzedLog, fuzzedLog, fuzzedRatingFrom, longFuzzedLog } from "./fuzzed-log";

/** FUZZ_LONGER=20 looks at twenty times as many logs, for a night. */
const LONGER = Number(process.env.FUZZ_LONGER ?? 1);

function optionsOf({ site, series }: FuzzedLog): PassOptions {
  return {
    zone: site.timezone,
    ratings: site.ratings,
    settings: site.settings,
    channels: Object.keys(series.channels) as NumericChannel[],
    hasSource: series.sources !== null,
    hasFault: series.faults !== null,
  };
}

function reviewOf(log: FuzzedLog, chunk = Number.POSITIVE_INFINITY): ReviewResult {
  const review = createReview(optionsOf(log));
  const { length } = log.series.timesMs;
  for (let from = 0; from < length; from += chunk) {
    review.push(slice(log.series, from, Math.min(from + chunk, length)));
  }
  return review.finish(log.faultWords).result;
}

/** Found in one go, or by a new pass from the serialised state at every local midnight. */
function foundInOneGo(log: FuzzedLog): Found {
  const pass = createReviewPass(optionsOf(log));
  pass.push(log.series);
  pass.end();
  return inOrder(pass.take());
}

function foundDayByDay(log: FuzzedLog): { found: Found; midnights: number } {
  const options = optionsOf(log);
  const clock = createLocalClock(options.zone);
  const found = createFound();
  let midnights = 0;
  let kept: Buffer | null = null;
  let fromMs = Number.NaN;
  let rest = log.series;
  for (;;) {
    const state: PassState | undefined = kept === null ? undefined : deserialize(kept);
    const pass = createReviewPass(state === undefined ? options : { ...options, state });
    let stoppedMs = Number.NaN;
    const byDay = createReviewByDay(pass, clock, fromMs, (midnight) => {
      addFound(found, midnight.found);
      kept = serialize(midnight.state);
      stoppedMs = midnight.atMs;
      return true;
    });
    if (!byDay.push(rest)) {
      addFound(found, byDay.end().found);
      return { found: inOrder(found), midnights };
    }
    midnights++;
    const at = rest.timesMs.findIndex((atMs) => atMs >= stoppedMs);
    rest = slice(rest, at, rest.timesMs.length);
    fromMs = stoppedMs;
  }
}

/** A pass hands near-limit intervals over by quantity. */
function inOrder(found: Found): Found {
  const places = ["total", "L1", "L2", "pass-through"];
  found.nearLimit.sort(
    (a, b) => places.indexOf(a.quantity) - places.indexOf(b.quantity) || a.fromMs - b.fromMs,
  );
  return found;
}

/** Paths of what a result may not hold: NaN, infinities, undefined. The sums inside are not results. */
function unfit(value: unknown, path = ""): string[] {
  if (typeof value === "number") return Number.isFinite(value) ? [] : [`${path} = ${value}`];
  if (value === undefined) return [`${path} = undefined`];
  if (value === null || typeof value !== "object") return [];
  return Object.entries(value).flatMap(([key, one]) => (key === "sums" ? [] : unfit(one, `${path}.${key}`)));
}

const near = (a: number, b: number, scale: number) => Math.abs(a - b) <= 1e-9 * Math.max(1, scale);

/** What is wrong among figures that must agree with one another. */
function inconsistencies(result: ReviewResult, log: FuzzedLog): string[] {
  const wrong: string[] = [];
  const must = (holds: boolean, what: string) => {
    if (!holds) wrong.push(what);
  };
  const { coverage, days, hours, total } = result;
  const { fromMs, toMs } = coverage;
  if (fromMs === null || toMs === null) return ["no coverage though there are samples"];
  const sum = (values: readonly number[]) => values.reduce((all, one) => all + one, 0);

  must(coverage.samples === log.series.timesMs.length, "samples of the coverage");
  must(fromMs === log.series.timesMs[0], "coverage begins at the first sample");
  must(toMs >= log.series.timesMs[log.series.timesMs.length - 1], "coverage ends before the last sample");
  must(coverage.ratio === null || (coverage.ratio >= 0 && coverage.ratio <= 1 + 1e-9), "coverage ratio");
  must(coverage.heldS <= (toMs - fromMs) / 1000 + 1e-6 * coverage.samples, "held longer than covered");
  must(
    near(sum(days.map((day) => day.heldS)), coverage.heldS, coverage.heldS),
    "days add up to the coverage",
  );
  must(
    near(sum(hours.map((hour) => hour.heldS)), coverage.heldS, coverage.heldS),
    "hours add up to the coverage",
  );
  must(
    near(result.figures.coverage.heldS, coverage.heldS, coverage.heldS) &&
      result.figures.coverage.samples === coverage.samples,
    "figures' coverage",
  );
  const gapsS = sum(coverage.gaps.map((gap) => (gap.toMs - gap.fromMs) / 1000));
  must(near(coverage.heldS + gapsS, (toMs - fromMs) / 1000, (toMs - fromMs) / 1000), "held and gaps fill it");

  days.forEach((day, i) => {
    const next = days[i + 1];
    must(day.fromMs < day.toMs, `${day.date} has a length`);
    must(
      next === undefined || (day.toMs <= next.fromMs && day.date < next.date),
      `${day.date} lies before the next`,
    );
    must(day.heldS <= (day.toMs - day.fromMs) / 1000 + 1e-6, `${day.date} is held longer than it lasts`);
    must(day.sharesHeldS <= day.heldS + 1e-6, `${day.date} shares held`);
    must(near(sum(Object.values(day.onS)), day.heldS, day.heldS), `${day.date} time by source`);
    must(near(day.sums.coverage.heldS, day.heldS, day.heldS), `${day.date} coverage held`);
    must(day.sums.coverage.samples === day.samples, `${day.date} samples`);
    const own = hours.filter((hour) => hour.fromMs >= day.fromMs && hour.fromMs < day.toMs);
    must(near(sum(own.map((hour) => hour.heldS)), day.heldS, day.heldS), `${day.date} hours`);
    const peaks = [day.peakLoadingL1, day.peakLoadingL2, day.peakLoadingTotal].filter((one) => one !== null);
    must((day.peakLoading ?? null) === (peaks.length === 0 ? null : Math.max(...peaks)), `${day.date} peak`);
    wrong.push(...sharesWrong(day.shares, day.date));
  });
  for (const hour of hours) {
    must(hour.heldS <= (hour.toMs - hour.fromMs) / 1000 + 1e-6, "an hour is held longer than it lasts");
  }
  wrong.push(...sharesWrong(total, "total"));

  for (const one of result.nearLimit) {
    const { peakLoading, meanLoading, durationS, overLimitS, onInverterS, onUtilityS } = one;
    must(one.fromMs >= fromMs && one.toMs <= toMs, "near-limit interval inside the coverage");
    must(near((one.toMs - one.fromMs) / 1000, durationS, durationS), "near-limit duration");
    must(peakLoading >= meanLoading - 1e-9 * Math.abs(peakLoading), "peak loading below the mean");
    must(peakLoading >= log.site.settings.nearLimitEnter, "peak below nearLimitEnter");
    must(overLimitS <= durationS + 1e-6 && onInverterS + onUtilityS <= durationS + 1e-6, "near-limit times");
    must(one.longestOnInverterS <= onInverterS + 1e-6, "longest run");
    must(
      one.peakAtMs >= one.fromMs && (one.peakAtMs < one.toMs || durationS === 0),
      "near-limit peak inside",
    );
  }
  for (const one of result.figures.imbalance?.intervals ?? []) {
    must(one.fromMs >= fromMs && one.toMs <= toMs, "imbalance interval inside the coverage");
    must(one.maxDifferenceAtMs >= one.fromMs && one.maxDifferenceAtMs <= one.toMs, "its difference inside");
  }
  for (const one of result.continuousLoad) {
    must(one.fromMs >= fromMs && one.toMs <= toMs, "continuous load inside the coverage");
    must(
      one.maxA >= one.meanA - 1e-9 * one.maxA && one.meanA >= 0.8 * one.ratingA * (1 - 1e-9),
      "its amperes",
    );
    must(one.durationS >= 3 * 3600, "its time");
  }
  for (const one of result.openNeutral ?? []) {
    must(one.fromMs >= fromMs && one.toMs <= toMs && one.samples >= 3, "open neutral inside the coverage");
  }
  for (const one of result.transfers) {
    must(
      one.atMs >= fromMs && one.atMs + one.onUtilityS * 1000 <= toMs + 1e-3,
      "transfer inside the coverage",
    );
    must(one.onUtilityS >= 0 && (one.returnedAtMs === null) === one.lowerBound, "transfer's lower bound");
    must(!one.alsoHolds.includes(one.cause), "alsoHolds without the cause");
  }
  for (const one of result.dropouts) {
    must(one.atMs >= fromMs && one.atMs + one.deadS * 1000 <= toMs + 1e-3, "dropout inside the coverage");
    must(one.deadS >= 0 && (one.endedAtMs === null) === one.lowerBound, "dropout's lower bound");
  }
  const { demand, imbalance, loadDuration, voltage } = result.figures;
  if (demand !== null) {
    must(demand.loadFactor === null || demand.loadFactor <= 1 + 1e-9, "load factor");
    must(demand.recordDays <= days.length, "record days");
  }
  if (imbalance !== null) {
    // A leg that feeds in makes more than the whole of it: no upper bound then.
    must(imbalance.meanShare === null || imbalance.meanShare >= 0, "imbalance share");
    must(imbalance.strandedMeanW === null || imbalance.strandedMeanW >= 0, "stranded");
  }
  for (const curve of [loadDuration?.total, loadDuration?.l1, loadDuration?.l2]) {
    const watts = curve?.exceededW ?? [];
    must(
      watts.every((one, i) => i === 0 || one <= watts[i - 1]),
      "duration curve descends",
    );
  }
  for (const leg of [voltage?.l1, voltage?.l2]) {
    if (leg === null || leg === undefined) continue;
    must(leg.minV <= (leg.p1V ?? leg.minV) && (leg.p99V ?? leg.maxV) <= leg.maxV, "percentiles");
    must(leg.belowS + leg.aboveS <= leg.heldS + 1e-6, "time outside the service range");
  }
  return wrong;
}

function sharesWrong(shares: ReviewResult["total"], of: string): string[] {
  const wrong: string[] = [];
  for (const [name, value] of Object.entries(shares)) {
    if (name !== "lossesWh" && value < 0) wrong.push(`${of} ${name} is negative`);
  }
  const { solarToLoadWh, batteryToLoadWh, gridToLoadWh, generatorToLoadWh, unattributedWh, loadWh } = shares;
  const served = solarToLoadWh + batteryToLoadWh + gridToLoadWh + generatorToLoadWh + unattributedWh;
  if (!near(served, loadWh, loadWh)) wrong.push(`${of} parts don't add up to the load`);
  const { solarToBatteryWh, solarToGridWh, solarWh, batteryToLoadOfSolarWh } = shares;
  if (solarToLoadWh + solarToBatteryWh + solarToGridWh > solarWh * (1 + 1e-9) + 1e-9) {
    wrong.push(`${of} more solar used than there was`);
  }
  if (batteryToLoadOfSolarWh > batteryToLoadWh * (1 + 1e-9) + 1e-9)
    wrong.push(`${of} battery of solar origin`);
  return wrong;
}

describe("a log that nobody would expect", { timeout: 30_000 * LONGER }, () => {
  it("gives a result without NaN, infinity or undefined, whose figures agree with one another", () => {
    fc.assert(
      fc.property(fuzzedLog, (log) => {
        const result = reviewOf(log);
        expect(unfit(result)).toEqual([]);
        expect(inconsistencies(result, log)).toEqual([]);
      }),
      { numRuns: 100 * LONGER },
    );
  });

  it("gives the same result whatever the chunks", () => {
    fc.assert(
      fc.property(fuzzedLog, fc.constantFrom(1, 2, 7, 64, 999, 1000, 1001), (log, chunk) => {
        const whole = reviewOf(log);
        const cut = reviewOf(log, chunk);
        if (!isDeepStrictEqual(cut, whole)) expect(cut).toEqual(whole);
      }),
      { numRuns: 60 * LONGER },
    );
  });

  it("gives the same result whatever the chunks where its interval changes", () => {
    fc.assert(
      fc.property(longFuzzedLog, fc.constantFrom(1, 64, 1001), (log, chunk) => {
        const whole = reviewOf(log);
        const cut = reviewOf(log, chunk);
        if (!isDeepStrictEqual(cut, whole)) expect(cut).toEqual(whole);
      }),
      { numRuns: 40 * LONGER },
    );
  });

  it("gives the same found by a new pass from the kept state at every local midnight as in one go", () => {
    let midnights = 0;
    fc.assert(
      fc.property(
        fc.oneof({ weight: 3, arbitrary: fuzzedLog }, { weight: 1, arbitrary: longFuzzedLog }),
        (log) => {
          const whole = foundInOneGo(log);
          const days = foundDayByDay(log);
          midnights += days.midnights;
          if (!isDeepStrictEqual(days.found, whole)) expect(days.found).toEqual(whole);
        },
      ),
      { numRuns: 60 * LONGER },
    );
    // Else the property above says nothing.
    expect(midnights).toBeGreaterThan(50);
  });

  it("keeps the same at an instant however its samples came", () => {
    fc.assert(
      fc.property(
        fc.oneof(fuzzedLog, longFuzzedLog),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.constantFrom(1, 7, 64, 999),
        (log, part, chunk) => {
          const options = optionsOf(log);
          const end = Math.ceil(part * log.series.timesMs.length);
          const inOneGo = createReviewPass(options);
          inOneGo.push(slice(log.series, 0, end));
          inOneGo.take();
          let inParts = createReviewPass(options);
          for (let from = 0; from < end; from += chunk) {
            inParts.push(slice(log.series, from, Math.min(from + chunk, end)));
            inParts.take();
            // Once on the way another process goes on.
            if (from < end / 2 && from + chunk >= end / 2) {
              const state: PassState = deserialize(serialize(inParts.keep()));
              inParts = createReviewPass({ ...options, state });
            }
          }
          // As a later process reads them: one number has more than one form in bytes.
          const [whole, parts] = [inOneGo, inParts].map((pass) => deserialize(serialize(pass.keep())));
          if (!isDeepStrictEqual(parts, whole)) expect(parts).toEqual(whole);
        },
      ),
      { numRuns: 60 * LONGER },
    );
  });

  it("gives the same found from what was kept under other ratings of later days, where the configuration says so", () => {
    let wentOn = 0;
    fc.assert(
      fc.property(
        fc.oneof(fuzzedLog, longFuzzedLog),
        fuzzedRatingFrom,
        fc.nat({ max: 5 }),
        fc.boolean(),
        (log, ratingFrom, skipped, added) => {
          const { timezone } = log.site;
          const clock = createLocalClock(timezone);
          const { timesMs } = log.series;
          const midnights: number[] = [];
          let dayEndMs = clock.nextDayMs(timesMs[0]);
          for (const ms of timesMs) {
            if (ms < dayEndMs) continue;
            midnights.push(clock.startOfDayMs(ms));
            dayEndMs = clock.nextDayMs(ms);
          }
          if (midnights.length === 0) return;
          const atMs = midnights[skipped % midnights.length];
          // What comes from that day on is one entry, added or taken away.
          const before = log.site.ratings.filter((one) => clock.dateStartMs(one.from) < atMs);
          if (before.length === 0) return;
          const later = [...before, ratingFrom(timezone, clock.date(atMs))];
          const [first, then] = added ? [before, later] : [later, before];
          const [kept, wanted] = [first, then].map((ratings) => ({ ...optionsOf(log), ratings }));
          if (passConfig(kept, clock, atMs) !== passConfig(wanted, clock, atMs)) return;
          wentOn++;

          const row = timesMs.findIndex((ms) => ms >= atMs);
          const pass = createReviewPass(kept);
          pass.push(slice(log.series, 0, row));
          const found = pass.take();
          const next = createReviewPass({ ...wanted, state: deserialize(serialize(pass.keep())) });
          next.push(slice(log.series, row, timesMs.length));
          next.end();
          addFound(found, next.take());
          const whole = createReviewPass(wanted);
          whole.push(log.series);
          whole.end();
          const wholeFound = inOrder(whole.take());
          if (!isDeepStrictEqual(inOrder(found), wholeFound)) expect(found).toEqual(wholeFound);
        },
      ),
      { numRuns: 60 * LONGER },
    );
    expect(wentOn).toBeGreaterThan(5);
  });

  it("prints as JSON that holds no NaN and comes back as it went", () => {
    fc.assert(
      fc.property(fuzzedLog, (log) => {
        const clock = createLocalClock(log.site.timezone);
        const object = reviewJson(reviewOf(log), log.site, [], clock);
        expect(unfit(object)).toEqual([]);
        const text = JSON.stringify(object);
        expect(text).not.toMatch(/NaN|Infinity|undefined|Invalid/);
        const back = JSON.parse(text);
        expect(JSON.stringify(back)).toBe(text);
      }),
      { numRuns: 60 * LONGER },
    );
  });

  it("reads as a page in which every figure is one", () => {
    fc.assert(
      fc.property(fuzzedLog, (log) => {
        const text = reviewText(reviewOf(log), log.site, [], createLocalClock(log.site.timezone));
        const odd = text
          .split("\n")
          .filter((line) => /NaN|undefined|Infinity|Invalid|\bnull\b|\[object|-0 /.test(line));
        expect(odd).toEqual([]);
      }),
      { numRuns: 60 * LONGER },
    );
  });
});

/** What two loggers would have written of a log: one each of two columns, the other one's samples fewer and later. */
function twoLoggers({ series }: FuzzedLog, every: number, laterMs: number): [Series, Series] {
  const names = Object.keys(series.channels) as NumericChannel[];
  const columns = (own: (i: number) => boolean, row: (i: number) => boolean) =>
    Object.fromEntries(
      names.flatMap((name, i) => (own(i) ? [[name, series.channels[name]?.filter((_, at) => row(at))]] : [])),
    );
  const every1 = () => true;
  const some = (at: number) => at % every === 0;
  return [
    { ...series, channels: columns((i) => i % 2 === 0, every1), faults: null },
    {
      timesMs: series.timesMs.filter((_, at) => some(at)).map((ms) => ms + laterMs),
      channels: columns((i) => i % 2 === 1, some),
      sources: null,
      faults: series.faults?.filter((_, at) => some(at)) ?? null,
    },
  ];
}

describe("two loggers that nobody would expect", { timeout: 30_000 * LONGER }, () => {
  const pair = fc
    .tuple(
      fc.oneof({ weight: 3, arbitrary: fuzzedLog }, { weight: 1, arbitrary: longFuzzedLog }),
      fc.constantFrom(1, 2, 3, 7),
      fc.constantFrom(0, 0, 1, 333.25, 5000, 40_000_000),
    )
    .map(([log, every, laterMs]) => {
      const loggers = twoLoggers(log, every, laterMs);
      const options: PassOptions = {
        ...optionsOf(log),
        loggers: loggers.map(({ channels, sources, faults }, i) => ({
          name: `logger ${i}`,
          channels: Object.keys(channels) as NumericChannel[],
          hasSource: sources !== null,
          hasFault: faults !== null,
        })),
      };
      return { log, loggers, options };
    });

  function foundOf({ loggers, options }: { loggers: [Series, Series]; options: PassOptions }): Found {
    const pass = createReviewPass(options);
    loggers.forEach((series, i) => {
      pass.push(series, i);
    });
    pass.end();
    return inOrder(pass.take());
  }

  it("give a result without NaN, infinity or undefined", () => {
    fc.assert(
      fc.property(pair, ({ log, loggers, options }) => {
        const review = createReview(options);
        loggers.forEach((series, i) => {
          review.push(series, i);
        });
        const { result } = review.finish(log.faultWords);
        expect(unfit(result)).toEqual([]);
        const heldS = result.days.reduce((sum, day) => sum + day.heldS, 0);
        expect(near(heldS, result.coverage.heldS, heldS)).toBe(true);
        expect(result.days.flatMap((day) => sharesWrong(day.shares, day.date))).toEqual([]);
      }),
      { numRuns: 60 * LONGER },
    );
  });

  it("give the same found however far one is ahead of the other, and by new passes from kept states", () => {
    fc.assert(
      fc.property(
        pair,
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 4 }),
        (given, cuts) => {
          const whole = foundOf(given);
          const { loggers, options } = given;
          const first = Math.min(...loggers.map(({ timesMs }) => timesMs[0]));
          const last = Math.max(...loggers.map(({ timesMs }) => timesMs[timesMs.length - 1]));
          const edges = [...cuts.map((cut) => first + cut * (last - first)), Number.POSITIVE_INFINITY];
          edges.sort((a, b) => a - b);
          const found = createFound();
          const at = [0, 0];
          let pass = createReviewPass(options);
          for (const edge of edges) {
            for (const i of [1, 0]) {
              const { timesMs } = loggers[i];
              const to = timesMs.findIndex((ms) => ms >= edge);
              const end = to < 0 ? timesMs.length : to;
              pass.push(slice(loggers[i], at[i], end), i);
              at[i] = end;
            }
            if (edge === Number.POSITIVE_INFINITY) pass.end();
            addFound(found, pass.take());
            if (edge === Number.POSITIVE_INFINITY) break;
            const state: PassState = deserialize(serialize(pass.keep()));
            pass = createReviewPass({ ...options, state });
          }
          if (!isDeepStrictEqual(inOrder(found), whole)) expect(found).toEqual(whole);
        },
      ),
      { numRuns: 60 * LONGER },
    );
  });
});
