import type { ContinuousLoad } from "../../src/analysis/continuous-load";
import type { Evidenced } from "../../src/analysis/results";
import { deviceName } from "../../src/report/device-name";
import { capital } from "../../src/report/format";
import { formatDuration } from "../_format/duration";
import { formatInstant, isoLocal } from "../_format/local-time";
import { formatQuantity } from "../_format/number";
import type { Column, Table } from "./table";

type Stretch = Evidenced<ContinuousLoad>;

/** Every stretch in which a protective device carried continuous load, a row each. */
export function continuousLoadStretches(stretches: readonly Stretch[], timezone: string): Table<Stretch> {
  const amperes = (title: string, of: (row: Stretch) => number): Column<Stretch> => ({
    title,
    unit: "A",
    numeric: true,
    text: (row) => formatQuantity(of(row), "A", 1),
    value: of,
  });
  return {
    name: "continuous-load",
    caption: "Continuous load, by protective device",
    rows: stretches,
    columns: [
      {
        title: "From",
        text: (row) => formatInstant(row.fromMs, timezone),
        value: (row) => isoLocal(row.fromMs, timezone),
      },
      { title: "Device", text: (row) => capital(deviceName(row.device)), value: (row) => row.device },
      {
        title: "Lasted",
        unit: "s",
        numeric: true,
        text: (row) => formatDuration(row.durationS),
        value: (row) => row.durationS,
      },
      amperes("Mean", (row) => row.meanA),
      amperes("At most", (row) => row.maxA),
      amperes("Rating", (row) => row.ratingA),
    ],
  };
}
