import { describe, expect, it } from "vitest";
import { applySiteForm, fieldText, latestRatings, RATING_FIELDS } from "../../../../app/_data/site-form";

const config = Object.freeze({
  version: 1,
  name: "Alder Creek Pottery",
  timezone: "America/Denver",
  ratings: [
    { from: "2026-03-01", legLimitW: 5000, battery: { capacityAh: 400, fuseA: 250 } },
    { from: "2025-01-01", legLimitW: 4000 },
  ],
  tariff: { currency: "USD", otherwisePerKwh: 0.14 },
});
const field = (name: string) => RATING_FIELDS.find((one) => one.name === name)!;

describe("the form of a site", () => {
  it("shows the latest ratings", () => {
    const ratings = latestRatings(config);
    expect(fieldText(ratings, field("legLimitW"))).toBe("5000");
    expect(fieldText(ratings, field("capacityAh"))).toBe("400");
    expect(fieldText(ratings, field("passThroughA"))).toBe("");
  });

  it("corrects the latest ratings and leaves everything else as it is", () => {
    expect(applySiteForm(config, { legLimitW: "5500", capacityAh: "", passThroughA: " 60 " })).toEqual({
      ...config,
      ratings: [
        { from: "2026-03-01", legLimitW: 5500, passThroughA: 60, battery: { fuseA: 250 } },
        { from: "2025-01-01", legLimitW: 4000 },
      ],
    });
  });

  it("keeps the earlier ratings where the equipment changed", () => {
    const changed = applySiteForm(config, { from: "2026-05-01", legLimitW: "6000", changed: "on" });
    expect(changed.ratings).toEqual([
      ...config.ratings,
      { from: "2026-05-01", legLimitW: 6000, battery: { capacityAh: 400, fuseA: 250 } },
    ]);
  });

  it("hands a text that is no number on, to be refused by name", () => {
    expect(latestRatings(applySiteForm(config, { legLimitW: "4 kW" })).legLimitW).toBe("4 kW");
  });
});
