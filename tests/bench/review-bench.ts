import { createReadStream } from "node:fs";
import Papa from "papaparse";
import { reviewLogs } from "../../src/cli/review-logs";
import { fileLogSource } from "../../src/ingest/file-log-source";
import type { ColumnMap } from "../../src/site/column-map";
import type { Site } from "../../src/site/parse-site";
import { type BenchLine, median } from "./bench-line";

const PAIRS = 5;

/**
 * The whole `review` of a log, from file to results, against papaparse over the same file with Number() on
 * every cell but the first and the source's: alternated pairs, median of the ratios.
 *
 * @param textColumns columns that are not numbers
 */
export async function reviewBench(
  log: { path: string; map: ColumnMap; site: Site },
  textColumns: ReadonlySet<number>,
): Promise<BenchLine[]> {
  const ratios: number[] = [];
  const reviews: number[] = [];
  const parses: number[] = [];
  for (let pair = 0; pair < PAIRS; pair++) {
    const parseMs = await timed(() => parseOnly(log.path, textColumns));
    const reviewMs = await timed(async () => {
      const source = await fileLogSource(log.path);
      const review = await reviewLogs(log.site, [{ source, map: log.map, guessed: new Set() }], {
        receivedAtMs: Date.now(),
      });
      if (review.refused || review.result.coverage.samples === 0) throw new Error("the log was not reviewed");
    });
    parses.push(parseMs);
    reviews.push(reviewMs);
    ratios.push(reviewMs / parseMs);
  }
  const seconds = (values: number[]) => values.map((ms) => (ms / 1000).toFixed(1)).join(" ");
  return [
    {
      name: "review against papaparse with Number()",
      value: median(ratios),
      limit: 1.6,
      unit: "×",
      from: `review ${seconds(reviews)} s, papaparse ${seconds(parses)} s`,
    },
  ];
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  globalThis.gc?.();
  const began = performance.now();
  await work();
  return performance.now() - began;
}

/** The file through papaparse with Number() on every cell but the first and those of the columns that hold words. */
export function parseOnly(path: string, textColumns: ReadonlySet<number>): Promise<number> {
  return new Promise((resolve, reject) => {
    let sum = 0;
    Papa.parse<string[]>(createReadStream(path, { encoding: "utf8", highWaterMark: 256 * 1024 }), {
      chunk: ({ data }) => {
        for (const row of data) {
          for (let c = 0; c < row.length; c++) {
            if (!textColumns.has(c)) sum += Number(row[c]);
          }
        }
      },
      complete: () => resolve(sum),
      error: reject,
    });
  });
}
