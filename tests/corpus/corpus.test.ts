import { writeFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { type Judgement, judgeCorpusLog, type Outcome } from "./judge-corpus-log";
import { type LogShape, logShapes } from "./log-shapes";
import { writeCorpusLog } from "./write-corpus-log";

// Logs that no code of the sniffer had a part in, and what they truly say. A log counts as right only where every
// instant, unit, sign and channel of it is, or where the one thing that it leaves open was asked.

const LOGS = 120;

/** Two fixed corpora; others by CORPUS_SEEDS=7,8. */
const SEEDS = (process.env.CORPUS_SEEDS ?? "1,2").split(",").map(Number);

describe("the corpus of logs nobody has seen", { timeout: 600_000 }, () => {
  it.each(SEEDS)("is read right in 95 % and nowhere silently wrong (seed %i)", async (seed) => {
    const judged: { shape: LogShape; judgement: Judgement; head: string }[] = [];
    for (const shape of logShapes(seed, LOGS)) {
      const log = writeCorpusLog(shape);
      judged.push({ shape, judgement: await judgeCorpusLog(log), head: headOf(log.text) });
    }
    const count = (outcome: Outcome) => judged.filter((j) => j.judgement.outcome === outcome).length;
    const alone = judged.filter((j) => j.judgement.outcome === "right" && !j.judgement.helped).length;
    console.log(
      `corpus ${seed}: ${judged.length} logs, ${count("right")} right (${alone} without a question), ${count("asked")} asked for more, ` +
        `${count("incomplete")} incomplete, ${count("refused")} refused, ${count("wrong")} wrong`,
    );
    const failures = judged.filter((j) => j.judgement.outcome !== "right");
    for (const { shape, judgement } of failures)
      console.log(`${judgement.outcome}: ${describeShape(shape)}\n    ${said(judgement)}`);
    if (process.env.CORPUS_FAILURES !== undefined) {
      const text = failures.map(
        ({ shape, judgement, head }) =>
          `${judgement.outcome.toUpperCase()} ${describeShape(shape)}\n${said(judgement)}\n${head}\n`,
      );
      writeFileSync(`${process.env.CORPUS_FAILURES}.${seed}.txt`, text.join("\n"));
    }
    // Each is told above, with what differs.
    expect(count("wrong")).toBe(0);
    expect(count("right") / judged.length).toBeGreaterThanOrEqual(0.95);
  });
});

function describeShape(shape: LogShape): string {
  const { id, what, language, unitPlace, powerUnit, dialect, timeForm, intervalS, frame } = shape;
  const framed = Object.entries(frame)
    .filter(([, value]) => value !== false && value !== "")
    .map(([key, value]) => (value === true ? key : `${key}: ${value}`));
  const signs = `battery + ${shape.batterySign}, grid + ${shape.gridSign}`;
  return [
    `#${id} ${what}`,
    `${language}, ${shape.headerLines} header lines`,
    `units ${unitPlace} (${powerUnit})`,
    dialect.id,
    timeForm.id,
    `${intervalS} s for ${shape.hours.toFixed(1)} h`,
    signs,
    shape.zone,
    ...framed,
    ...(shape.descending ? ["descending"] : []),
  ].join(" · ");
}

function said({ problems, asked }: Judgement): string {
  return [...problems, ...(asked.length > 0 ? [`asked: ${asked.join(", ")}`] : [])].join("\n    ");
}

function headOf(text: string): string {
  return text
    .split(/\r\n|\r|\n/)
    .slice(0, 9)
    .map((line) => `    | ${line.slice(0, 220)}`)
    .join("\n");
}
