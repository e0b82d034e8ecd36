import { readFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import type { LogSampling } from "../../src/simulate/log-sampler";
import { parseScenario } from "../../src/simulate/parse-scenario";
import type { TrueCause } from "../../src/simulate/simulate";
import { type Confusion, confusionOf, recallOf, shownOf } from "./confusion";
import { confusionTable } from "./confusion-table";
import { type SimulatedReview, simulatedReview } from "./simulated-review";

// Stories in which causes come on top of one another, more than the definitions can take apart. The floors are
// what was measured, rounded down: they say what to expect there and hold it. Truth as in confusion-matrix.test.ts.

const MINUTES = 60_000;
const EACH_SECOND: LogSampling = { intervalS: 1, sampling: "instant" };
const EACH_MINUTE: LogSampling = { intervalS: 60, sampling: "mean" };

type Floors = Partial<Record<TrueCause, number>>;

async function measure(file: string, logs: readonly LogSampling[], change: (json: object) => object) {
  const json = JSON.parse(readFileSync(path.join(import.meta.dirname, "scenarios", file), "utf8"));
  const parsed = parseScenario(change(json));
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems, null, 2));
  const reviews: SimulatedReview[][] = logs.map(() => []);
  for (const seed of [1, 2]) {
    for (const [i, review] of (await simulatedReview(parsed.scenario, logs, { seed })).entries()) {
      reviews[i].push(review);
    }
  }
  return logs.map((log, i) => {
    const confusion = confusionOf(reviews[i]);
    console.log(`${file}\n\n${confusionTable({ log, confusion })}`);
    return confusion;
  });
}

function expectRecall(confusion: Confusion, { intervalS }: LogSampling, floors: Floors) {
  for (const [truth, floor] of Object.entries(floors) as [TrueCause, number][]) {
    expect(shownOf(confusion, truth), truth).toBeGreaterThanOrEqual(30);
    expect(recallOf(confusion, truth, intervalS), `${truth} at ${intervalS} s`).toBeGreaterThanOrEqual(floor);
  }
}

describe("a busy month whose inrush is all real power and whose battery gives out as its legs do", () => {
  // Rule 2 of D6 stands before rules 3 to 6 and looks back a minute: an inrush that a sample caught makes the motor
  // start, the DC limit or the schedule an overload. At a minute the DC limit is over within one mean.
  it(
    "has its overloads, low batteries and faults found, under half of its motor starts",
    async () => {
      const [second, minute] = await measure("busy-month.json", [EACH_SECOND, EACH_MINUTE], (json) => json);
      expectRecall(second, EACH_SECOND, {
        overload: 0.98,
        "low-battery": 0.98,
        fault: 0.98,
        scheduled: 0.8,
        "dc-limit": 0.6,
        "motor-start": 0.42,
      });
      expectRecall(minute, EACH_MINUTE, {
        overload: 0.93,
        "low-battery": 0.98,
        fault: 0.98,
        scheduled: 0.9,
        "motor-start": 0.6,
      });
      expect(second.spurious + minute.spurious).toBe(0);
      // Measured 31 of 593: the start stands in the last sample on inverter, whose rise rule 5 doesn't look at, and
      // so isn't in alsoHolds beside the overload.
      expect(second.seenWrong / second.seen).toBeLessThanOrEqual(0.055);
      expect(minute.seenWrong / minute.seen).toBeLessThanOrEqual(0.04);
      // A third of the inrush that tripped the inverter stands in no sample at one second.
      expect(second.inrushUnseen / second.inrush).toBeGreaterThanOrEqual(0.3);
    },
    5 * MINUTES,
  );
});

describe("a workshop in March whose battery runs low while its machines start", () => {
  it(
    "keeps nine in ten of its low batteries, the others found as what stands earlier in the rules",
    async () => {
      const [second] = await measure("workshop-in-march.json", [EACH_SECOND], (json) => json);
      expectRecall(second, EACH_SECOND, {
        overload: 0.98,
        "low-battery": 0.95,
        fault: 0.98,
        scheduled: 0.87,
        "dc-limit": 0.5,
        "motor-start": 0.44,
      });
      const found = second.counts["low-battery"];
      expect(found["motor-start"] + found["load-step"] + found.scheduled + found.unexplained).toBe(0);
    },
    5 * MINUTES,
  );
});

describe("the creamery with a relay that is over a tenth of a second after the motor's start", () => {
  // One sample in ten then shows the start while the source is still the inverter. Rule 5 of D6 looks for the rise from
  // the last sample on inverter onwards, and this one came before it: what is left is rule 7. Measured 0.766 of 47
  // with two seeds, 0.880 of 133 with six.
  it(
    "has a sixth of its motor starts called overloads at a second",
    async () => {
      const [second] = await measure("creamery-in-september.json", [EACH_SECOND], (json) => ({
        ...json,
        inverter: { ...(json as { inverter: object }).inverter, surgeTransferS: 0.1 },
      }));
      expectRecall(second, EACH_SECOND, { overload: 0.98, "motor-start": 0.75 });
      expect(second.counts["motor-start"].overload).toBeGreaterThan(0);
      expect(second.seenWrong / second.seen).toBeLessThanOrEqual(0.01);
    },
    5 * MINUTES,
  );
});

describe("the creamery with 1.5 kW more on L1 all day, so that its motors start on a loaded leg", () => {
  // The start's real power then lies above the rating where a sample catches it, and its running load near it:
  // an overload by rule 2, with the motor start beside it in alsoHolds.
  it(
    "has half of its motor starts called overloads, and still names the start beside them",
    async () => {
      const [second] = await measure("creamery-in-september.json", [EACH_SECOND], (json) => ({
        ...json,
        baseLoad: { L1W: 1500, L2W: 180 },
      }));
      expectRecall(second, EACH_SECOND, {
        overload: 0.98,
        "low-battery": 0.98,
        fault: 0.98,
        "motor-start": 0.4,
      });
      expect(second.counts["motor-start"].overload).toBeGreaterThan(0);
      expect(second.seenWrong / second.seen).toBeLessThanOrEqual(0.01);
    },
    5 * MINUTES,
  );
});
