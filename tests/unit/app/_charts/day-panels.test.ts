import { describe, expect, test } from "vitest";
import { picture as live } from "../../../../app/_charts/day-live";
import { dayPanelsHeight, dayPanelsOption } from "../../../../app/_charts/day-panels";
import { type DayPicture, dayPicture } from "../../../../app/_charts/day-picture";
import { readDay } from "../../../../app/_charts/read-day";
import { renderSvg } from "../../../../app/_charts/render-svg";
import { dayBoundsAt } from "../../../../app/_format/day-address";
import type { SiteStretch } from "../../../../db/queries/stretch-of-site";
import { clockOf } from "../../../../src/report/format";

const clock = clockOf("America/Denver");
const DAY = dayBoundsAt(Date.UTC(2026, 4, 14, 12), clock);
const REST = {
  slug: "alder",
  timezone: "America/Denver",
  day: DAY,
  events: [],
  legLimitW: 4000,
  totalLimitW: 8000,
  nearLimit: 0.9,
} satisfies Partial<DayPicture>;

/** `count` samples a second, or minutes whose range reaches 100 on each side of the mean. */
function stretch(
  count: number,
  of: (at: number) => Partial<Record<keyof SiteStretch["channels"], number>>,
  kind: "samples" | "minutes" = "samples",
  everyS = kind === "minutes" ? 60 : 1,
): SiteStretch {
  const rows = Array.from({ length: count }, (_, at) => of(at));
  const channels: SiteStretch["channels"] = {};
  for (const channel of Object.keys(rows[0]) as (keyof typeof channels)[]) {
    const mean = Float64Array.from(rows, (row) => row[channel] ?? Number.NaN);
    const range = kind === "minutes" ? 100 : 0;
    channels[channel] = { mean, min: mean.map((v) => v - range), max: mean.map((v) => v + range) };
  }
  return {
    fromMs: DAY.fromMs,
    toMs: DAY.fromMs + count * everyS * 1000,
    kind,
    timesMs: Float64Array.from({ length: count }, (_, at) => DAY.fromMs + at * everyS * 1000),
    holdS: new Float64Array(count).fill(everyS),
    channels,
    sources: null,
    nominalS: 1,
    cut: false,
  };
}

type Drawn = { name: string; data: [number, number | null][]; markLine?: { data: { yAxis?: number }[] } };
const seriesOf = (picture: DayPicture, narrow = false) =>
  dayPanelsOption(picture, narrow).series as unknown as Drawn[];
const named = (picture: DayPicture, name: string) => seriesOf(picture).find((one) => one.name === name)!;

