import { describe, expect, it } from "vitest";
import { type AvailableLogger, channelsOfLoggers } from "../../../src/analysis/channels-of-loggers";
import { createUnionState } from "../../../src/analysis/union-loggers";

const MAIN: AvailableLogger = {
  name: "main",
  channels: ["loadL1W", "loadL2W", "gridW"],
  hasSource: true,
  hasFault: true,
};
const METER: AvailableLogger = {
  name: "meter",
  channels: ["gridW", "gridV"],
  hasSource: false,
  hasFault: false,
};
const SECOND: AvailableLogger = { name: "second", channels: ["solarW"], hasSource: true, hasFault: true };

describe("the channels that count where a site has several loggers (D1)", () => {
  it("come from the first logger in the site's order", () => {
    const { loggers, passedOver } = channelsOfLoggers([MAIN, METER], [{ name: "meter" }, { name: "main" }]);
    expect(loggers).toEqual([
      { index: 1, name: "meter", channels: ["gridW", "gridV"], hasSource: false, hasFault: false },
      { index: 0, name: "main", channels: ["loadL1W", "loadL2W"], hasSource: true, hasFault: true },
    ]);
    expect(passedOver).toEqual([{ channel: "gridW", logger: "main", by: "meter" }]);
  });

  it("are limited to those that the site lists, and what is kept out is no conflict", () => {
    const { loggers, passedOver } = channelsOfLoggers(
      [MAIN, METER],
      [{ name: "main", channels: ["loadL1W", "loadL2W", "source"] }, { name: "meter" }],
    );
    expect(loggers).toEqual([
      { index: 0, name: "main", channels: ["loadL1W", "loadL2W"], hasSource: true, hasFault: false },
      { index: 1, name: "meter", channels: ["gridW", "gridV"], hasSource: false, hasFault: false },
    ]);
    expect(passedOver).toEqual([]);
  });

  it("come last from loggers that the site doesn't name, in their own order, where nobody else gives them", () => {
    const other = { ...METER, name: "other", channels: ["gridV", "solarW"] as const };
    const { loggers, passedOver } = channelsOfLoggers([other, SECOND, MAIN], [{ name: "main" }]);
    expect(loggers.map(({ name, channels }) => [name, channels])).toEqual([
      ["main", ["loadL1W", "loadL2W", "gridW"]],
      ["other", ["solarW", "gridV"]],
    ]);
    expect(passedOver).toEqual([
      { channel: "solarW", logger: "second", by: "other" },
      { channel: "source", logger: "second", by: "main" },
      { channel: "faultCode", logger: "second", by: "main" },
    ]);
  });

  it("leave out a logger of which nothing counts", () => {
    const { loggers } = channelsOfLoggers(
      [MAIN, METER],
      [{ name: "main" }, { name: "meter", channels: ["solarW"] }],
    );
    expect(loggers.map(({ name }) => name)).toEqual(["main"]);
  });

  it("are all of a logger that is alone, in the order of columns, whatever the site calls it", () => {
    const shuffled = { ...MAIN, channels: ["gridW", "loadL2W", "loadL1W"] as const };
    expect(channelsOfLoggers([shuffled], []).loggers).toEqual([{ index: 0, ...MAIN }]);
    expect(channelsOfLoggers([], [{ name: "main" }])).toEqual({ loggers: [], passedOver: [] });
  });

  it("make a union", () => {
    const { loggers } = channelsOfLoggers([SECOND, METER, MAIN], [{ name: "main" }]);
    expect(() => createUnionState(loggers)).not.toThrow();
  });
});
