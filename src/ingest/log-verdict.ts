import type { ErrorCode } from "./error-catalogue";
import type { CoarseCounter } from "./power-from-energy";
import type { Refusal } from "./refusal";
import type { RejectedRow } from "./rejects";
import type { RecordCounts } from "./row-taker";
import type { LogShape } from "./sample-sink";

/** A remark on a log that costs no row: `series.sorted`, `solar-below-zero`, `series.counter-coarse`. */
export type LogNote =
  | { readonly code: "series.sorted"; readonly figures: { readonly samples: number } }
  | { readonly code: "series.counter-coarse"; readonly figures: CoarseCounter }
  | { readonly code: "solar-below-zero"; readonly figures: { readonly cells: number } };

/** What became of one log. */
export type LogVerdict =
  | {
      readonly refused: true;
      readonly name: string;
      readonly problem: Refusal;
    }
  | {
      readonly refused: false;
      readonly name: string;
      /** records = taken + duplicates + conflicts + rejected + skipped. */
      readonly counts: Readonly<RecordCounts>;
      readonly codes: { readonly [C in ErrorCode]?: number };
      /** At most MAX_REJECT_INSTANCES; the counts are exact. */
      readonly rejects: readonly RejectedRow[];
      readonly notes: readonly LogNote[];
      /** Of the samples handed to the sink; null where there is none. */
      readonly firstMs: number | null;
      readonly lastMs: number | null;
      /** Median difference of the first 1,000 samples (definitions D1); null under two samples. */
      readonly nominalMs: number | null;
      readonly shape: LogShape;
    };
