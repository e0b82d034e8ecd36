import { describe, expect, it } from "vitest";
import type { Series } from "../../../src/analysis/series";
import { review, seriesOf, steady } from "./samples";

const calm = { source: "inverter", loadL1W: 1000, loadL2W: 1000 } as const;

/** Whatever the chunks, the causes of the transfers are these. */
function expectCauses(series: Series, causes: readonly string[]): void {
  const whole = review(series);
  expect(whole.transfers.map((one) => one.cause)).toEqual(causes);
  for (const chunk of [1, 100, 1001]) expect(review(series, { chunk })).toEqual(whole);
}

describe("a pass whose log changes its interval", () => {
  it("looks back no further than three of the shorter intervals where it comes to be longer", () => {
    const series = seriesOf([
      ...steady(1050, 10, calm),
      ...steady(1, 10, { ...calm, loadL1W: 4100 }, 10_500),
      ...steady(49, 10, calm, 10_510),
      // From here on every five minutes: three of those would reach back to the overload, which isn't kept so long.
      ...steady(2, 300, { ...calm, source: "utility" }, 11_000),
      ...steady(150, 300, calm, 11_600),
    ]);
    expectCauses(series, ["unexplained"]);
  });

  it("looks back three of the longer intervals from the last of them where it comes to be shorter", () => {
    const series = seriesOf([
      ...steady(1050, 300, calm),
      ...steady(1, 300, { ...calm, loadL1W: 4100 }, 315_000),
      ...steady(1, 300, calm, 315_300),
      ...steady(1, 300, { ...calm, source: "utility" }, 315_600),
      // Not yet odd for the longer interval, so that the transfer has it still while it waits for its window's end.
      ...steady(400, 1, calm, 315_800),
    ]);
    expectCauses(series, ["overload"]);
  });
});
