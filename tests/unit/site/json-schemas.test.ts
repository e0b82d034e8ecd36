import { describe, expect, it } from "vitest";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { columnMapJsonSchema } from "../../../src/site/column-map-json-schema";
import { siteJsonSchema } from "../../../src/site/site-json-schema";

describe("the JSON Schemas", () => {
  it("of site.json requires four keys, refuses others and lists every setting", () => {
    const settings = Object.fromEntries(Object.keys(DEFAULT_SETTINGS).map((k) => [k, { type: "number" }]));
    expect(siteJsonSchema()).toMatchObject({
      $schema: expect.stringContaining("2020-12"),
      required: ["version", "name", "timezone", "ratings"],
      additionalProperties: false,
      properties: {
        settings: { properties: settings, additionalProperties: false },
        ratings: { items: { required: ["from", "legLimitW"] } },
      },
    });
  });

  it("of columns.json requires the version only and knows each channel's units", () => {
    expect(columnMapJsonSchema()).toMatchObject({
      required: ["version"],
      properties: {
        channels: {
          properties: { loadL1W: { properties: { unit: { enum: ["W", "kW", "Wh", "kWh", "MWh"] } } } },
        },
      },
    });
  });
});