describe("the picture of a day", () => {
  const legs = dayPicture(
    stretch(100, (at) => ({ loadL1W: 1000 + at, loadL2W: 500, batteryA: 20 })),
    REST,
  );

  test("has L1 above zero and L2 below, with both ratings", () => {
    expect(named(legs, "L1").data[3]).toEqual([3, 1003]);
    expect(named(legs, "L2").data[3]).toEqual([3, -500]);
    const limits = seriesOf(legs).flatMap(({ markLine }) => markLine?.data.map(({ yAxis }) => yAxis) ?? []);
    expect(limits).toEqual(expect.arrayContaining([4000, -4000]));
  });

  test("stands on one time axis, panel under panel, only those that the log has", () => {
    const option = dayPanelsOption(legs, false);
    const axes = option.xAxis as { min: number; max: number }[];
    expect(axes.map(({ min, max }) => [min, max])).toEqual([
      [0, 100],
      [0, 100],
    ]);
    expect((option.yAxis as { name: string }[]).map(({ name }) => name)).toEqual([
      "Load in kW: L1 upwards, L2 downwards",
      "Battery current in A, out above zero",
    ]);
    expect(dayPanelsHeight(legs, false)).toBeGreaterThan(300);
  });

  test("of a log without legs has the total and its rating, none of the legs'", () => {
    const total = dayPicture(
      stretch(10, () => ({ loadW: 3000 })),
      REST,
    );
    expect(seriesOf(total).map(({ name }) => name)).toEqual(["events 0", "Load"]);
    const limits = seriesOf(total)[0].markLine!.data.map(({ yAxis }) => yAxis);
    expect(limits).toContain(8000);
    expect(limits).not.toContain(4000);
  });

  test("has the battery's power where its current isn't in the log", () => {
    const picture = dayPicture(
      stretch(10, () => ({ loadW: 1, batteryW: 500 })),
      REST,
    );
    expect(picture.lines.batteryW?.v[0]).toBe(500);
    expect(
      dayPicture(
        stretch(10, () => ({ loadW: 1, batteryW: 500, batteryA: 9 })),
        REST,
      ).lines.batteryW,
    ).toBeUndefined();
  });

  test("leaves out a channel that has no value here", () => {
    expect(
      dayPicture(
        stretch(10, () => ({ loadW: 1, solarW: Number.NaN })),
        REST,
      ).lines.solarW,
    ).toBeUndefined();
  });

  test("is drawn as SVG, wide and narrow, empty too", () => {
    const empty = dayPicture(
      stretch(1, () => ({ loadW: Number.NaN })),
      REST,
    );
    for (const picture of [legs, empty]) {
      expect(renderSvg(dayPanelsOption(picture, false), 880, dayPanelsHeight(picture, false))).toContain(
        "<svg",
      );
      expect(renderSvg(dayPanelsOption(picture, true), 350, dayPanelsHeight(picture, true))).toContain(
        "<svg",
      );
    }
  });

  test("has every state of the source with its name or letter", () => {
    const sources = (["inverter", "utility", "generator", "none", "unknown", "gap"] as const).map(
      (source, at) => ({
        fromMs: DAY.fromMs + at * 16_000,
        toMs: DAY.fromMs + (at + 1) * 16_000,
        source,
      }),
    );
    const svg = renderSvg(dayPanelsOption({ ...legs, sources }, false), 880, 600);
    for (const words of ["On inverter", "On utility", "On generator", "No supply", "Not known"])
      expect(svg).toContain(words);
    const small = renderSvg(dayPanelsOption({ ...legs, sources }, true), 350, 600);
    for (const letter of ["I", "U", "G", "N", "?", "–"]) expect(small).toContain(`>${letter}</text>`);
  });
});

describe("no peak is lost", () => {
  test("of many samples the greatest and the least are drawn, in 2,000 points at most", () => {
    const many = dayPicture(
      stretch(7200, (at) => ({
        loadL1W: at === 4321 ? 5555 : at === 1234 ? -50 : 100 + (at % 7),
        loadL2W: 1,
      })),
      REST,
    );
    expect(many.lines.l1W!.s.length).toBeLessThanOrEqual(2000);
    expect(Math.max(...many.lines.l1W!.v.map(Number))).toBe(5555);
    for (const narrow of [false, true]) {
      const drawn = seriesOf(many, narrow)
        .find(({ name }) => name === "L1")!
        .data.map(([, value]) => value!);
      expect(Math.max(...drawn)).toBe(5555);
      expect(Math.min(...drawn)).toBe(-50);
      expect(drawn.length).toBeLessThanOrEqual(2000);
    }
  });

  test("of a day's minutes the range reaches every least and greatest", () => {
    const day = dayPicture(
      stretch(1500, (at) => ({ loadL1W: at === 777 ? 4200 : 300, loadL2W: 1 }), "minutes"),
      REST,
    );
    for (const narrow of [false, true]) {
      const of = (name: string) => seriesOf(day, narrow).find((one) => one.name === name)!.data;
      const tops = of("L1 range").map(([, height], at) => height! + of("L1 least")[at][1]!);
      expect(Math.max(...tops)).toBe(4300);
      expect(Math.min(...of("L1 least").map(([, value]) => value!))).toBe(200);
      expect(tops.length).toBeLessThanOrEqual(2000);
    }
  });

  test("a line breaks at a gap and ends where its last sample does", () => {
    const given = stretch(4, () => ({ loadL1W: 100, loadL2W: 100 }));
    given.timesMs[2] += 60_000;
    given.timesMs[3] += 60_000;
    const { s, v } = dayPicture({ ...given, toMs: DAY.fromMs + 90_000 }, REST).lines.l1W!;
    expect(s.map((at, i) => [at, v[i]])).toEqual([
      [0, 100],
      [1, 100],
      [2, 100],
      [2, null],
      [62, 100],
      [63, 100],
      [64, 100],
    ]);
  });
});

