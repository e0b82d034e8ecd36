import { describe, expect, it } from "vitest";
import { review, type Sample, START_MS, seriesOf, steady } from "./samples";

const codes = (samples: readonly Sample[]) => review(seriesOf(samples)).notes.map((note) => note.code);

describe("notes", () => {
  it("say that total and legs disagree where they do for more than a day", () => {
    const apart = (hours: number) => steady(hours, 3600, { loadW: 1100, loadL1W: 600, loadL2W: 400 });
    expect(codes(apart(24))).not.toContain("total-disagrees");
    expect(codes(apart(25))).toContain("total-disagrees");
  });

  it("say that the meters disagree by more than 15 % of what was supplied, either way", () => {
    const day = (solarW: number) =>
      codes(steady(24, 3600, { loadW: 1000, solarW, gridW: 0, source: "inverter" }));
    // Of 1200 W 200 are lost, of 800 W 200 come from nowhere; 0 and 100 W are within 15 %.
    expect(day(1200)).toContain("meters-disagree");
    expect(day(800)).toContain("meters-disagree");
    expect(day(1000)).not.toContain("meters-disagree");
    expect(day(900)).not.toContain("meters-disagree");
  });

  it("hold the return delay to two intervals where those are longer than half a minute", () => {
    const story = (intervalS: number, back: number): Sample[] => [
      ...steady(10, intervalS, { loadL1W: 1000, loadL2W: 500, source: "inverter" }),
      ...steady(5, intervalS, { loadL1W: 4500, loadL2W: 500, source: "utility" }, 10 * intervalS),
      ...steady(back, intervalS, { loadL1W: 1000, loadL2W: 500, source: "utility" }, 15 * intervalS),
      ...steady(10, intervalS, { loadL1W: 1000, loadL2W: 500, source: "inverter" }, (15 + back) * intervalS),
    ];
    // Against 180 s: 300 and 360 s at an interval of a minute, 210 and 220 s at one of ten seconds.
    expect(codes(story(60, 5))).not.toContain("return-delay-differs");
    expect(codes(story(60, 6))).toContain("return-delay-differs");
    expect(codes(story(10, 21))).not.toContain("return-delay-differs");
    expect(codes(story(10, 22))).toContain("return-delay-differs");
  });
});

describe("the coverage of a history (D1)", () => {
  it("goes from its first sample to the end of its last hold, over all of its days", () => {
    const { coverage } = review(seriesOf(steady(60, 3600, { loadW: 1000 }, 7200)));
    expect(coverage).toMatchObject({
      fromMs: START_MS + 7_200_000,
      toMs: START_MS + 7_200_000 + 60 * 3_600_000,
      samples: 60,
      heldS: 216_000,
      ratio: 1,
    });
  });
});

describe("a schedule (D6)", () => {
  it("counts no days on which only the hold of an earlier day's sample goes on", () => {
    const day = 86_400;
    const transfers = [0, 1, 2, 3].flatMap((d): Sample[] => [
      ...steady(5, 60, { loadL1W: 800, loadL2W: 600, source: "inverter" }, d * day + 61_200),
      ...steady(5, 60, { loadL1W: 800, loadL2W: 600, source: "utility" }, d * day + 61_500),
      ...steady(5, 60, { loadL1W: 800, loadL2W: 600, source: "inverter" }, d * day + 61_800),
    ]);
    // Four other days with samples up to half a minute before midnight: the last one stands into the next day.
    const late = [5, 7, 9, 11].flatMap((d): Sample[] => [
      ...steady(3, 60, { loadL1W: 800, loadL2W: 600, source: "inverter" }, d * day - 150),
    ]);
    const { days, transfers: found } = review(seriesOf([...transfers, ...late]));
    expect(days.filter((one) => one.samples === 0)).toHaveLength(4);
    // Three other days of seven with samples; of eleven with any hold it would be too few.
    expect(found.map((one) => one.cause)).toEqual(Array(4).fill("scheduled"));
  });
});
