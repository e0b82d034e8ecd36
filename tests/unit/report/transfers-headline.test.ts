import { describe, expect, it } from "vitest";
import { clockOf } from "../../../src/report/format";
import { transfersHeadline } from "../../../src/report/transfers-headline";
import { review, type Sample, seriesOf, steady } from "../analysis/samples";

const clock = clockOf("America/Denver");

/** One overload of L1 that begins at `s`. */
const overload = (s: number): Sample[] => [
  ...steady(20, 60, { loadL1W: 1500, loadL2W: 900, source: "inverter" }, s - 1200),
  ...steady(5, 60, { loadL1W: 4600, loadL2W: 900, source: "utility" }, s),
  ...steady(20, 60, { loadL1W: 1500, loadL2W: 900, source: "inverter" }, s + 300),
];

describe("why the loads keep going over", () => {
  it("names the one cause, what could have been avoided, and the time on the utility", () => {
    const { transfers } = review(seriesOf(overload(7200)));
    expect(transfersHeadline(transfers, clock)).toBe(
      "1 transfer, all with the cause overload. One could have been avoided, 1 of them with L1 full. Time on the utility in all: 5 min.",
    );
  });

  it("names the hour that stands out", () => {
    const day = 86_400;
    const samples = [0, 1, 2].flatMap((n) => overload(n * day + 64_800));
    const { transfers } = review(seriesOf(samples));
    expect(transfersHeadline(transfers, clock)).toContain("3 began between 18:00 and 19:00.");
  });
});
