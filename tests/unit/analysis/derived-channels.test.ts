import { describe, expect, it } from "vitest";
import { derivedChannels } from "../../../src/analysis/derived-channels";

describe("derived channels (D2)", () => {
  it("are none of nothing, and none where everything is measured", () => {
    expect(derivedChannels([])).toEqual([]);
    expect(derivedChannels(["loadL1W", "loadL2W", "loadW", "solarW", "batteryW", "gridW"])).toEqual([]);
  });

  it("take the total from the legs, and a leg from the total", () => {
    expect(derivedChannels(["loadL1W", "loadL2W"])).toEqual([{ what: "loadW", from: "loadL1W + loadL2W" }]);
    expect(derivedChannels(["loadL2W", "loadW"])).toEqual([{ what: "loadL1W", from: "loadW − loadL2W" }]);
    expect(derivedChannels(["loadW"])).toEqual([]);
  });

  it("take watts from amperes with the volts that there are", () => {
    expect(derivedChannels(["loadL1A", "loadL2A", "loadL2V", "loadW"])).toEqual([
      { what: "loadL1W", from: "loadL1A · legNominalV" },
      { what: "loadL2W", from: "loadL2A · loadL2V" },
    ]);
  });

  it("take battery, sun and grid from their parts", () => {
    expect(
      derivedChannels(["batteryA", "batteryV", "solar1W", "solar3W", "gridL1W", "gridL2W", "gridL1A"]),
    ).toEqual([
      { what: "batteryW", from: "batteryV · batteryA" },
      { what: "solarW", from: "solar1W + solar3W" },
      { what: "gridW", from: "gridL1W + gridL2W" },
    ]);
    expect(derivedChannels(["gridL1A", "gridL2A", "batteryA"])).toEqual([
      { what: "gridW", from: "gridL1A · V + gridL2A · V" },
    ]);
  });
});
