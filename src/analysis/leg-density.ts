import type { Frame } from "./frame";
import type { Ratings } from "./ratings";
import { SOURCE_CODE, SOURCES, type Source } from "./series";

const { inverter: INVERTER } = SOURCE_CODE;

/** Width of a cell in W, on both sides: a leg of 4 kW has eighty of them, and pictures take several together. */
const CELL_W = 50;

/** Cells lie within ± this many: what is beyond counts in the outermost one. A power of two. */
const MAX_CELL = 1024;

/** Places of one peak in `peaks`: each leg's load, the time, the source. */
const PEAK_PLACES = 4;

/** Peaks of L1, of L2 and of their sum; first those of all rows, then those on inverter. */
const PEAKS = 3;

/** Places of one leg in `full`: time at its limit or above, of it on inverter, and the other leg's headroom. */
const FULL_PLACES = 3;

/**
 * How the loads of both legs go together in one local day, or in days added together. Only what stands in rows with
 * both legs known. Plain data: the cells are an open hash table, whose layout follows from the rows and their order
 * alone.
 */
export type LegDensitySums = {
  /** Cells in use; a free place has −1. The length is a power of two. */
  cells: Int32Array;
  used: number;
  /** Two for each place of `cells`: time held otherwise than on inverter, and on inverter, s. */
  heldS: Float64Array;
  /** The rows with the greatest loads: L1 in W, L2 in W, epoch ms, SOURCE_CODE; NaN where there is none. */
  peaks: Float64Array;
  /** Of L1, then of L2: s with a loading of 1 or more, of them on inverter, W · s of the other leg's headroom. */
  full: Float64Array;
};

/** The rows with a load of a leg's, or of both together, that no other row in the period exceeds. */
export type LegPeak = { l1W: number; l2W: number; atMs: number; source: Source };

/** One cell: loads from `l1W` and `l2W` up to, not including, a cell's width more. */
export type LegCell = { l1W: number; l2W: number; heldS: number; onInverterS: number };

/** Time in which one leg is full, and what is left of the other meanwhile. */
export type FullLeg = {
  /** Held time with a loading of 1 or more, s, and of it on inverter. */
  heldS: number;
  onInverterS: number;
  /** Rating minus load of the other leg in the mean of that time, W; null where there is no such time. */
  otherHeadroomW: number | null;
};

/** How the loads of both legs go together over a period. */
export type LegDensity = {
  /** Width of a cell, W. */
  cellW: number;
  /** Held time with both legs known, s, and of it on inverter. */
  heldS: number;
  onInverterS: number;
  /** Cells with any time, by L1, then by L2, ascending. */
  cells: LegCell[];
  /** Greatest load of L1, of L2 and of both together, with what stood in the row; of equal ones the earliest. */
  peaks: { l1: LegPeak; l2: LegPeak; both: LegPeak };
  /** The same on inverter; null where nothing stood on inverter. */
  peaksOnInverter: { l1: LegPeak; l2: LegPeak; both: LegPeak } | null;
  full: { l1: FullLeg; l2: FullLeg };
};

/** Sums of a day without samples. */
export function createLegDensitySums(): LegDensitySums {
  return {
    cells: new Int32Array(0),
    used: 0,
    heldS: new Float64Array(0),
    peaks: new Float64Array(2 * PEAKS * PEAK_PLACES).fill(Number.NaN),
    full: new Float64Array(2 * FULL_PLACES),
  };
}

/**
 * Adds rows `from` to `to`, which lie in one local day: held time by the loads of both legs, on inverter and in all,
 * the greatest loads, and for how long a leg was full (loading of 1 or more, definitions D3) while the other had
 * headroom. A row with a missing leg counts in nothing; a load on utility is what was asked for.
 *
 * @param ratings in force that day; legLimitW minus the other leg's load is its headroom
 */
