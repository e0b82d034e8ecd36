import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createLocalClock } from "../../src/analysis/local-time";
import type { ReviewResult } from "../../src/analysis/results";
import type { NumericChannel, Series } from "../../src/analysis/series";
import { reviewJson } from "../../src/report/review-json";
import { review } from "../unit/analysis/samples";
import { type FuzzedLog, fuzzedLog } from "./fuzzed-log";

type Json = null | boolean | number | string | Json[] | { [key: string]: Json };
type JsonObject = { [key: string]: Json };

/** A null of the printed object: its path, the same with [] for any index, and the object it stands in. */
type Null = { readonly at: string; readonly place: string; readonly within: JsonObject };

function nullsOf(value: Json, at = "", place = "", within: JsonObject = {}): Null[] {
  if (value === null) return [{ at, place, within }];
  if (Array.isArray(value))
    return value.flatMap((one, i) => nullsOf(one, `${at}[${i}]`, `${place}[]`, within));
  if (typeof value !== "object") return [];
  return Object.entries(value).flatMap(([key, one]) =>
    nullsOf(one, at === "" ? key : `${at}.${key}`, place === "" ? key : `${place}.${key}`, value),
  );
}

/** What a log's samples hold, read from its columns without the analysis. */
function contents({ channels, timesMs }: Series) {
  const rows = [...timesMs.keys()];
  const has = (channel: NumericChannel) => (row: number) =>
    !Number.isNaN(channels[channel]?.[row] ?? Number.NaN);
  const ownLeg = (leg: "L1" | "L2") => (row: number) => has(`load${leg}W`)(row) || has(`load${leg}A`)(row);
  const total = (row: number) => has("loadW")(row) || (ownLeg("L1")(row) && ownLeg("L2")(row));
  const leg = (one: "L1" | "L2", other: "L1" | "L2") => (row: number) =>
    ownLeg(one)(row) || (has("loadW")(row) && ownLeg(other)(row));
  const [l1, l2] = [leg("L1", "L2"), leg("L2", "L1")];
  const any = (test: (row: number) => boolean) => rows.some(test);
  return {
    samples: rows.length,
    load: any((row) => total(row)),
    anyLoad: any((row) => total(row) || l1(row) || l2(row)),
    L1: any(l1),
    L2: any(l2),
    bothLegs: any((row) => l1(row) && l2(row)),
    L1V: any(has("loadL1V")),
    L2V: any(has("loadL2V")),
    batteryA: any(
      (row) => has("batteryA")(row) || (has("batteryW")(row) && (channels.batteryV?.[row] ?? 0) > 0),
    ),
    batteryW: any((row) => has("batteryW")(row) || (has("batteryA")(row) && has("batteryV")(row))),
    soc: any(has("batterySocPct")),
    gridLegs: (["gridL1A", "gridL2A", "gridL1W", "gridL2W"] as const).some((one) => any(has(one))),
  };
}

type Contents = ReturnType<typeof contents>;

