import { expect, it } from "vitest";
import { avoidableSentence } from "../../../src/report/avoidable-sentence";

/* The words are ours; definitions D7 say what counts. */

it("names only the ways that hold for the transfer", () => {
  const said = (tags: Parameters<typeof avoidableSentence>[0]["tags"], avoidable = true, nuisance = false) =>
    avoidableSentence({ tags, avoidable, nuisance });
  expect(said(["one-leg"])).toBe("It counts as avoidable: a circuit moved to the other leg.");
  expect(said(["stacked-starts"])).toBe("It counts as avoidable: starts one after the other.");
  expect(said(["one-leg", "stacked-starts"])).toBe(
    "It counts as avoidable: a circuit moved to the other leg, or starts one after the other.",
  );
  expect(said(["repeat"], false)).toBe(
    "It doesn't count as avoidable: neither the split between the legs nor starts close together account for it.",
  );
  expect(said(["one-leg", "within-allowance"], true, true)).toBe(
    "It counts as avoidable: a circuit moved to the other leg. It counts as a nuisance transfer: the nameplate says the inverter should have ridden through.",
  );
  expect(avoidableSentence({ tags: null, avoidable: null, nuisance: null })).toBeNull();
});
