import { describe, expect, it } from "vitest";
import type { Finding } from "../../../src/analysis/finding";
import { findingBasis } from "../../../src/report/finding-basis";

const finding = (coverage: number | null, settings: Finding["settings"] = {}): Finding => ({
  code: "nuisance",
  figures: { count: 1, of: 2 },
  coverage,
  intervalS: 60,
  settings,
});

describe("what a figure stands on", () => {
  it("names how much is known only where that is less than the log covers", () => {
    expect(findingBasis(finding(0.938), 0.946)).toBe("known for 93.8 % of the period");
    expect(findingBasis(finding(0.946), 0.946)).toBe("");
    expect(findingBasis(finding(0.94601), 0.94604)).toBe("");
    expect(findingBasis(finding(0.938), null)).toBe("known for 93.8 % of the period");
    expect(findingBasis(finding(null), 0.946)).toBe("");
  });

  it("names the settings with their values", () => {
    expect(findingBasis(finding(0.5, { demandCoverage: 0.8, openNeutralV: 6 }), 1)).toBe(
      "known for 50 % of the period; demandCoverage 0.8, openNeutralV 6",
    );
  });
});