/** Whether a reason is true of a null, by the code that its note carries. */
const TRUE_REASONS: {
  readonly [reason: string]: (one: Null, log: Contents, result: ReviewResult) => boolean;
} = {
  "no-samples": (_, { samples }) => samples === 0,
  "too-few-samples": (_, { samples }) => samples < 2,
  // Where a total is wanted one leg doesn't give it.
  "no-load": ({ place }, { load, anyLoad }) => (place === "loadDuration" ? !anyLoad : !load),
  "no-load-there": ({ place }) => /^(transfers|dropouts)\[\]\.(limiting|peakLoading|peakAt)$/.test(place),
  "no-legs": ({ place }, { bothLegs, L1, L2 }) => {
    if (place.startsWith("loadDuration.L1")) return !L1;
    if (place.startsWith("loadDuration.L2")) return !L2;
    if (place.startsWith("demand.heavierLeg")) return !L1 && !L2;
    return !bothLegs;
  },
  "no-volts": ({ place }, { L1V, L2V }) => {
    if (place === "voltage.L1") return !L1V;
    if (place === "voltage.L2") return !L2V;
    return place === "voltage" ? !L1V && !L2V : !L1V || !L2V;
  },
  "not-covered": ({ place }, { load }) => place !== "demand" || load,
  "not-enough": ({ place }, { L1, L2 }) => place.startsWith("demand.service") || L1 || L2,
  "not-shown": ({ within }) => within.lowerBound === true,
  "not-measured": ({ place }, { gridLegs }) => !place.startsWith("demand.service") || !gridLegs,
  "share-of-nothing": ({ at, place, within }, _, { total, days }) => {
    if (place === "demand.loadFactor") return typeof within.peakW === "number" && within.peakW <= 0;
    const shares = place.startsWith("shares.total") ? total : days[Number(/\d+/.exec(at)?.[0])].shares;
    return place.endsWith("solarFraction") ? !(shares.loadWh > 0) : !(shares.solarWh > 0);
  },
  "no-battery": (_, { batteryA, batteryW, soc }) => !batteryA && !batteryW && !soc,
  "no-battery-current": (_, { batteryA }) => !batteryA,
  "no-battery-power": (_, { batteryW }) => !batteryW,
  "no-soc": (_, { soc }) => !soc,
  "no-fit": ({ place }) => place.startsWith("battery.model"),
  "too-short": ({ within }) => typeof within.heldS === "number" && within.heldS < 86_400,
  "too-few-steps": ({ place }) => place === "battery.resistance",
  "no-deep-discharge": ({ place, within }) =>
    place === "battery.capacity" || (within.discharges as unknown[]).length < 3,
  "no-round-trip": ({ place }) => place === "battery.roundTrip",
  "no-rating": ({ place }) => /CRate|[cC]ycles/.test(place) || place.startsWith("battery.current.above"),
  none: ({ place, within }, _, { nearLimit }) => {
    if (place.startsWith("returnDelay")) return within.n === 0;
    if (place === "longestRunHeld") return nearLimit.every((one) => one.longestOnInverterS === 0);
    return true;
  },
  // Figures stand within the evidence or the finding whose message it is.
  "see-message": ({ place }) => /(evidence|findings)\[\]\.figures\./.test(place),
};

/** Nulls that no note covers, and notes whose reason isn't so. */
function unexplained(object: JsonObject, log: Contents, result: ReviewResult): string[] {
  const { notes, ...rest } = object;
  const byPlace = new Map<string, JsonObject>();
  for (const note of notes as JsonObject[]) {
    if (typeof note.what === "string") byPlace.set(note.what, note);
  }
  return nullsOf(rest).flatMap((one) => {
    const note = byPlace.get(one.place);
    if (note === undefined) return [`${one.at}: no note`];
    if (typeof note.message !== "string" || !note.message.includes(one.place))
      return [`${one.at}: no message`];
    if (note.code === "not-yet") return [];
    const isTrue = TRUE_REASONS[String(note.reason)];
    if (isTrue === undefined) return [`${one.at}: ${note.reason} isn't looked at here`];
    return isTrue(one, log, result) ? [] : [`${one.at}: "${note.message}" is not so`];
  });
}

function printed(log: FuzzedLog): { object: JsonObject; result: ReviewResult } {
  const { series, site, faultWords } = log;
  const { ratings, settings, timezone: zone } = site;
  const result = review(series, { ratings, settings, zone, faultWords });
  const object = reviewJson(result, site, [], createLocalClock(zone));
  return { object: JSON.parse(JSON.stringify(object)), result };
}

describe("review --json", () => {
  it("says of every null why it is null, and says what is so", () => {
    const places = new Set<string>();
    fc.assert(
      fc.property(fuzzedLog, (log) => {
        const { object, result } = printed(log);
        for (const { place } of nullsOf(object)) places.add(place);
        expect(unexplained(object, contents(log.series), result)).toEqual([]);
      }),
      { numRuns: 200 },
    );
    // Else the property above says little.
    expect(places.size).toBeGreaterThan(30);
  });

  it("says so of a log without samples", () => {
    const log = fc.sample(fuzzedLog, { numRuns: 1, seed: 1 })[0];
    const channels = Object.fromEntries(
      Object.keys(log.series.channels).map((name) => [name, new Float32Array(0)]),
    );
    const series: Series = { timesMs: new Float64Array(0), channels, sources: null, faults: null };
    const { object, result } = printed({ ...log, series });
    expect(unexplained(object, contents(series), result)).toEqual([]);
  });
});
