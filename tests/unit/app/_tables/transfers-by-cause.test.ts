import { expect, it } from "vitest";
import { transfersByCause } from "../../../../app/_tables/transfers-by-cause";

// Common practice, no source: what is looked for first stands first, since a phone shows the first columns.
it("says how long on utility before how many the log itself shows", () => {
  expect(transfersByCause([]).columns.map(({ title }) => title)).toEqual([
    "Cause",
    "Transfers",
    "On utility",
    "Seen in the log",
  ]);
});
