import { describe, expect, it } from "vitest";
import { readLog } from "../../../../src/ingest/read-log";
import { sniffLog } from "../../../../src/ingest/sniff-log";
import { memoryLog } from "../memory-log";

const OPTIONS = { name: "log.csv", strict: false };

/** A day at a minute: a battery of 20 kWh that is charged by day and discharged by night, and its state of charge. */
function log(soc: (share: number) => string, { battery = true } = {}): string {
  const lines = [`Time,Load L1 W,Load L2 W,${battery ? "Battery W," : ""}SOC`];
  let share = 0.5;
  for (let i = 0; i < 1440; i++) {
    const at = `2026-05-03T${String(Math.floor(i / 60)).padStart(2, "0")}:${String(i % 60).padStart(2, "0")}:00Z`;
    const l1 = 500 + ((i * 7919) % 900);
    const l2 = 300 + ((i * 104_729) % 800);
    const dischargeW = Math.round(1800 * Math.cos((2 * Math.PI * i) / 1440));
    share -= dischargeW / 60 / 20_000;
    lines.push([at, l1, l2, ...(battery ? [dischargeW] : []), soc(share)].join(","));
  }
  return `${lines.join("\n")}\n`;
}

const socOf = (text: string) => {
  const { ask, draft, map } = sniffLog(Buffer.from(text), null, OPTIONS);
  return { unit: draft.channels?.batterySocPct?.unit, asked: ask.map(({ choice }) => choice), map };
};

describe("a state of charge of 0 to 1", () => {
  it("is a share where it moves as the battery's power says", async () => {
    const text = log((share) => share.toFixed(3));
    const { unit, map } = socOf(text);
    expect(unit).toBe("share");
    const read: number[] = [];
    await readLog(
      memoryLog(text),
      map!,
      { siteZone: "UTC", receivedAtMs: Date.UTC(2026, 11, 1) },
      {
        async begin() {},
        async batch({ channels }) {
          read.push(...channels.batterySocPct!);
        },
        async restart() {
          read.length = 0;
        },
        async end() {
          return { duplicates: 0, conflicts: 0, conflictLines: [] };
        },
      },
    );
    const lines = text.trim().split("\n").slice(1);
    expect(read).toEqual(lines.map((line) => Math.fround(Number(line.split(",")[4]) * 100)));
  });

  it("is asked about where no battery power shows it, or it is in whole numbers", () => {
    expect(socOf(log((share) => share.toFixed(3), { battery: false })).asked).toContain(
      "channels.batterySocPct.unit",
    );
    expect(socOf(log((share) => String(Math.round(share)))).asked).toContain("channels.batterySocPct.unit");
    const moves = (n: number) => ((n * 7919) % 97) / 100;
    let n = 0;
    expect(socOf(log(() => moves(n++).toFixed(2))).asked).toContain("channels.batterySocPct.unit");
  });

  it("is none where it goes on above 1, or its name says percent", () => {
    expect(socOf(log((share) => (share * 100).toFixed(1)))).toMatchObject({ unit: "%" });
    expect(socOf(log((share) => share.toFixed(3)).replace("SOC", "SOC %")).unit).toBe("%");
  });
});
