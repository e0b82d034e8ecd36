import { describe, expect, it } from "vitest";
import { readColumnNames } from "../../../../src/ingest/sniff/column-names";

const read = (...titles: string[]) => readColumnNames(titles);

describe("readColumnNames", () => {
  it.each([
    ["Batterieleistung", ["battery", "power"]],
    ["Netzeinspeisung (W)", ["grid", "export"]],
    ["Potencia de descarga de la batería", ["power", "discharge", "battery"]],
    ["Énergie injectée", ["energy", "export"]],
    ["Fotovoltaico", ["solar"]],
    ["zonnepanelen W", ["solar"]],
    ["Temperatura ambiente", ["temperature", "elsewhere"]],
    ["PVLeistung", ["solar", "power"]],
    ["GRID_POWER", ["grid", "power"]],
    ["ppv", ["solar"]],
  ])("reads %s", (title, concepts) => {
    const [name] = read(title);
    expect([...name.concepts]).toEqual(expect.arrayContaining(concepts));
  });

  it("takes letters before a word for quantities", () => {
    const [p, i, u, t] = read("P_grid", "Ibat", "U_bat", "T_inv");
    expect([p.quantity, i.quantity, u.quantity, t.quantity]).toEqual(["W", "A", "V", "C"]);
    expect([...i.concepts]).toContain("battery");
  });

  it("takes legs from names that differ in them only, and from no mere count", () => {
    expect(read("House A kW", "House B kW").map((n) => n.leg)).toEqual(["L1", "L2"]);
    expect(read("Verbrauch links", "Verbrauch rechts").map((n) => n.leg)).toEqual(["L1", "L2"]);
    expect(read("Load A1 (A)", "Load A2 (A)").map((n) => n.leg)).toEqual(["L1", "L2"]);
    expect(read("A1", "A2").map((n) => n.leg)).toEqual([null, null]);
    expect(read("Sensor 1", "Sensor 2").map((n) => n.leg)).toEqual([null, null]);
    expect(read("P1", "P2", "P3", "P4").map((n) => n.leg)).toEqual([null, null, null, null]);
    expect(read("pack A", "pack V").map((n) => [n.leg, n.unit])).toEqual([
      [null, "A"],
      [null, "V"],
    ]);
  });

  it.each([
    ["Battery A (+ = charge)", "charge"],
    ["Grid power, export positive", "export"],
    ["Netz (+Bezug/-Einspeisung) W", "import"],
    ["Batería (positivo = descarga)", "discharge"],
    ["Battery power (- = discharge)", "charge"],
    ["Battery power", null],
  ])("reads the direction that %s states", (title, stated) => {
    expect(read(title)[0].stated).toBe(stated);
  });

  it("leaves out what all names begin with", () => {
    const names = read("site_0451_pv", "site_0451_grid_import", "site_0451_grid_export", "site_0451_load");
    expect(names.map((n) => n.number)).toEqual([null, null, null, null]);
    expect(names[3].concepts.has("load")).toBe(true);
  });

  it("says nothing of a name without a meaning", () => {
    expect(read("x7")[0].telling).toBe(false);
    expect(read("")[0].telling).toBe(false);
  });
});
