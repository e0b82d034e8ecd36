import type { LogSource } from "../../src/ingest/log-source";
import type { ColumnMap } from "../../src/site/column-map";

/** A log in memory. `rows` may be lines of any kind; the header is put before them. */
export function smallLog(rows: readonly string[], name = "small.csv"): LogSource & { text: string } {
  const text = `${["Time", "L1 W", "L2 W", "Source", "Fault"].join(",")}\n${rows.map((row) => `${row}\n`).join("")}`;
  return { ...textLog(text, name), text };
}

/** A log of that text, handed over in pieces as a file is. */
export function textLog(text: string, name: string): LogSource {
  const bytes = Buffer.from(text);
  return {
    name,
    sizeBytes: bytes.length,
    async *open() {
      for (let from = 0; from < bytes.length; from += 65_536) yield bytes.subarray(from, from + 65_536);
    },
  };
}

/** Rows every `intervalS` from `fromMs` on: loads wander about, and now and then the utility carries them. */
export function smallRows({
  fromMs,
  samples,
  intervalS = 10,
  change = (row) => row,
}: {
  fromMs: number;
  samples: number;
  intervalS?: number;
  /** Makes another log of the same hours. */
  change?: (row: string, index: number) => string;
}): string[] {
  return Array.from({ length: samples }, (_, index) => {
    const atMs = fromMs + index * intervalS * 1000;
    // By the instant and not by the index, so that logs of the same hours agree.
    const step = Math.floor(atMs / 1000);
    const l1 = 600 + ((step * 7919) % 3700) + (step % 10) / 10;
    const l2 = step % 137 === 0 ? "" : String(300 + ((step * 104_729) % 1900));
    const utility = step % 3600 >= 3000;
    const fault = step % 3600 === 3000 ? (step % 7200 === 3000 ? "E07" : "E12") : "0";
    return change(
      `${new Date(atMs).toISOString()},${l1},${l2},${utility ? "utility" : "inverter"},${fault}`,
      index,
    );
  });
}

/** How the small logs are read. */
export const SMALL_MAP: ColumnMap = {
  version: 1,
  time: { column: "Time", format: "auto", zone: "site", stamps: "start" },
  channels: {
    loadL1W: { column: "L1 W", unit: "W" },
    loadL2W: { column: "L2 W", unit: "W" },
    source: { column: "Source", words: {} },
    faultCode: { column: "Fault", noFault: ["", "0"], words: { E07: "overload" } },
  },
  missing: [""],
};

/** The site that they belong to. */
export const SMALL_SITE = {
  version: 1,
  name: "Alder Creek Pottery",
  timezone: "America/Denver",
  ratings: [{ from: "2026-01-01", legLimitW: 4000 }],
};
