import { describe, expect, it } from "vitest";
import { headerWords } from "../../../../src/ingest/sniff/header-words";

describe("headerWords", () => {
  it.each([
    ["Leg 1 (W)", ["leg", "1"], "W"],
    ["Battery [A]", ["battery"], "A"],
    ["SOC %", ["soc"], "%"],
    ["load_l1_w", ["load", "l1"], "W"],
    ["loadL1W", ["load", "l1"], "W"],
    ["loadLeg1Watts", ["load", "leg", "1"], "W"],
    ["p_l1", ["p", "l1"], null],
    ["A leg", ["a", "leg"], null],
    ["Leg A", ["leg", "a"], null],
    ["Leg A kW", ["leg", "a"], "kW"],
    ["SoC", ["soc"], null],
    ["Heatsink (°C)", ["heatsink"], "C"],
    ["Batería (V)", ["bateria"], "V"],
    ["Time (UTC)", ["time", "utc"], null],
    ["Import (kWh)", ["import"], "kWh"],
    ["energy_wh", ["energy"], "Wh"],
    ["kW Leg A", ["leg", "a"], "kW"],
    ["Load L1, W", ["load", "l1"], "W"],
    ["P_L1 / kW", ["p", "l1"], "kW"],
    ["W load L1", ["load", "l1"], "W"],
    ["Va", ["va"], null],
    ["Außenleiter 1 Strom in A", ["aussenleiter", "1", "strom", "in"], "A"],
  ])("takes %s apart", (name, words, unit) => {
    expect(headerWords(name)).toEqual({ words, unit, otherUnit: null });
  });

  it.each([
    ["Load (BTU/h)", "BTU/h"],
    ["Capacity (Ah)", "Ah"],
    ["reactive_kvarh", "kvarh"],
  ])("keeps the unit of %s that no channel has", (name, otherUnit) => {
    expect(headerWords(name)).toMatchObject({ unit: null, otherUnit });
  });
});
