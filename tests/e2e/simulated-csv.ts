/**
 * A log of so many rows, one every `everyS`, from 1 January 2025 on, whose every choice is settled by its names; the
 * load rises and falls by the hour, and now and then the utility carries it.
 */
export function simulatedCsv(rows: number, everyS = 1): Buffer {
  const lines = ["Time (UTC),Load L1 (W),Load L2 (W),Source"];
  const firstMs = Date.UTC(2025, 0, 1, 7);
  for (let row = 0; row < rows; row++) {
    const atS = row * everyS;
    const at = new Date(firstMs + atS * 1000).toISOString();
    const load = Math.round(1500 + 1200 * Math.sin(atS / 570) + ((row * 7919) % 97));
    const away = atS % 260_000 < 900;
    lines.push(
      `${at},${load + (away ? 1900 : 0)},${Math.round(load * 0.6)},${away ? "utility" : "inverter"}`,
    );
  }
  return Buffer.from(`${lines.join("\n")}\n`);
}
