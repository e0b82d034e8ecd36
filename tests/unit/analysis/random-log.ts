import fc from "fast-check";
import type { Source } from "../../../src/analysis/series";
import type { Sample } from "./samples";

const maybe = (max: number) =>
  fc.oneof(
    { weight: 8, arbitrary: fc.double({ min: 0, max, noNaN: true }) },
    { weight: 1, arbitrary: fc.constant(Number.NaN) },
  );

/** Logs of stretches with equal state and load, with gaps, holes and changes of interval. */
export const randomLog = fc
  .array(
    fc.record({
      count: fc.integer({ min: 1, max: 40 }),
      intervalS: fc.constantFrom(1, 10, 10, 60, 300),
      gapS: fc.constantFrom(0, 0, 0, 45, 7200, 90_000),
      source: fc.constantFrom<Source>("inverter", "inverter", "utility", "unknown", "none", "generator"),
      loadL1W: maybe(6000),
      loadL2W: maybe(6000),
      loadL1Va: maybe(6000),
      loadL1PeakW: maybe(9000),
      gridL1W: maybe(2000),
      gridL2W: maybe(2000),
      batteryA: maybe(210),
      batteryV: fc.double({ min: 47, max: 55, noNaN: true }),
      batterySocPct: maybe(100),
      inverterTempC: maybe(80),
      fault: fc.constantFrom(0, 0, 0, 1, 2, 3),
    }),
    { minLength: 10, maxLength: 40 },
  )
  .map((stretches) => {
    const samples: Sample[] = [];
    let s = 0;
    for (const { count, intervalS, gapS, ...values } of stretches) {
      s += gapS;
      for (let i = 0; i < count; i++) {
        s += intervalS;
        samples.push({ s, ...values });
      }
    }
    return samples;
  });

/** Which columns a log has. */
export const LOG_KINDS = ["legs", "total", "volts", "none"] as const;

/** A sample with the columns of a kind of log, as another logger would have written it. */
export function reduced(sample: Sample, kind: (typeof LOG_KINDS)[number]): Sample {
  const { s, source, fault, loadL1W = 0, loadL2W = 0 } = sample;
  if (kind === "legs") return sample;
  if (kind === "total") return { s, source, loadW: loadL1W + loadL2W };
  if (kind === "none") return { s, source, fault, solarW: 100 };
  return {
    s,
    loadL1W,
    loadL2W: source === "none" ? 0 : loadL2W,
    loadL1V: source === "none" ? 5 : 120,
    gridW: 100,
  };
}
