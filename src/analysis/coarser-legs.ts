import type { LegCell, LegDensity } from "./leg-density";

/**
 * The cells of a density taken together, as many of them on each side as make one of the coarser ones, for a picture
 * whose squares can be told apart. Edges stay multiples of the new width, held time adds up.
 *
 * @param times whole number of cells, 1 or more
 * @throws RangeError for any other
 * @example coarserLegs({ cellW: 50, cells }, 2) // cells of 100 W
 */
export function coarserLegs(
  { cellW, cells }: Pick<LegDensity, "cellW" | "cells">,
  times: number,
): Pick<LegDensity, "cellW" | "cells"> {
  if (!Number.isInteger(times) || times < 1)
    throw new RangeError(`coarserLegs requires a whole number of cells from 1 on, got ${times}`);
  const width = cellW * times;
  const merged = new Map<string, LegCell>();
  for (const { l1W, l2W, heldS, onInverterS } of cells) {
    const l1 = Math.floor(l1W / width) * width;
    const l2 = Math.floor(l2W / width) * width;
    const into = merged.get(`${l1} ${l2}`);
    if (into === undefined) merged.set(`${l1} ${l2}`, { l1W: l1, l2W: l2, heldS, onInverterS });
    else {
      into.heldS += heldS;
      into.onInverterS += onInverterS;
    }
  }
  return { cellW: width, cells: [...merged.values()] };
}
