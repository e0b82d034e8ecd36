/** What the tables say of one size of copper conductor. */
export type CopperCable = {
  /** As the table names it: "4/0 AWG", "250 kcmil". */
  readonly size: string;
  /** DC resistance at 75 °C, ohm per 1,000 ft: NEC Chapter 9 Table 8, uncoated, stranded. */
  readonly ohmPerKft: number;
  /** NEC Table 310.16, 75 °C column: at most three conductors that carry current, 30 °C around them. */
  readonly ampacityA: number;
};

/** Size, ohm/kft, A. */
const TABLE: readonly (readonly [size: string, ohmPerKft: number, ampacityA: number])[] = [
  ["8 AWG", 0.778, 50],
  ["6 AWG", 0.491, 65],
  ["4 AWG", 0.308, 85],
  ["3 AWG", 0.245, 100],
  ["2 AWG", 0.194, 115],
  ["1 AWG", 0.154, 130],
  ["1/0 AWG", 0.122, 150],
  ["2/0 AWG", 0.0967, 175],
  ["3/0 AWG", 0.0766, 200],
  ["4/0 AWG", 0.0608, 230],
  ["250 kcmil", 0.0515, 255],
];

/**
 * Looks up a copper conductor by its size, as people write it: "4/0", "4/0 AWG", "AWG 4/0", "#2", "250 kcmil", "250
 * MCM". Null for a size that isn't in the table, as those in mm² aren't.
 *
 * @example copperCable("2/0")?.ohmPerKft // 0.0967
 */
export function copperCable(size: string): CopperCable | null {
  const plain = size.toLowerCase().replaceAll(/awg|gauge|#|kcmil|mcm|\s/g, "");
  const inKcmil = /kcmil|mcm/i.test(size);
  const found = TABLE.find(([name]) => {
    const [number, unit] = name.split(" ");
    return number === plain && (unit === "kcmil") === (inKcmil || plain === "250");
  });
  return found === undefined ? null : { size: found[0], ohmPerKft: found[1], ampacityA: found[2] };
}
