import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { shareAbove, valueExceeded } from "../../src/analysis/distribution";
import { addLoadDuration, createLoadDurationSums, loadDurationOf } from "../../src/analysis/load-duration";
import { frameOf } from "../unit/analysis/frame-of";
import { openData } from "./open-data";

const FILE = "uci-household/household_power_consumption_2007-02-01_02.txt";
const { paths, missing } = openData(FILE);

/**
 * Individual household electric power consumption, UCI Machine Learning Repository (CC BY 4.0), 1 and 2 February
 * 2007: 2880 minutes, none missing. Ranks (1-based, from the greatest on) and minutes above were recomputed with
 * pandas, apart from this project's code.
 */
describe.skipIf(missing)("load-duration curve of an open household", () => {
  const minutesW = () =>
    readFileSync(paths[FILE], "latin1")
      .trim()
      .split(/\r?\n/)
      .slice(1)
      .map((line) => Math.round(Number(line.split(";")[2]) * 1000));

  function sumsOfHousehold() {
    const frame = frameOf(minutesW().map((loadW, i) => ({ s: i * 60, loadW })));
    const sums = createLoadDurationSums();
    addLoadDuration(frame, sums, 0, frame.sourced);
    return sums;
  }

  it("stands at each rank within half a bin of the sorted minutes", () => {
    const { total } = sumsOfHousehold();
    expect(total.totalS).toBe(172_800);
    for (const [rank, watts] of [
      [1, 7482],
      [288, 2774],
      [1440, 1062],
      [2592, 234],
    ]) {
      expect(Math.abs(valueExceeded(total, rank / 2880) - watts)).toBeLessThanOrEqual(5);
    }
    expect(valueExceeded(total, 0)).toBe(7482);
    expect(valueExceeded(total, 1)).toBe(220);
  });

  it("gives the same loads in the curve that is drawn", () => {
    const curve = loadDurationOf(sumsOfHousehold());
    const at = (share: number) => curve?.total?.exceededW[curve.shares.indexOf(share)] ?? Number.NaN;
    expect(at(0)).toBe(7482);
    expect(Math.abs(at(0.1) - 2774)).toBeLessThanOrEqual(5);
    expect(Math.abs(at(0.5) - 1062)).toBeLessThanOrEqual(5);
    expect(Math.abs(at(0.9) - 234)).toBeLessThanOrEqual(5);
    expect(curve?.l1).toBeNull();
  });

  it("has about as many minutes above each kilowatt as the file", () => {
    const { total } = sumsOfHousehold();
    for (const [watts, minutes] of [
      [1000, 1465],
      [2000, 556],
      [3000, 184],
      [4000, 46],
      [5000, 10],
    ]) {
      // Minutes within half a bin of the mark may count on the other side of it.
      const near = minutesW().filter((one) => Math.abs(one - watts) <= 5).length;
      expect(Math.abs(shareAbove(total, watts) * 2880 - minutes)).toBeLessThanOrEqual(near);
    }
  });
});
