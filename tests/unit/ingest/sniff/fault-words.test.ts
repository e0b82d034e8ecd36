import { describe, expect, it } from "vitest";
import { causeOfFaultWord } from "../../../../src/ingest/sniff/fault-words";
import { sniffLog } from "../../../../src/ingest/sniff-log";

// Words of the trade in seven languages, from memory; no maker's list.

describe("causeOfFaultWord", () => {
  it.each([
    ["overload", "Overload", "OVER_LOAD", "OverLoad", "F07: over-load", "Overloaded", "output overload L1"],
    [
      "overload",
      "Überlast",
      "Ueberlast",
      "Überlastung",
      "Sobrecarga",
      "surcharge",
      "Sovraccarico",
      "Overbelasting",
    ],
    [
      "over-temperature",
      "Over Temp",
      "OVERTEMPERATURE",
      "overheat",
      "Too hot",
      "Temperature too high",
      "high temp",
    ],
    ["over-temperature", "Übertemperatur", "Überhitzung", "Temperatur zu hoch", "Sobretemperatura"],
    ["over-temperature", "sobrecalentamiento", "temperatura alta", "Surchauffe", "température trop élevée"],
    ["over-temperature", "Surriscaldamento", "Superaquecimento", "Oververhitting", "temperatuur te hoog"],
    [
      "low-battery",
      "Low battery",
      "BATT LOW",
      "LowBatt",
      "SOC low",
      "Battery voltage low",
      "low voltage of battery",
    ],
    ["low-battery", "Battery under voltage", "Batterie leer", "Akku schwach", "Batteriespannung niedrig"],
    [
      "low-battery",
      "Tiefentladung",
      "Batería baja",
      "batería descargada",
      "Batterie faible",
      "tension batterie basse",
    ],
    ["low-battery", "Batteria scarica", "Bateria fraca", "Accu leeg", "lage accuspanning"],
  ] as const)("reads %s plainly", (cause, ...words) => {
    for (const word of words) expect([word, causeOfFaultWord(word)]).toEqual([word, cause]);
  });

  it("reads nothing into what is over, is not, is another's, is several things or is a code", () => {
    for (const word of [
      "",
      "0",
      "E07",
      "OK",
      "no overload",
      "Overload cleared",
      "kein Fehler",
      "Ende",
      "battery over temperature",
      "battery overload",
      "surcharge batterie",
      "Sobrecarga de batería",
      "charger overload",
      "PV overload",
      "cell under voltage",
      "battery charged",
      "low",
      "grid voltage low",
      "temperature sensor",
      "overload, low battery",
      "download",
      "workload",
      "high",
      "relay fault",
    ])
      expect([word, causeOfFaultWord(word)]).toEqual([word, null]);
  });
});

describe("a log whose fault words name causes", () => {
  const log = (words: readonly string[]) =>
    Buffer.from(
      `Time,Load L1 W,Load L2 W,Fault\n${Array.from({ length: 120 }, (_, i) => `2026-05-03T00:${String(Math.floor(i / 2)).padStart(2, "0")}:${i % 2 ? "30" : "00"}Z,${500 + ((i * 7919) % 900)},${300 + ((i * 104_729) % 800)},${i % 40 === 39 ? words[Math.floor(i / 40) % words.length] : "OK"}\n`).join("")}`,
    );
  const options = { name: "log.csv", strict: false };

  it("is asked about them, with what each seems to mean and how sure that is, and nothing is taken for an answer", () => {
    const { map, ask, draft, evidence } = sniffLog(log(["Overload", "E12", "Low battery"]), null, options);
    expect(map).toBeNull();
    expect(ask).toMatchObject([
      {
        choice: "channels.faultCode.words",
        why: expect.stringContaining("seem to name causes: Overload = overload, Low battery = low-battery."),
        options: ["overload", "over-temperature", "low-battery", "fault"],
      },
      // Asked along with any other question.
      { choice: "time.stamps" },
    ]);
    expect(draft.channels?.faultCode).toEqual({ column: "Fault" });
    expect(evidence).toContainEqual(
      expect.objectContaining({
        choice: "channels.faultCode.words",
        value: "Overload = overload, Low battery = low-battery",
        confidence: 0.65,
      }),
    );
  });

  it("is read by the answer, also by one that they are faults and no more", () => {
    const answers: Record<string, "overload" | "low-battery" | "fault">[] = [
      { Overload: "overload", "Low battery": "low-battery" },
      { Overload: "fault" },
    ];
    for (const words of answers) {
      const given = { version: 1 as const, channels: { faultCode: { column: "Fault", words } } };
      const { map, ask } = sniffLog(log(["Overload", "E12", "Low battery"]), given, options);
      expect(ask).toEqual([]);
      expect(map?.channels.faultCode?.words).toEqual(words);
    }
  });

  it("isn't asked where they are codes", () => {
    expect(sniffLog(log(["E07", "F12"]), null, options).ask).toEqual([]);
  });
});
