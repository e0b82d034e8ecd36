import type { Evidence } from "../../src/analysis/results";
import { DEFAULT_SETTINGS, type Settings } from "../../src/analysis/settings";

/** The settings that pieces of evidence were compared with, by name: they stand among the figures. */
export function settingsOf(evidence: readonly Evidence[]): Partial<Settings> {
  const figures = evidence.flatMap((one) => Object.entries(one.figures));
  return Object.fromEntries(figures.filter(([name]) => name in DEFAULT_SETTINGS));
}
