import type { LoadDuration } from "../../src/analysis/load-duration";
import { LOAD_DURATION_HEIGHT, loadDurationOption } from "../_charts/load-duration";
import { Drawing, Key } from "./drawing";

/**
 * Load-duration curves of the legs and of both together, with the ratings drawn in.
 *
 * @param limits Ratings in force, W.
 */
export function LoadDurationPicture({
  curves,
  limits,
}: {
  curves: LoadDuration;
  limits: { legLimitW: number; totalLimitW: number };
}) {
  return (
    <Drawing
      label="Load-duration curves of L1, L2 and both together, with a leg’s rating and the rating in all drawn in; the table under it has their figures."
      height={LOAD_DURATION_HEIGHT.wide}
      narrowHeight={LOAD_DURATION_HEIGHT.narrow}
      option={(narrow) => loadDurationOption(curves, limits, narrow)}
      legend={
        <>
          {curves.l1 === null ? null : (
            <Key mark="solid" colour="var(--l1)">
              L1
            </Key>
          )}
          {curves.l2 === null ? null : (
            <Key mark="dashed" colour="var(--l2)">
              L2
            </Key>
          )}
          {curves.total === null ? null : (
            <Key mark="dotted" colour="var(--ink)">
              Total
            </Key>
          )}
        </>
      }
    />
  );
}
