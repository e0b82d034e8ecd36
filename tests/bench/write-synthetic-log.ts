import { once } from "node:events";
import { createWriteStream } from "node:fs";

/** What a synthetic log is made of. */
export type SyntheticLog = { path: string; fromMs: number; samples: number; intervalS: number };

/**
 * Writes a log of 13 columns for measuring, not for meaning: figures wander as measured ones do, with one
 * decimal where instruments give one, and now and then a cell is empty.
 */
export async function writeSyntheticLog({ path, fromMs, samples, intervalS }: SyntheticLog): Promise<void> {
  const out = createWriteStream(path, { highWaterMark: 1 << 22 });
  out.write(`${SYNTHETIC_HEADER}\n`);
  let seed = 12_345;
  const random = () => {
    seed = (Math.imul(seed, 1_664_525) + 1_013_904_223) >>> 0;
    return seed / 4_294_967_296;
  };
  let base1 = 600;
  let base2 = 450;
  let onUtilityFor = 0;
  let soc = 80;
  let lines = "";
  for (let i = 0; i < samples; i++) {
    const atMs = fromMs + i * intervalS * 1000;
    const hour = (atMs % 86_400_000) / 3_600_000;
    if (random() < 0.002) base1 = 150 + random() * 3900;
    if (random() < 0.002) base2 = 150 + random() * 2400;
    if (onUtilityFor > 0) onUtilityFor--;
    else if (base1 > 3900 && random() < 0.01) onUtilityFor = 200;
    const utility = onUtilityFor > 0;
    const l1 = base1 + random() * 20;
    const l2 = base2 + random() * 20;
    const solar = Math.max(0, 5200 * Math.sin(((hour - 6) / 12) * Math.PI)) * (0.9 + random() * 0.1);
    const batteryW = utility ? 0 : l1 + l2 - solar;
    const volts = 52.4 - batteryW / 9000;
    soc = Math.min(100, Math.max(15, soc - (batteryW / 20_480 / 3600) * 100 * intervalS));
    const battery = random() < 0.0001 ? "" : (batteryW / volts).toFixed(1);
    lines +=
      `${new Date(atMs).toISOString().slice(0, 19)}Z,${l1.toFixed(0)},${l2.toFixed(0)},` +
      `${(120.6 - l1 / 3000).toFixed(1)},${(120.6 - l2 / 3000).toFixed(1)},${solar.toFixed(0)},${battery},` +
      `${volts.toFixed(2)},${soc.toFixed(1)},${utility ? l1.toFixed(0) : "0"},${utility ? l2.toFixed(0) : "0"},` +
      `${utility ? "utility" : "inverter"},${(35 + l1 / 300).toFixed(1)}\n`;
    if (lines.length > 1 << 20) {
      if (!out.write(lines)) await once(out, "drain");
      lines = "";
    }
  }
  out.end(lines);
  await once(out, "close");
}

const SYNTHETIC_HEADER =
  "Time,L1 W,L2 W,L1 V,L2 V,Solar W,Battery A,Battery V,Battery SOC %,Grid L1 W,Grid L2 W,Source,Inverter C";

const watts = (column: string) => ({ column, unit: "W" });
const volts = (column: string) => ({ column, unit: "V" });

/** How the log is read. */
export const SYNTHETIC_COLUMN_MAP = {
  version: 1,
  time: { column: "Time", format: "auto", zone: "site", stamps: "start" },
  channels: {
    loadL1W: watts("L1 W"),
    loadL2W: watts("L2 W"),
    loadL1V: volts("L1 V"),
    loadL2V: volts("L2 V"),
    solarW: watts("Solar W"),
    batteryA: { column: "Battery A", unit: "A" },
    batteryV: volts("Battery V"),
    batterySocPct: { column: "Battery SOC %", unit: "%" },
    gridL1W: watts("Grid L1 W"),
    gridL2W: watts("Grid L2 W"),
    source: { column: "Source", words: {} },
    inverterTempC: { column: "Inverter C", unit: "C" },
  },
  missing: [""],
};

/** A site whose ratings the log runs up against. */
export const SYNTHETIC_SITE = {
  version: 1,
  name: "Alder Creek Pottery",
  timezone: "America/Denver",
  ratings: [
    {
      from: "2026-01-01",
      legLimitW: 4000,
      overload: [{ upToRatio: 1.25, forS: 30 }],
      battery: { nominalV: 51.2, capacityAh: 400, maxDischargeA: 200, lowSocPct: 20 },
    },
  ],
};
