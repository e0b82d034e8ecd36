import type { EChartsOption } from "echarts/types/dist/shared";

/**
 * A drawing that goes on living where scripts run: the same option as on the server, and what a cursor on its
 * horizontal axis needs. Values of the axis are those of the option: seconds, or places of a category.
 */
export type Picture<Data> = {
  option(data: Data, narrow: boolean): EChartsOption;
  /** Where the cursor can stand, ascending. */
  stops(data: Data): readonly number[];
  /** The place under the cursor in a few words, and everything there, with units and time. */
  readout(data: Data, at: number): { where: string; what: string };
  /** Address of what is under the cursor; null where there is none. */
  open?(data: Data, at: number): string | null;
  /** Address of a stretch that was selected; null where it is too short to be shown. Absent where none can be. */
  select?(data: Data, from: number, to: number): string | null;
};
