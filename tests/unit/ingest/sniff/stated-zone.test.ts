import { describe, expect, it } from "vitest";
import { zoneOfLine, zoneOfName } from "../../../../src/ingest/sniff/stated-zone";

describe("zoneOfName", () => {
  it.each([
    ["Time (UTC)", "UTC"],
    ["time_utc", "UTC"],
    ["UTC", "UTC"],
    ["Timestamp GMT", "UTC"],
    ["Time (UTC-7)", "-07:00"],
    ["Time UTC+05:30", "+05:30"],
    ["Zeit (GMT +1)", "+01:00"],
    ["Time (-07:00)", "-07:00"],
    ["Time [America/Denver]", "America/Denver"],
    ["time_America/New_York", "America/New_York"],
    ["Time (local)", "site"],
    ["Ortszeit lokal", "site"],
  ])("reads %s as %s", (name, zone) => {
    expect(zoneOfName(name)).toMatchObject({ zone, sure: true });
  });

  it("leaves open whether an abbreviation stands for one offset", () => {
    expect(zoneOfName("Time (MST)")).toEqual({ zone: "-07:00", sure: false, text: "MST" });
  });

  it.each(["Time", "Date/Time", "Data/ora", "Fecha", "Stunde", "output", "TIME", "DATE"])(
    "finds none in %s",
    (name) => {
      expect(zoneOfName(name)).toBeNull();
    },
  );
});

describe("zoneOfLine", () => {
  it.each([
    ["Timezone: America/Denver", "America/Denver"],
    ["Time zone = UTC-07:00", "-07:00"],
    ["TZ: -0600", "-06:00"],
    ["Zeitzone: UTC+2", "+02:00"],
    ["Zona horaria: America/Mexico_City", "America/Mexico_City"],
    ["Fuseau horaire : Europe/Paris", "Europe/Paris"],
    ["UTC offset: -06:00", "-06:00"],
    ["All times are in UTC", "UTC"],
    ["# timestamps: UTC", "UTC"],
  ])("reads %s", (line, zone) => {
    expect(zoneOfLine(line)).toMatchObject({ zone });
  });

  it.each(["Site: Alder Creek Pottery", "Exported 2026-05-02 09:15 UTC", "Rated power: 8000 W", ""])(
    "finds none in %j",
    (line) => {
      expect(zoneOfLine(line)).toBeNull();
    },
  );
});
