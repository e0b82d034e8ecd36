import type { Frame } from "./frame";

/**
 * Leg load in W at a row: measured, else A · V with V measured or nominal (definitions D2), else NaN.
 * Total − other leg is not tried here.
 */
export function legAt(frame: Frame, leg: "L1" | "L2", row: number, nominalV: number): number {
  const { raw, nan } = frame;
  const measuredW = (leg === "L1" ? (raw.loadL1W ?? nan) : (raw.loadL2W ?? nan))[row];
  if (!Number.isNaN(measuredW)) return measuredW;
  const amps = (leg === "L1" ? (raw.loadL1A ?? nan) : (raw.loadL2A ?? nan))[row];
  const volts = (leg === "L1" ? (raw.loadL1V ?? nan) : (raw.loadL2V ?? nan))[row];
  return amps * (!Number.isNaN(volts) ? volts : nominalV);
}

/** Total load in W at a row: measured, else L1 + L2 (definitions D2), else NaN. */
export function loadAt(frame: Frame, row: number, nominalV: number): number {
  const totalW = (frame.raw.loadW ?? frame.nan)[row];
  if (!Number.isNaN(totalW)) return totalW;
  return legAt(frame, "L1", row, nominalV) + legAt(frame, "L2", row, nominalV);
}

/** Grid power in W at a row: measured, else the sum of its legs, else of its legs' A · V (D2), else NaN. */
export function gridAt(frame: Frame, row: number, nominalV: number): number {
  const { raw, nan } = frame;
  const gridW = (raw.gridW ?? nan)[row];
  if (!Number.isNaN(gridW)) return gridW;
  const legsW = (raw.gridL1W ?? nan)[row] + (raw.gridL2W ?? nan)[row];
  if (!Number.isNaN(legsW)) return legsW;
  const l1V = (raw.loadL1V ?? nan)[row];
  const l2V = (raw.loadL2V ?? nan)[row];
  return (
    (raw.gridL1A ?? nan)[row] * (!Number.isNaN(l1V) ? l1V : nominalV) +
    (raw.gridL2A ?? nan)[row] * (!Number.isNaN(l2V) ? l2V : nominalV)
  );
}
