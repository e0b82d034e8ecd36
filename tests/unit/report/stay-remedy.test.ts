import { describe, expect, it } from "vitest";
import { clockOf } from "../../../src/report/format";
import { stayRemedy, type TransferStay } from "../../../src/report/stay-remedy";

/* The arithmetic of each sentence stands beside its test; there is no outside source. */

const clock = clockOf("America/Denver");
/** 14 May, 19:26 in Denver. */
const AT = Date.UTC(2026, 4, 15, 1, 26);
const minute = (minutes: number) => AT + minutes * 60_000;
const peak = (loadW: number, minutes: number, limitW = 4000) => ({ loadW, atMs: minute(minutes), limitW });

const stay = (over: Partial<TransferStay> = {}): TransferStay => ({
  toMs: minute(65),
  returned: true,
  L1: peak(5540, 40),
  L2: peak(1300, 52),
  total: peak(6600, 40, 8000),
  ...over,
});

const said = (over: Partial<TransferStay> = {}, limiting: "L1" | "L2" | "total" = "L1") =>
  stayRemedy(stay(over), limiting, AT, clock);

describe("what it would have taken to stay on the inverter for what came after", () => {
  it("says how much less on the leg over the whole stay, and that the other had room for it", () => {
    // 5,540 − 4,000 = 1,540 W over; 4,000 − 1,300 = 2,700 W left.
    expect(said()).toBe(
      "To have stayed on the inverter for what came after (up to the return at 20:31), 1.54 kW less on L1: L1 asked for 5.54 kW at 20:06, and its limit was 4.00 kW. L2 had 2.70 kW left at least (1.30 kW at most, at 20:18), so it would fit.",
    );
  });

  it("says that balance alone isn't enough where the other leg had less left, or nothing", () => {
    // 4,000 − 3,200 = 800 W, under 1,540 W.
    expect(said({ L2: peak(3200, 52) })).toMatch(
      / L2 had only 800 W left at its own greatest load then, 3\.20 kW at 20:18, so it would not fit: balance alone isn't enough\.$/,
    );
    expect(said({ L2: peak(4100, 52) })).toMatch(
      / L2 had nothing left at its own greatest load then, 4\.10 kW/,
    );
    // 1,540 W and not a watt less.
    expect(said({ L2: peak(2460, 52) })).toMatch(/so it would fit\.$/);
    expect(said({ L2: peak(2461, 52) })).toMatch(/so it would not fit/);
  });

  it("says so where both legs together were above the limit in all, though the other leg had room", () => {
    expect(said({ total: peak(6600, 40, 6500) })).toMatch(
      / L2 had 2\.70 kW left at least, but both legs together asked for 6\.60 kW at 20:06, above the 6\.50 kW in all: balance alone isn't enough\.$/,
    );
  });

  it("asks for nothing more where the stay wasn't above the limit", () => {
    expect(said({ L1: peak(3800, 3) })).toBe(
      "To have stayed on the inverter for what came after (up to the return at 20:31) nothing more would have had to go: L1 asked for 3.80 kW at most, at 19:29, and its limit was 4.00 kW.",
    );
  });

  it("speaks of both legs where the total was at its limit, and moves nothing between them", () => {
    expect(said({ total: peak(8500, 3, 8000) }, "total")).toBe(
      "To have stayed on the inverter for what came after (up to the return at 20:31), 500 W less in all: both legs together asked for 8.50 kW at 19:29, and their limit was 8.00 kW.",
    );
    expect(said({}, "total")).toMatch(
      /nothing more would have had to go: both legs together asked for 6\.60 kW/,
    );
  });

  it("says where what is known of the stay ends, with the day where it is another one", () => {
    expect(said({ returned: false, toMs: minute(300) })).toMatch(
      /came after \(up to 15 May, 00:26, where what the log shows of it ends\), 1\.54 kW less/,
    );
  });

  it("says that the other leg isn't in the log, and nothing where the leg itself isn't", () => {
    expect(said({ L2: null })).toMatch(/What L2 had left the log doesn't show\.$/);
    expect(said({ L1: null })).toBeNull();
  });
});