export function addLegDensity(
  frame: Frame,
  sums: LegDensitySums,
  ratings: Ratings,
  from: number,
  to: number,
): void {
  const { holdS, source } = frame;
  const { l1W, l2W, l1Loading, l2Loading } = frame.derived;
  const { peaks, full } = sums;
  const { legLimitW } = ratings;
  let { cells, heldS } = sums;
  // The edges of the cell of the row before, in which most rows stay. In a typed array: a number that a loop carries
  // from row to row may be made an object for each row.
  const edges = new Float64Array(4).fill(Number.NaN);
  let place = 0;
  // Whether a load in that cell can be the greatest so far.
  let high = false;
  for (let row = from; row < to; row++) {
    const l1 = l1W[row];
    const l2 = l2W[row];
    if (!(l1 >= edges[0] && l1 < edges[1] && l2 >= edges[2] && l2 < edges[3])) {
      if (Number.isNaN(l1 + l2)) continue;
      const cell1 = Math.floor(l1 / CELL_W);
      const cell2 = Math.floor(l2 / CELL_W);
      edges[0] = cell1 * CELL_W;
      edges[1] = edges[0] + CELL_W;
      edges[2] = cell2 * CELL_W;
      edges[3] = edges[2] + CELL_W;
      const cell = cellOf(cell1, cell2);
      place = placeOf(cells, cell);
      if (place < 0 || cells[place] !== cell) {
        place = takePlace(sums, cell);
        ({ cells, heldS } = sums);
      }
      high = mayBePeak(peaks, edges);
    }
    const onInverter = source[row] === INVERTER;
    const hold = holdS[row];
    heldS[2 * place + (onInverter ? 1 : 0)] += hold;
    if (high) raise(frame, peaks, row);
    if (l1Loading[row] >= 1) addFull(full, 0, hold, onInverter, legLimitW - l2);
    if (l2Loading[row] >= 1) addFull(full, FULL_PLACES, hold, onInverter, legLimitW - l1);
  }
}

/** Adds a later day to the sums of the days before it. */
export function mergeLegDensity(into: LegDensitySums, more: LegDensitySums): void {
  for (let i = 0; i < more.cells.length; i++) {
    const cell = more.cells[i];
    if (cell < 0) continue;
    const place = takePlace(into, cell);
    into.heldS[2 * place] += more.heldS[2 * i];
    into.heldS[2 * place + 1] += more.heldS[2 * i + 1];
  }
  for (let i = 0; i < more.full.length; i++) into.full[i] += more.full[i];
  for (let peak = 0; peak < 2 * PEAKS; peak++) {
    if (!(greatestOf(more.peaks, peak) > greatestOf(into.peaks, peak))) continue;
    const at = peak * PEAK_PLACES;
    into.peaks.set(more.peaks.subarray(at, at + PEAK_PLACES), at);
  }
}

/** What the sums of a period say; null where no held time has both legs. */
export function legDensityOf(sums: LegDensitySums): LegDensity | null {
  const cells: LegCell[] = [];
  let heldS = 0;
  let onInverterS = 0;
  for (const cell of sums.cells.filter((one) => one >= 0).sort()) {
    const place = placeOf(sums.cells, cell);
    const inCellOnInverterS = sums.heldS[2 * place + 1];
    const inCellS = sums.heldS[2 * place] + inCellOnInverterS;
    if (!(inCellS > 0)) continue;
    heldS += inCellS;
    onInverterS += inCellOnInverterS;
    cells.push({
      l1W: (Math.floor(cell / (2 * MAX_CELL)) - MAX_CELL) * CELL_W,
      l2W: ((cell % (2 * MAX_CELL)) - MAX_CELL) * CELL_W,
      heldS: inCellS,
      onInverterS: inCellOnInverterS,
    });
  }
  const peaks = peaksOf(sums.peaks, 0);
  if (cells.length === 0 || peaks === null) return null;
  return {
    cellW: CELL_W,
    heldS,
    onInverterS,
    cells,
    peaks,
    peaksOnInverter: peaksOf(sums.peaks, PEAKS),
    full: { l1: fullOf(sums.full, 0), l2: fullOf(sums.full, FULL_PLACES) },
  };
}

function peaksOf(peaks: Float64Array, from: number): LegDensity["peaksOnInverter"] {
  const peak = (which: number): LegPeak => {
    const at = (from + which) * PEAK_PLACES;
    return { l1W: peaks[at], l2W: peaks[at + 1], atMs: peaks[at + 2], source: SOURCES[peaks[at + 3]] };
  };
  return Number.isNaN(peaks[from * PEAK_PLACES]) ? null : { l1: peak(0), l2: peak(1), both: peak(2) };
}

