import { describe, expect, it } from "vitest";
import { createBatteryBank } from "../../src/simulate/battery-bank";

/** Common practice, no source: about 11.7 kW out of a 48 V-class battery draws about 230 A. */
describe("battery current of a load", () => {
  it.each([
    [0.94, 52],
    [0.95, 52.5],
    [0.96, 53],
  ])("is P / (η · V): within 5 %% of 230 A for η %d at %d V", (efficiency, volts) => {
    const amps = 11_700 / (efficiency * volts);
    expect(Math.abs(amps - 230) / 230).toBeLessThan(0.05);
  });

  it("comes out of the simulated bank, sag and all", () => {
    const bank = createBatteryBank({
      cells: 16,
      capacityAh: 400,
      resistanceOhm: 0.001,
      chargeEfficiency: 0.97,
      maxDischargeA: 300,
      maxChargeA: 120,
      startSocPct: 80,
    } as Parameters<typeof createBatteryBank>[0]);
    bank.step(11_700 / 0.96);
    expect(bank.v).toBeGreaterThan(52);
    expect(bank.v).toBeLessThan(53);
    expect(Math.abs(bank.a - 230) / 230).toBeLessThan(0.05);
  });
});
