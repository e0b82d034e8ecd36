import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { byTime, conformanceCases, expectAgreement } from "./conformance-pack";

const ROOT = resolve(import.meta.dirname, "../..");
const cases = conformanceCases();

function legroom(...words: string[]) {
  return spawnSync(process.execPath, ["--import", "tsx", "src/cli/main.ts", ...words], {
    cwd: ROOT,
    encoding: "utf8",
    maxBuffer: 64 * 1024 * 1024,
  });
}

/** The conformance pack: figures of an independent implementation of the definitions. */
describe.skipIf(cases.length === 0)("the conformance pack on the command line", () => {
  it.each(cases)("agrees with $name", { timeout: 60_000 }, ({ log, site, columns, expected }) => {
    const { status, stdout, stderr } = legroom("review", log, "--site", site, "--columns", columns, "--json");
    expect(status, stderr).toBe(0);
    const review = JSON.parse(stdout);
    expectAgreement(review.coverage, expected.coverage, "coverage");
    expectAgreement(byTime(review.nearLimit, "from"), byTime(expected.nearLimit, "from"), "nearLimit");
    expectAgreement(byTime(review.transfers, "at"), byTime(expected.transfers, "at"), "transfers");
    expectAgreement(review.shares.total, expected.shares.total, "shares.total");
    expectAgreement(review.shares.days, expected.shares.days, "shares.days");
    expectAgreement(review.returnDelay, expected.returnDelay, "returnDelay");
    expectAgreement(review.imbalance, expected.imbalance, "imbalance");
    expectAgreement(review.demand, expected.demand, "demand");
  });

  it("would notice a figure that is off by one part in a thousand", () => {
    const { expected } = cases[0];
    const off = structuredClone(expected.shares.total) as Record<string, number>;
    off.loadKwh *= 1.001;
    expect(() => expectAgreement(off, expected.shares.total, "shares")).toThrow();
  });
});

describe.skipIf(cases.length === 0)("the conformance logs without their column maps", () => {
  it.each(cases)(
    "come out right for $name, or the program asks",
    { timeout: 60_000 },
    ({ log, site, columns, expected }) => {
      // Whether a time stands at the start or the end of its interval no log shows: that alone is given.
      const given = join(mkdtempSync(join(tmpdir(), "legroom-conformance-")), "columns.json");
      const { stamps = "start" } = JSON.parse(readFileSync(columns, "utf8")).time;
      writeFileSync(given, JSON.stringify({ version: 1, time: { stamps } }));
      const { status, stdout, stderr } = legroom("review", log, "--site", site, "--columns", given, "--json");
      rmSync(dirname(given), { recursive: true });
      if (status === 1) {
        // It asks: names what must be settled, prints no result.
        expect(stderr).toMatch(/settle/);
        expect(stdout).toBe("");
        return;
      }
      expect(status, stderr).toBe(0);
      const review = JSON.parse(stdout);
      expectAgreement(review.coverage, expected.coverage, "coverage");
      expectAgreement(byTime(review.nearLimit, "from"), byTime(expected.nearLimit, "from"), "nearLimit");
      expectAgreement(byTime(review.transfers, "at"), byTime(expected.transfers, "at"), "transfers");
      expectAgreement(review.shares.total, expected.shares.total, "shares.total");
    },
  );
});
