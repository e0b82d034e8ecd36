/** Powers of the sampled rows in W, each in the sign of its column; null where the log has none. */
export type PowerColumns = {
  readonly load: Float64Array;
  readonly solar: Float64Array | null;
  readonly battery: Float64Array | null;
  readonly grid: Float64Array | null;
};

/** Which way a signed column counts up. 1: the canonical way (discharge, import); null: the rows don't show it. */
export type SniffedSigns = {
  readonly battery: 1 | -1 | null;
  readonly grid: 1 | -1 | null;
  readonly figures: { readonly [name: string]: number };
};

const INFORMATIVE_W = 120;
const MIN_ROWS = 20;

/**
 * Settles signs by the balance of powers: what sun, battery and grid give is the load plus losses that are
 * small and not negative. Of the ways to read the signs only one closes it on rows in which the column in
 * question is not near zero; where two do, or none, the sign stays open. At night without sun a battery that
 * carries the load alone is the plainest case of it.
 */
export function sniffSigns(powers: PowerColumns): SniffedSigns {
  const { battery, grid } = powers;
  const closed = new Map<string, { battery: number; grid: number }>();
  const shown = { battery: 0, grid: 0 };
  const batterySigns = battery === null ? [0] : [1, -1];
  const gridSigns = grid === null ? [0] : [1, -1];
  for (const b of batterySigns) {
    for (const g of gridSigns) {
      const count = { battery: 0, grid: 0 };
      shown.battery = 0;
      shown.grid = 0;
      for (let i = 0; i < powers.load.length; i++) {
        const load = powers.load[i];
        const sun = powers.solar === null ? 0 : Math.max(0, powers.solar[i]);
        const pack = battery === null ? 0 : battery[i];
        const mains = grid === null ? 0 : grid[i];
        if (Number.isNaN(load + sun + pack + mains)) continue;
        const closes = closesBalance(load, sun, b * pack, g * mains);
        if (Math.abs(pack) > INFORMATIVE_W) {
          shown.battery++;
          if (closes) count.battery++;
        }
        if (Math.abs(mains) > INFORMATIVE_W) {
          shown.grid++;
          if (closes) count.grid++;
        }
      }
      closed.set(`${b} ${g}`, count);
    }
  }
  const of = (b: number, g: number) => closed.get(`${b} ${g}`) ?? { battery: 0, grid: 0 };
  const bestBattery = (s: number) => Math.max(...gridSigns.map((g) => of(s, g).battery));
  const batterySign = battery === null ? null : decide(bestBattery(1), bestBattery(-1), shown.battery);
  const pack = battery === null ? [0] : batterySign === null ? [1, -1] : [batterySign];
  const bestGrid = (s: number) => Math.max(...pack.map((b) => of(b, s).grid));
  return {
    battery: batterySign,
    grid: grid === null ? null : decide(bestGrid(1), bestGrid(-1), shown.grid),
    figures: {
      rows: powers.load.length,
      batteryRows: shown.battery,
      batteryClosedAsDischarge: battery === null ? 0 : bestBattery(1),
      batteryClosedAsCharge: battery === null ? 0 : bestBattery(-1),
      gridRows: shown.grid,
      gridClosedAsImport: grid === null ? 0 : bestGrid(1),
      gridClosedAsExport: grid === null ? 0 : bestGrid(-1),
    },
  };
}

/** Whether what is given covers the load with losses of at most a quarter, or of a converter's idle draw. */
export function closesBalance(load: number, sun: number, discharge: number, imported: number): boolean {
  const given = sun + discharge + imported;
  const losses = given - load;
  const turnover = Math.max(Math.abs(load), sun, Math.abs(discharge), Math.abs(imported));
  return losses > -Math.max(25, 0.06 * turnover) && losses < Math.max(150, 0.22 * turnover);
}

function decide(asPositive: number, asNegative: number, shown: number): 1 | -1 | null {
  if (shown < MIN_ROWS) return null;
  const right = Math.max(asPositive, asNegative);
  const wrong = Math.min(asPositive, asNegative);
  if (right < 0.5 * shown || wrong > 0.1 * right) return null;
  return asPositive > asNegative ? 1 : -1;
}
