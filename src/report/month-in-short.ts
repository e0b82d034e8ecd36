import type { Statement, Summary } from "./month-summary";

/** Covered less than this, the first thing to know of a month is how little of it is known. */
const WELL_COVERED = 0.99;

/**
 * The few statements of a month that answer an owner's questions, in the order in which they are asked: how much of it
 * is known, why the loads went over, could it be spared, how near to the limit, how much came from the sun, was it
 * better before. The others are read by whoever wants them.
 */
export function monthInShort({ statements, coverage }: Summary): Statement[] {
  const of = (code: string) => statements.filter((one) => one.code === code);
  // In the order of how often, as they stand in the summary.
  const causes = statements.filter(({ code }) => code.startsWith("cause-"));
  const sun = of("solar-fraction");
  return [
    ...(coverage === null || coverage < WELL_COVERED ? of("coverage") : []),
    ...causes.slice(0, 2),
    ...of("avoidable"),
    ...of("dropouts"),
    ...of("peak-loading"),
    ...(sun.length > 0 ? sun : of("energy")),
    ...of("month-before"),
  ];
}