describe("the readout", () => {
  test("says every figure with its unit, what carries the loads and what happens there", () => {
    const picture = dayPicture(
      {
        ...stretch(100, () => ({
          loadL1W: 3210,
          loadL2W: 1000,
          batteryA: -68.12,
          batterySocPct: 71.25,
          solarW: 1200,
          gridW: 0,
        })),
        sources: [{ fromMs: DAY.fromMs, toMs: DAY.toMs, source: "utility" }],
      },
      {
        ...REST,
        events: [
          {
            kind: "transfer",
            fromMs: DAY.fromMs + 50_000,
            toMs: DAY.fromMs + 60_000,
            text: "transfer: overload",
            href: "",
          },
        ],
      },
    );
    expect(readDay(picture, 55.4)).toEqual({
      where: "00:00:55",
      what: "00:00:55: L1 3.21\u00a0kW, 0.80 of its rating; L2 1.00\u00a0kW, 0.25 of its rating; battery 68.1\u00a0A in; SOC 71.3\u00a0%; sun 1.20\u00a0kW; grid 0.00\u00a0kW; on utility; transfer: overload.",
    });
  });

  test("of a minute says mean, least and greatest, and holds the greatest against the rating", () => {
    const picture = dayPicture(
      stretch(10, () => ({ loadL1W: 3900, loadL2W: 0 }), "minutes"),
      REST,
    );
    expect(readDay(picture, 120).what).toBe(
      "00:02, mean of the minute (least to greatest): L1 3.90\u00a0kW (3.80\u00a0kW to 4.00\u00a0kW), 1.00 of its rating; L2 0.00\u00a0kW (−0.10\u00a0kW to 0.10\u00a0kW), 0.02 of its rating.",
    );
  });

  test("in a gap says that it isn't in the log", () => {
    const given = stretch(4, () => ({ loadW: 100 }));
    given.timesMs[3] += 60_000;
    expect(readDay(dayPicture({ ...given, toMs: DAY.fromMs + 90_000 }, REST), 30).what).toBe(
      "00:00:30: load not in the log.",
    );
  });

  // 1 November 2026 by the IANA time zone database.
  test("on a day on which the clock changes names the zone", () => {
    const day = dayBoundsAt(Date.UTC(2026, 10, 1, 12), clock);
    const picture = {
      ...dayPicture(
        stretch(4, () => ({ loadW: 1 })),
        REST,
      ),
      day,
      fromMs: Date.UTC(2026, 10, 1, 8),
    };
    expect(readDay(picture, 0).where).toBe("01:00:00 MST");
  });
});

describe("in the browser", () => {
  const picture = dayPicture(
    stretch(100, (at) => ({ loadL1W: at, loadL2W: 1 })),
    REST,
  );

  test("the cursor stands at every point, once", () => {
    const stops = live.stops(picture);
    expect(stops[0]).toBe(0);
    expect(stops.length).toBe(new Set(stops).size);
    expect([...stops].sort((a, b) => a - b)).toEqual(stops);
  });

  test("a stretch that was drawn over, either way, is an address to the second", () => {
    expect(live.select!(picture, 40.4, 10.2)).toBe("/sites/alder/2026-05/14?from=00:00:10&to=00:00:40");
    expect(live.select!(picture, -20, 400)).toBe("/sites/alder/2026-05/14?from=00:00:00&to=00:01:40");
    expect(live.select!(picture, 10, 10.2)).toBeNull();
  });

  test("what goes there is plain data", () => {
    expect(JSON.parse(JSON.stringify(picture))).toEqual(picture);
  });
});
