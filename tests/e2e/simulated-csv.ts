/** A log of so many seconds whose every choice is settled by its names; the load rises and falls by the hour. */
export function simulatedCsv(rows: number): Buffer {
  const lines = ["Time (UTC),Load L1 (W),Load L2 (W)"];
  const firstMs = Date.UTC(2026, 2, 1);
  for (let row = 0; row < rows; row++) {
    const at = new Date(firstMs + row * 1000).toISOString();
    const load = Math.round(1500 + 1200 * Math.sin(row / 570) + ((row * 7919) % 97));
    lines.push(`${at},${load},${Math.round(load * 0.6)}`);
  }
  return Buffer.from(`${lines.join("\n")}\n`);
}
