import { describe, expect, it } from "vitest";
import { copperCable } from "../../../src/analysis/copper-cable";

describe("copper cable", () => {
  it.each(["4/0", " 4/0 AWG", "AWG 4/0", "#4/0", "4/0awg"])("is found as people write it: %s", (size) => {
    expect(copperCable(size)?.size).toBe("4/0 AWG");
  });

  it.each(["250", "250 kcmil", "250 MCM", "250kcmil"])("is found in kcmil: %s", (size) => {
    expect(copperCable(size)?.size).toBe("250 kcmil");
  });

  it.each(["", "35 mm2", "35 mm²", "5/0", "4 kcmil", "2/0 x 2", "300 kcmil"])("isn't guessed: %s", (size) => {
    expect(copperCable(size)).toBeNull();
  });
});
