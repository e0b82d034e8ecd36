import type { ReviewResult } from "../../src/analysis/results";
import { createReview } from "../../src/analysis/review";
import type { NumericChannel, Series } from "../../src/analysis/series";
import type { Scenario } from "../../src/simulate/parse-scenario";
import { type SimulationOptions, simulate, type TrueEvent } from "../../src/simulate/simulate";
import { parseSite } from "../../src/site/parse-site";

/** A true event, and the greatest leg or total loading that the log shows within its window of definitions D6. */
export type SeenEvent = TrueEvent & { shownLoading: number; shownOnBothSides: boolean };

/**
 * A simulation and what the analysis makes of it, with no file between them: rows go over as the columns that
 * ingest would make of a complete log, rounded to float32 once.
 */
export async function simulatedReview(
  scenario: Scenario,
  options: SimulationOptions,
): Promise<{ events: SeenEvent[]; result: ReviewResult }> {
  const parsed = parseSite(scenario.site);
  if (!parsed.ok) throw new RangeError("simulatedReview requires a scenario with a valid site");
  const { site } = parsed;
  const channels = Object.keys(scenario.log.columns).filter(
    (channel): channel is NumericChannel => channel !== "source" && channel !== "faultCode",
  );
  const simulation = simulate(scenario, options);
  const review = createReview({
    zone: site.timezone,
    ratings: site.ratings,
    settings: site.settings,
    channels,
    hasSource: true,
    hasFault: true,
  });
  const intervalS = options.intervalS ?? scenario.log.intervalS;
  const watch = createWatch(
    simulation.events,
    intervalS,
    site.ratings[0].legLimitW,
    site.ratings[0].totalLimitW,
  );
  for await (const batch of simulation.batches) {
    const series: Series = {
      timesMs: Float64Array.from(batch.timesS.subarray(0, batch.rows), (atS) => atS * 1000),
      channels: Object.fromEntries(
        channels.map((channel) => [
          channel,
          Float32Array.from(batch.values[channel as keyof typeof batch.values].subarray(0, batch.rows)),
        ]),
      ),
      sources: batch.sources.slice(0, batch.rows),
      faults: batch.faults.slice(0, batch.rows),
    };
    watch.push(series);
    review.push(series);
  }
  const faultWords = simulation.faultCodes.map((code) => ({ code, meaning: null }));
  const { result } = review.finish(faultWords);
  return { events: watch.finish(), result };
}

/** Notes, per true event, what the samples around it show. Keeps one window of samples. */
function createWatch(
  events: readonly TrueEvent[],
  intervalS: number,
  legLimitW: number,
  totalLimitW: number,
) {
  const seen: SeenEvent[] = [];
  const beforeS = Math.max(60, 3 * intervalS);
  let recent: { atS: number; loading: number; source: number }[] = [];

  function settle(nowS: number) {
    while (seen.length < events.length && events[seen.length].at + 2 * intervalS < nowS) {
      const event = events[seen.length];
      const window = recent.filter(({ atS }) => atS >= event.at - beforeS && atS <= event.at + 2 * intervalS);
      const before = window.filter(({ atS, source }) => atS < event.at && source === 1);
      const after = window.filter(({ atS, source }) => atS > event.at - intervalS && source === 2);
      seen.push({
        ...event,
        shownLoading: Math.max(0, ...window.map(({ loading }) => loading)),
        shownOnBothSides: !event.inGap && before.length > 0 && after.length > 0,
      });
    }
    recent = recent.filter(({ atS }) => atS >= nowS - beforeS - 3 * intervalS);
  }

  return {
    push(series: Series) {
      const { loadL1W, loadL2W } = series.channels;
      if (loadL1W === undefined || loadL2W === undefined || series.sources === null) return;
      for (let i = 0; i < series.timesMs.length; i++) {
        const l1W = loadL1W[i];
        const l2W = loadL2W[i];
        const loading = Math.max(l1W / legLimitW, l2W / legLimitW, (l1W + l2W) / totalLimitW);
        recent.push({ atS: series.timesMs[i] / 1000, loading, source: series.sources[i] });
        if (recent.length > 4096) settle(series.timesMs[i] / 1000);
      }
      settle(series.timesMs[series.timesMs.length - 1] / 1000);
    },
    finish() {
      settle(Number.POSITIVE_INFINITY);
      return seen.map((event, i) => ({ ...event, returnedAt: events[i].returnedAt }));
    },
  };
}