function fullOf(full: Float64Array, at: number): FullLeg {
  const [heldS, onInverterS, headroom] = full.subarray(at, at + FULL_PLACES);
  return { heldS, onInverterS, otherHeadroomW: heldS > 0 ? headroom / heldS : null };
}

/** The cell of one number from those of both legs, ≥ 0. */
function cellOf(first: number, second: number): number {
  return (clamped(first) + MAX_CELL) * (2 * MAX_CELL) + clamped(second) + MAX_CELL;
}

function clamped(cell: number): number {
  return Math.min(MAX_CELL - 1, Math.max(-MAX_CELL, cell));
}

/** Where a cell is, or the free place where it belongs; −1 in a table without places. */
function placeOf(cells: Int32Array, cell: number): number {
  const mask = cells.length - 1;
  if (mask < 0) return -1;
  let place = hashOf(cell) & mask;
  while (cells[place] !== cell && cells[place] >= 0) place = (place + 1) & mask;
  return place;
}

function hashOf(cell: number): number {
  return Math.imul(cell, 0x9e3779b1) >>> 15;
}

/** The place of a cell, which gets one where it has none; the table grows where it is half full. */
function takePlace(sums: LegDensitySums, cell: number): number {
  let place = placeOf(sums.cells, cell);
  if (place >= 0 && sums.cells[place] === cell) return place;
  if ((sums.used + 1) * 2 > sums.cells.length) {
    grow(sums);
    place = placeOf(sums.cells, cell);
  }
  sums.cells[place] = cell;
  sums.used++;
  return place;
}

function grow(sums: LegDensitySums): void {
  const { cells, heldS } = sums;
  const length = Math.max(64, cells.length * 2);
  sums.cells = new Int32Array(length).fill(-1);
  sums.heldS = new Float64Array(2 * length);
  for (let i = 0; i < cells.length; i++) {
    if (cells[i] < 0) continue;
    const place = placeOf(sums.cells, cells[i]);
    sums.cells[place] = cells[i];
    sums.heldS[2 * place] = heldS[2 * i];
    sums.heldS[2 * place + 1] = heldS[2 * i + 1];
  }
}

/** The load that a peak has so far, −∞ where there is none. */
function greatestOf(peaks: Float64Array, peak: number): number {
  const at = peak * PEAK_PLACES;
  if (Number.isNaN(peaks[at])) return Number.NEGATIVE_INFINITY;
  const which = peak % PEAKS;
  return which === 0 ? peaks[at] : which === 1 ? peaks[at + 1] : peaks[at] + peaks[at + 1];
}

/** Whether a load below the upper edges of a cell can be a peak, on inverter or at all. */
function mayBePeak(peaks: Float64Array, edges: Float64Array): boolean {
  const [, toL1, , toL2] = edges;
  // None on inverter is greater than the greatest of all rows.
  return (
    toL1 > greatestOf(peaks, PEAKS) ||
    toL2 > greatestOf(peaks, PEAKS + 1) ||
    toL1 + toL2 > greatestOf(peaks, PEAKS + 2)
  );
}

/** Takes a row as a peak wherever it is one, of all rows and of those on inverter. */
function raise(frame: Frame, peaks: Float64Array, row: number): void {
  const l1 = frame.derived.l1W[row];
  const l2 = frame.derived.l2W[row];
  const last = frame.source[row] === INVERTER ? 2 * PEAKS : PEAKS;
  for (let peak = 0; peak < last; peak++) {
    const which = peak % PEAKS;
    const value = which === 0 ? l1 : which === 1 ? l2 : l1 + l2;
    if (!(value > greatestOf(peaks, peak))) continue;
    const at = peak * PEAK_PLACES;
    peaks[at] = l1;
    peaks[at + 1] = l2;
    peaks[at + 2] = frame.timesMs[row];
    peaks[at + 3] = frame.source[row];
  }
}

function addFull(
  full: Float64Array,
  at: number,
  holdS: number,
  onInverter: boolean,
  headroomW: number,
): void {
  full[at] += holdS;
  if (onInverter) full[at + 1] += holdS;
  full[at + 2] += Math.max(0, headroomW) * holdS;
}
