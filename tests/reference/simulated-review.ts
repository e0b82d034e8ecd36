import type { ReviewResult } from "../../src/analysis/results";
import { createReview } from "../../src/analysis/review";
import type { NumericChannel, Series } from "../../src/analysis/series";
import type { LogSampling, RowBatch } from "../../src/simulate/log-sampler";
import type { Scenario } from "../../src/simulate/parse-scenario";
import { type SimulationOptions, simulate, type TrueEvent } from "../../src/simulate/simulate";
import { parseSite } from "../../src/site/parse-site";

/**
 * A true event, the greatest leg or total loading that the log shows within its window of definitions D6, and
 * whether the log has samples on both sides: one on inverter since the return before, one on utility until its
 * own.
 */
export type SeenEvent = TrueEvent & { shownLoading: number; shownOnBothSides: boolean };

/** What one log of a simulation shows, and what the analysis makes of it. */
export type SimulatedReview = { log: LogSampling; events: SeenEvent[]; result: ReviewResult };

/**
 * One simulated life, sampled into several logs, and what the analysis makes of each, with no file between
 * them: rows go over as the columns that ingest would make of a complete log, with the decimals that the log
 * would have and rounded to float32 once.
 */
export async function simulatedReview(
  scenario: Scenario,
  logs: readonly LogSampling[],
  options: Pick<SimulationOptions, "seed" | "days">,
): Promise<SimulatedReview[]> {
  const parsed = parseSite(scenario.site);
  if (!parsed.ok) throw new RangeError("simulatedReview requires a scenario with a valid site");
  const { site } = parsed;
  const channels = Object.keys(scenario.log.columns).filter(
    (channel): channel is NumericChannel & keyof RowBatch["values"] =>
      channel !== "source" && channel !== "faultCode",
  );
  const simulation = simulate(scenario, { ...options, logs });
  const running = logs.map((log) => ({
    log,
    watch: createWatch(simulation.events, log.intervalS, site.ratings[0]),
    review: createReview({
      zone: site.timezone,
      ratings: site.ratings,
      settings: site.settings,
      channels,
      hasSource: true,
      hasFault: true,
    }),
  }));
  for await (const batch of simulation.batches) {
    const series: Series = {
      timesMs: batch.timesS.slice(0, batch.rows).map((atS) => atS * 1000),
      channels: Object.fromEntries(
        channels.map((channel) => [channel, asLogged(batch, channel, scenario.log.columns[channel])]),
      ),
      sources: batch.sources.slice(0, batch.rows),
      faults: batch.faults.slice(0, batch.rows),
    };
    running[batch.log].watch.push(series);
    running[batch.log].review.push(series);
  }
  const faultWords = simulation.faultCodes.map((code) => ({ code, meaning: null }));
  return running.map(({ log, watch, review }) => ({
    log,
    events: watch.finish(),
    result: review.finish(faultWords).result,
  }));
}

function asLogged(
  batch: RowBatch,
  channel: keyof RowBatch["values"],
  column: { decimals: number } | undefined,
) {
  const values = batch.values[channel];
  const power = 10 ** (column?.decimals ?? 0);
  const logged = new Float32Array(batch.rows);
  for (let i = 0; i < logged.length; i++) logged[i] = Math.round(values[i] * power) / power;
  return logged;
}

/** Notes, per true event, what the samples around it show. Keeps the samples of a window and a batch. */
function createWatch(
  events: readonly TrueEvent[],
  intervalS: number,
  { legLimitW, totalLimitW }: { legLimitW: number; totalLimitW: number },
) {
  const seen: SeenEvent[] = [];
  const beforeS = Math.max(60, 3 * intervalS);
  const afterS = 2 * intervalS;
  let kept: Series[] = [];

  function settle(nowS: number) {
    while (seen.length < events.length && events[seen.length].at + afterS < nowS) {
      const event = events[seen.length];
      const backS = seen.length === 0 ? null : events[seen.length - 1].returnedAt;
      const untilS = event.returnedAt ?? Number.POSITIVE_INFINITY;
      let shownLoading = 0;
      let before = false;
      let after = false;
      for (const { timesMs, channels, sources } of kept) {
        const { loadL1W, loadL2W } = channels;
        if (loadL1W === undefined || loadL2W === undefined || sources === null) continue;
        if (timesMs[timesMs.length - 1] / 1000 < event.at - beforeS) continue;
        for (let i = 0; i < timesMs.length; i++) {
          const atS = timesMs[i] / 1000;
          if (atS < event.at - beforeS) continue;
          if (atS > event.at + afterS) break;
          const totalLoading = (loadL1W[i] + loadL2W[i]) / totalLimitW;
          shownLoading = Math.max(shownLoading, loadL1W[i] / legLimitW, loadL2W[i] / legLimitW, totalLoading);
          if (atS < event.at && (backS === null || atS > backS - intervalS) && sources[i] === 1)
            before = true;
          if (atS > event.at - intervalS && atS < untilS && sources[i] === 2) after = true;
        }
      }
      seen.push({ ...event, shownLoading, shownOnBothSides: before && after });
    }
    while (
      kept.length > 1 &&
      kept[0].timesMs[kept[0].timesMs.length - 1] / 1000 < nowS - beforeS - 2 * afterS
    ) {
      kept = kept.slice(1);
    }
  }

  return {
    push(series: Series) {
      kept.push(series);
      settle(series.timesMs[series.timesMs.length - 1] / 1000);
    },
    finish() {
      settle(Number.POSITIVE_INFINITY);
      return seen.map((event, i) => ({ ...event, returnedAt: events[i].returnedAt }));
    },
  };
}
