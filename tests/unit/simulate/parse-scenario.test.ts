import { readFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { parseScenario } from "../../../src/simulate/parse-scenario";

const file = path.resolve(import.meta.dirname, "../../../sample-logs/awkward/scenario.json");
const good = () => JSON.parse(readFileSync(file, "utf8"));

function problemsOf(change: (scenario: ReturnType<typeof good>) => void) {
  const scenario = good();
  change(scenario);
  const parsed = parseScenario(scenario);
  return parsed.ok ? [] : parsed.problems.map(({ path: place, message }) => `${place}: ${message}`);
}

describe("parseScenario", () => {
  it("takes a scenario and fills in what was left out", () => {
    const parsed = parseScenario(good());
    if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
    expect(parsed.scenario.log.stamps).toBe("start");
    expect(parsed.scenario.appliances[0].spread).toBe(0);
  });

  it.each([null, 7, "text", [], {}])("refuses %j with a reason", (json) => {
    const parsed = parseScenario(json);
    if (parsed.ok) throw new Error("taken");
    expect(parsed.problems.length).toBeGreaterThan(0);
    for (const { message, hint } of parsed.problems) {
      expect(message).not.toBe("");
      expect(hint).not.toBe("");
    }
  });

  it("names the place of a wrong figure", () => {
    const problems = problemsOf((scenario) => {
      scenario.appliances[3].powerW = -5;
    });
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatch(/^appliances\[3\]\.powerW: .*-5/);
  });

  it("refuses an unknown key by name", () => {
    const problems = problemsOf((scenario) => {
      scenario.battery.capactyAh = 400;
    });
    expect(problems.join()).toContain("capactyAh");
  });

  it("refuses a site that site.json's own rules refuse, with its place", () => {
    const problems = problemsOf((scenario) => {
      scenario.site.ratings[0].legLimitW = 0;
      scenario.site.timezone = "America/Denvr";
    });
    expect(problems.join("\n")).toMatch(/site\.ratings\[0\]\.legLimitW/);
    expect(problems.join("\n")).toMatch(/site\.timezone/);
  });

  it.each([
    ["battery.resumeSocPct", (s: ReturnType<typeof good>) => (s.battery.resumeSocPct = s.battery.lowSocPct)],
    ["log.decimalMark", (s: ReturnType<typeof good>) => (s.log.delimiter = ",")],
    ["log.stampHeader", (s: ReturnType<typeof good>) => (s.log.stampHeader = "Time")],
    ["inverter.overload[1]", (s: ReturnType<typeof good>) => s.inverter.overload.reverse()],
    ["sun", (s: ReturnType<typeof good>) => Object.assign(s.sun, { mixed: 0.7, overcast: 0.7 })],
    ["appliances[0]", (s: ReturnType<typeof good>) => (s.appliances[0].habits = [])],
  ])("sees figures that exclude each other: %s", (place, change) => {
    expect(problemsOf(change).join()).toContain(`${place}: `);
  });

  it("refuses a file name that would leave the folder", () => {
    const problems = problemsOf((scenario) => {
      scenario.log.fileName = "../log.csv";
    });
    expect(problems.join()).toContain("log.fileName");
  });
});
