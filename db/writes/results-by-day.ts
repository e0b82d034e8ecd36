import { createHash } from "node:crypto";
import { serialize } from "node:v8";
import { deflateRawSync } from "node:zlib";
import type { Found } from "../../src/analysis/found";
import { createLocalClock } from "../../src/analysis/local-time";
import { passConfig } from "../../src/analysis/pass-config";
import { createReviewByDay } from "../../src/analysis/review-by-day";
import { createReviewPass, type PassOptions } from "../../src/analysis/review-pass";
import type { FaultWord, Series } from "../../src/analysis/series";
import type { LoggersSink } from "../samples/read-loggers";

/** What a pass over a site's samples came to, in the segments in which it is stored. */
export type ComputedResults = {
  options: Omit<PassOptions, "state">;
  /** The midnight it went on from; null where it began at the beginning. */
  fromMs: number | null;
  /** The midnight at which it stood as an earlier pass had; null where it went to the end. */
  untilMs: number | null;
  segments: { sinceMs: number; found: Found }[];
  kept: KeptMidnight[];
  /** Hash of everything beside the samples that it depended on. */
  passConfig: string;
  nominalMs: number;
  faultWords: readonly FaultWord[];
};

/** Where a pass stood at a midnight, as it is stored. */
export type KeptMidnight = { midnightMs: number; passConfig: string; state: Buffer };

/** A pass by day whose findings and states are collected for storing. */
export type ResultsByDay = {
  /** Takes the next samples; true where the rest need not be read. */
  push(series: Series): boolean;
  /** Takes several loggers as they are read together. */
  several: LoggersSink;
  /**
   * Ends it. Where the battery's stock began with the wrong SOC there are no results: the pass is to be run
   * from the beginning with `otherFirstSocPct`.
   */
  finish(
    faultWords: readonly FaultWord[],
  ): { results: ComputedResults } | { results: null; otherFirstSocPct: number | null };
};

/** Before the first midnight. */
export const BEGINNING_MS = -Number.MAX_SAFE_INTEGER;

/**
 * Runs the pass over samples, keeping its state at every local midnight.
 *
 * @param fromMs midnight of `options.state`; null with none
 * @param isKnown whether a state at a midnight is the one that an earlier pass kept there, so that all that
 *   follows is as it was; never asked where absent
 */
export function createResultsByDay(
  options: PassOptions,
  fromMs: number | null,
  isKnown?: (kept: KeptMidnight) => boolean,
): ResultsByDay {
  const clock = createLocalClock(options.zone);
  const pass = createReviewPass(options);
  const segments: ComputedResults["segments"] = [];
  const kept: KeptMidnight[] = [];
  let untilMs: number | null = null;
  const since = (ms: number) => (Number.isNaN(ms) ? BEGINNING_MS : ms);
  const byDay = createReviewByDay(pass, clock, fromMs ?? Number.NaN, ({ atMs, found, sinceMs, state }) => {
    segments.push({ sinceMs: since(sinceMs), found });
    const midnight = {
      midnightMs: atMs,
      passConfig: configHash(passConfig(options, clock, atMs)),
      state: deflateRawSync(serialize(state), { level: 1 }),
    };
    kept.push(midnight);
    if (isKnown?.(midnight) !== true) return false;
    untilMs = atMs;
    return true;
  });

  return {
    push: (series) => byDay.push(series),
    several: {
      push: (logger, series) => pass.push(series, logger),
      end: (logger) => pass.endLogger(logger),
      waits: () => pass.waits(),
      midnight: (atMs) => byDay.midnight(atMs),
    },
    finish(faultWords) {
      if (untilMs === null) {
        const { found, sinceMs } = byDay.end();
        segments.push({ sinceMs: since(sinceMs), found });
      }
      const other = pass.otherFirstSocPct();
      if (other !== undefined) return { results: null, otherFirstSocPct: other };
      const { state: _, ...given } = options;
      return {
        results: {
          options: given,
          fromMs,
          untilMs,
          segments,
          kept,
          passConfig: configHash(passConfig(options, clock, Number.POSITIVE_INFINITY)),
          nominalMs: pass.nominalMs(),
          faultWords,
        },
      };
    },
  };
}

/** Short form of a configuration, to compare with a stored one. */
export function configHash(config: string): string {
  return createHash("sha256").update(config).digest("base64");
}
