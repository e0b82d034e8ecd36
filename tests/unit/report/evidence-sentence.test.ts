import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { evidenceSentence } from "../../../src/report/evidence-sentence";
import { clockOf } from "../../../src/report/format";
import { noteSentence } from "../../../src/report/note-sentence";

const clock = clockOf("America/Denver");
const ANALYSIS = resolve(import.meta.dirname, "../../../src/analysis");

/** Codes that the analysis writes into evidence and notes. */
function codesOfAnalysis(): { evidence: string[]; notes: string[] } {
  const source = readdirSync(ANALYSIS)
    .filter((name) => name.endsWith(".ts"))
    .map((name) => readFileSync(join(ANALYSIS, name), "utf8"))
    .join("\n");
  const all = (pattern: RegExp) => [...new Set([...source.matchAll(pattern)].map((match) => match[1]))];
  return {
    evidence: all(/code: "([a-z-]+)"/g),
    notes: all(/\badd\(\s*"([a-z-]+)"/g),
  };
}

describe("evidence and notes in words", () => {
  const { evidence, notes } = codesOfAnalysis();

  it("finds the codes that the analysis gives", () => {
    expect(evidence.length).toBeGreaterThan(12);
    expect(notes.length).toBeGreaterThan(8);
  });

  it.each(evidence)("has a sentence for %s", (code) => {
    const text = evidenceSentence({ code, figures: { atMs: 0 } }, clock);
    expect(text.startsWith(`${code}:`)).toBe(false);
    expect(text).toMatch(/[.]$/);
  });

  it.each(notes)("has a sentence for the note %s", (code) => {
    const text = noteSentence({ code, figures: { fromMs: 0 } }, clock);
    expect(text.startsWith(`${code}:`)).toBe(false);
    expect(text).toMatch(/[.]$/);
  });

  it("says the figures that the evidence carries", () => {
    expect(
      evidenceSentence(
        {
          code: "peak-loading",
          figures: {
            quantity: "L1",
            loading: 1.15,
            loadW: 4600,
            atMs: Date.UTC(2026, 4, 15, 0, 2, 5),
            near: true,
          },
        },
        clock,
      ),
    ).toBe("L1 reached 1.15 of its limit (4.60 kW) at 18:02:05.");
    expect(
      evidenceSentence({ code: "without-grid", figures: { onUtilityS: 360, lowerBound: false } }, clock),
    ).toBe("Without a grid the loads would have been dead for 6 min, or longer.");
    expect(
      evidenceSentence(
        { code: "allowance-used", figures: { usedBefore: 0.2, usedHidden: 0.1, intervalS: 1 } },
        clock,
      ),
    ).toBe(
      "Of the overload allowance on the nameplate at most 30 % was used: by it the inverter should have carried this.",
    );
  });
});
