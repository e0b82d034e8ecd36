import { describe, expect, it } from "vitest";
import { addToDistribution, createDistribution, valuesExceeded } from "../../src/analysis/distribution";
import {
  addLegVoltage,
  createLegVoltageSums,
  legVoltageOf,
  mergeLegVoltage,
} from "../../src/analysis/leg-voltage";
import { quantile } from "../../src/analysis/quantile";
import { frameOf } from "../unit/analysis/frame-of";
import { RATINGS, review, type Sample, seriesOf } from "../unit/analysis/samples";

/**
 * Statistics of the analysis against NumPy 2.4.6 and SciPy 1.17.1 (Python 3.11.7). Long vectors come from a
 * multiplicative congruential generator that is exact in both languages, so that 9,973 numbers needn't stand here:
 *
 *   def minstd(seed, n):
 *       out = []
 *       for _ in range(n):
 *           seed = seed * 48271 % 2147483647; out.append(seed / 2147483647)
 *       return out
 */
function minstd(seed: number, n: number): number[] {
  const out: number[] = [];
  let x = seed;
  for (let i = 0; i < n; i++) {
    x = (x * 48_271) % 2_147_483_647;
    out.push(x / 2_147_483_647);
  }
  return out;
}

const SHARES = [0, 0.01, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99, 1];

const SHAPES: { readonly [shape: string]: (u: number) => number } = {
  uniform: (u) => u,
  ties: (u) => Math.floor(u * 10),
  skewed: (u) => 1000 * u * u * u * u,
};

/**
 * np.quantile([shape(u) for u in minstd(n, n)], [0, .01, .1, .25, .5, .75, .9, .99, 1]).tolist(), and the same to
 * 1e-13 by scipy.stats.mstats.mquantiles(…, alphap=1, betap=1), which is type 7 too.
 */
const QUANTILES: readonly (readonly [shape: string, n: number, quantiles: readonly number[]])[] = [
  [
    "uniform",
    2,
    [
      4.495587202019797e-5, 0.0017451552961697597, 0.017046950113515816, 0.04254994147575924,
      0.08505492707949827, 0.1275599126832373, 0.15306290404548073, 0.1683646988628268, 0.17006489828697635,
    ],
  ],
  [
    "uniform",
    3,
    [
      6.743380803029696e-5, 0.0051680320804789815, 0.05107341653251714, 0.12758239061924742,
      0.2550973474304645, 0.529577581691359, 0.6942657222478957, 0.7930786065818176, 0.8040578159522535,
    ],
  ],
  [
    "uniform",
    10,
    [
      0.00022477936010098986, 0.0014218940033679333, 0.012195925792770426, 0.22109981007925225,
      0.6543093370992268, 0.8852544115554795, 0.9225098818645392, 0.9743264818677336, 0.9800838818680886,
    ],
  ],
  [
    "uniform",
    97,
    [
      0.002180359792979602, 0.00725947348738996, 0.1351749213110539, 0.2687115898675805, 0.4971002342631576,
      0.7721573802512872, 0.9472490343950918, 0.9772281515119728, 0.9789958363301101,
    ],
  ],
  [
    "uniform",
    100,
    [
      0.0022477936010098986, 0.03633191329256255, 0.15150587882451055, 0.24009950912562178,
      0.4870535230669442, 0.7487559564173016, 0.9141405330105408, 0.9782516337829882, 0.9784531942468384,
    ],
  ],
  [
    "uniform",
    9973,
    [
      9.866477926199547e-5, 0.011974087493482086, 0.10528830685899049, 0.2514106576570359, 0.5011966943280756,
      0.7480708289649667, 0.8944203119233346, 0.9884568531757487, 0.9999997122213243,
    ],
  ],
  ["ties", 2, [0.0, 0.01, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99, 1.0]],
  ["ties", 3, [0.0, 0.04, 0.4, 1.0, 2.0, 5.0, 6.800000000000001, 7.88, 8.0]],
  ["ties", 10, [0.0, 0.0, 0.0, 1.75, 6.0, 8.0, 9.0, 9.0, 9.0]],
  ["ties", 97, [0.0, 0.0, 1.0, 2.0, 4.0, 7.0, 9.0, 9.0, 9.0]],
  ["ties", 100, [0.0, 0.0, 1.0, 2.0, 4.0, 7.0, 9.0, 9.0, 9.0]],
  ["ties", 9973, [0.0, 0.0, 1.0, 2.0, 5.0, 7.0, 8.0, 9.0, 9.0]],
  [
    "skewed",
    2,
    [
      4.084563995333655e-15, 0.008364861116459302, 0.08364861116455624, 0.20912152791138447,
      0.4182430558227649, 0.6273645837341453, 0.7528375004809735, 0.8281212505290705, 0.8364861116455257,
    ],
  ],
  [
    "skewed",
    3,
    [
      2.0678105226376628e-14, 0.08469421880412975, 0.8469421880411114, 2.1173554701027473, 4.234710940205474,
      211.10428051650717, 335.2260222622882, 409.69906730975674, 417.97385009280885,
    ],
  ],
  [
    "skewed",
    10,
    [
      2.5528524970835346e-12, 3.012501043253812e-6, 3.0124987456865646e-5, 9.33902437781985,
      184.9251691365039, 616.0262642743539, 726.1939534133587, 903.0349920295944, 922.6839963202872,
    ],
  ],
  [
    "skewed",
    97,
    [
      2.2600219606586e-8, 2.991861086123328e-6, 0.3488317163516142, 5.213694670640093, 61.06268139809685,
      355.4866592308493, 805.168931252946, 911.9777303046621, 918.5935232660445,
    ],
  ],
  [
    "skewed",
    100,
    [
      2.5528524970835346e-8, 0.0017913170488922528, 0.5306764657898194, 3.323679227617242, 56.28098918467925,
      314.85360743955954, 698.3157928809533, 915.803562644491, 916.5585678610365,
    ],
  ],
  [
    "skewed",
    9973,
    [
      9.476513691124716e-14, 2.0568374564540876e-5, 0.12289114069972547, 3.9951651478044665, 63.1004987095785,
      313.16331309331787, 639.9803153273332, 954.6207631949155, 999.9988488857941,
    ],
  ],
];

describe("quantile", () => {
  it.each(QUANTILES)("of %s values, %d of them, is NumPy's", (shape, n, expected) => {
    const sorted = Float64Array.from(minstd(n, n), SHAPES[shape]).sort();
    SHARES.forEach((share, i) => {
      const found = quantile(sorted, share);
      expect(Math.abs(found - expected[i])).toBeLessThanOrEqual(1e-12 * Math.abs(expected[i]));
    });
  });

  it("of one value is that value", () => {
    // np.quantile([7.25], shares).tolist()
    for (const share of SHARES) expect(quantile([7.25], share)).toBe(7.25);
  });

  it("of equal values is exactly their value", () => {
    for (const share of [...SHARES, 1 / 3, 0.123])
      expect(quantile([0.1, 0.1, 0.1, 0.1, 0.1], share)).toBe(0.1);
  });

  it("tells type 7 from the other types of Hyndman and Fan", () => {
    // np.quantile([6, 7, 15, 36, 39, 40], .25, method=m): linear (type 7) gives 9.0; hazen and the three of
    // whole places 7, interpolated_inverted_cdf 6.5, weibull 6.75, median_unbiased 6.9167, normal_unbiased 6.9375.
    expect(quantile([6, 7, 15, 36, 39, 40], 0.25)).toBe(9);
  });
});

describe("median of a log's sampling intervals", () => {
  // t = np.cumsum([0] + [1000 + int(u * 4000) for u in minstd(7 * n, n - 1)]); np.median(np.diff(t)[:999])
  it.each([
    [2, 1001],
    [3, 2571.5],
    [10, 2613],
    [999, 3052.5],
    [1000, 3068],
    [1001, 3051],
    [1500, 2940],
  ])("of %d samples is NumPy's, of the first thousand", (n, medianMs) => {
    const samples: Sample[] = [{ s: 0, loadW: 500 }];
    let s = 0;
    for (const u of minstd(7 * n, n - 1)) {
      s += (1000 + Math.floor(u * 4000)) / 1000;
      samples.push({ s, loadW: 500 });
    }
    const { coverage } = review(seriesOf(samples));
    expect(coverage.samples).toBe(n);
    expect(coverage.nominalS).toBe(medianMs / 1000);
  });
});

describe("return delay", () => {
  it("has NumPy's median and quartiles of fourteen delays", () => {
    // d = [60 + int(u * u * 240) for u in minstd(11, 14)]; np.quantile(d, [.25, .5, .75])
    // 73.75, 155.0, 241.5
    const delays = minstd(11, 14).map((u) => 60 + Math.floor(u * u * 240));
    expect(delays).toEqual([60, 269, 150, 216, 160, 61, 166, 94, 250, 67, 292, 66, 99, 256]);
    const samples: Sample[] = [];
    const add = (count: number, values: Omit<Sample, "s">) => {
      for (let i = 0; i < count; i++) samples.push({ s: samples.length, ...values });
    };
    for (const delayS of delays) {
      add(300, { loadL1W: 1000, loadL2W: 1000, source: "inverter" });
      add(2, { loadL1W: 4400, loadL2W: 1000, source: "inverter" });
      add(5, { loadL1W: 4400, loadL2W: 1000, source: "utility" });
      add(delayS, { loadL1W: 1000, loadL2W: 1000, source: "utility" });
    }
    add(10, { loadL1W: 1000, loadL2W: 1000, source: "inverter" });
    const { returnDelay, transfers } = review(seriesOf(samples));
    expect(transfers.map((one) => one.cause)).toEqual(delays.map(() => "overload"));
    expect(returnDelay.n).toBe(14);
    expect(returnDelay.medianS).toBeCloseTo(155, 9);
    expect(returnDelay.q1S).toBeCloseTo(73.75, 9);
    expect(returnDelay.q3S).toBeCloseTo(241.5, 9);
  });
});

describe("means over irregular holds", () => {
  // u = minstd(3, 1503); f = lambda x: np.array(x, dtype=np.float32).astype(float)
  // l1 = f([4000 * (0.9 + 0.3 * a) for a in u[:501]]); l2 = f([4000 * a for a in u[1002:]])
  // h = np.array([1 + int(3 * a) for a in u[501:1002]], float); h[-1] = np.median(h[:-1])
  const u = minstd(3, 1503);
  let s = 0;
  const samples: Sample[] = Array.from({ length: 501 }, (_, i) => {
    const sample: Sample = {
      s,
      loadL1W: 4000 * (0.9 + 0.3 * u[i]),
      loadL2W: 4000 * u[1002 + i],
      source: "inverter",
    };
    s += 1 + Math.floor(3 * u[501 + i]);
    return sample;
  });
  const result = review(seriesOf(samples));

  it("of a near-limit interval's loading is NumPy's weighted average", () => {
    const l1 = result.nearLimit.filter((one) => one.quantity === "L1");
    expect(l1.length).toBe(1);
    // h.sum(); h[l1 > 4000].sum(); l1.max()
    expect([l1[0].durationS, l1[0].overLimitS]).toEqual([998, 682]);
    expect(l1[0].peakW).toBe(4799.50537109375);
    // np.average(l1 / 4000, weights=h); the plain mean is 1.0541261684394883
    expect(l1[0].meanLoading).toBeCloseTo(1.053842666473083, 12);
  });

  it("of the imbalance share is NumPy's weighted average", () => {
    // np.average(abs(l1 - l2) / (l1 + l2), weights=h); the plain mean is 0.40933107320053946
    expect(result.figures.imbalance?.meanShare).toBeCloseTo(0.4013784127494215, 12);
  });

  it("of the load, times the time held, is NumPy's sum", () => {
    // ((l1 + l2) * h).sum() / 3600
    expect(result.total.loadWh).toBeCloseTo(1723.037052181628, 8);
  });
});

/** A leg's load in W and its voltage in V from two numbers of the generator. */
const SAGS: { readonly [shape: string]: (a: number, b: number) => readonly [watts: number, volts: number] } =
  {
    noisy: (a, b) => [4000 * a, 122 - 0.0006 * 4000 * a + 0.8 * (b - 0.5)],
    // As a meter that shows half volts would log the same: ties in voltage.
    "half-volts": (a, b) => {
      const volts = Math.fround(122 - 0.0006 * 4000 * a + 0.8 * (b - 0.5));
      return [4000 * a, Math.floor(2 * volts + 0.5) / 2];
    },
    // Four loads, and a voltage that doesn't mind: ties in load, r² near nothing.
    unrelated: (a, b) => [500 * Math.floor(4 * a), 118 + 0.8 * b],
  };

/**
 * u = minstd(n, 2 * n); a, b = u[:n], u[n:]; w, v rounded to float32
 * r = scipy.stats.linregress(w, v); 1000 * r.slope; r.rvalue ** 2; np.quantile(v, [.01, .99]), of v to hundredths,
 * np.floor(v * 100 + .5) / 100, where more than 4,096 voltages differ.
 */
const LINES: readonly (readonly [
  shape: string,
  n: number,
  voltsPerKw: number,
  r2: number,
  p1p99V: readonly [number, number],
])[] = [
  ["noisy", 30, -0.5569982727378601, 0.9253315945245675, [119.4902719116211, 122.05484298706055]],
  ["half-volts", 30, -0.5384229753048633, 0.8745232354299489, [119.5, 121.855]],
  ["unrelated", 30, 0.10642410002321541, 0.08736009204468398, [118.08435905456543, 118.78484802246093]],
  ["noisy", 31, -0.5974853906053498, 0.9206360518483587, [119.72401275634766, 122.25642395019531]],
  ["half-volts", 31, -0.5783042868789179, 0.8688872288636199, [119.65, 122.35]],
  ["unrelated", 31, -0.01617675931582897, 0.001950880467129875, [118.07391967773438, 118.76851654052734]],
  ["noisy", 97, -0.5883629287910302, 0.8996236187258587, [119.29840026855469, 121.90564819335937]],
  ["half-volts", 97, -0.5855867116543829, 0.8766293545906362, [119.5, 122.0]],
  ["unrelated", 97, 0.01764380937803807, 0.0019093086996423414, [118.00617950439454, 118.79407135009765]],
  ["noisy", 1000, -0.5997937931383548, 0.8952274859974203, [119.42535339355469, 122.22080001831054]],
  ["half-volts", 1000, -0.5984016343671044, 0.860199881714044, [119.5, 122.0]],
  [
    "unrelated",
    1000,
    -0.00048647545192442073,
    1.3297539153841785e-6,
    [118.00731956481934, 118.79162239074707],
  ],
  ["noisy", 9973, -0.5973243734044428, 0.8987390381362951, [119.4, 122.19]],
  ["half-volts", 9973, -0.5961421277827252, 0.8652327311831485, [119.5, 122.0]],
  ["unrelated", 9973, 0.004615653616238391, 0.00012501333660780577, [118.01, 118.79]],
];

describe("sag of a leg's voltage", () => {
  it.each(LINES)(
    "with %s voltages, %d of them, is SciPy's line, whole and added up by days",
    (shape, n, ...line) => {
      const [voltsPerKw, r2, p1p99V] = line;
      const u = minstd(n, 2 * n);
      const frame = frameOf(
        Array.from({ length: n }, (_, i) => {
          const [loadL1W, loadL1V] = SAGS[shape](u[i], u[n + i]);
          return { s: i * 60, loadL1W, loadL1V, loadL2W: 0, source: "inverter" as const };
        }),
      );
      const whole = createLegVoltageSums();
      addLegVoltage(frame, whole, RATINGS, 0, n);
      // Seven days of unequal length, the first one of a single sample.
      const byDays = createLegVoltageSums();
      const cuts = [0, 1, ...[0.1, 0.15, 0.5, 0.8, 0.81].map((share) => 1 + Math.floor(share * n)), n];
      for (let k = 1; k < cuts.length; k++) {
        const one = createLegVoltageSums();
        addLegVoltage(frame, one, RATINGS, cuts[k - 1], cuts[k]);
        mergeLegVoltage(byDays, one);
      }
      for (const sums of [whole, byDays]) {
        const found = legVoltageOf(sums)?.l1;
        expect(found?.sag.map((one) => [one.source, one.n])).toEqual([["inverter", n]]);
        // Where hardly anything is explained, the slope is a small difference of large sums.
        expect(found?.sag[0].voltsPerKw).toBeCloseTo(voltsPerKw, 9);
        expect(found?.sag[0].r2).toBeCloseTo(r2, 9);
        // Rounded voltages may fall on either side of a half of a hundredth.
        const digits = found?.resolutionV === 0 ? 9 : 2;
        expect(found?.resolutionV).toBe(n === 9973 && shape !== "half-volts" ? 0.01 : 0);
        expect(found?.p1V).toBeCloseTo(p1p99V[0], digits);
        expect(found?.p99V).toBeCloseTo(p1p99V[1], digits);
      }
    },
  );
});

describe("duration curve over irregular holds", () => {
  // u = minstd(9, 1002); w = float32([6000 * a * a for a in u[:501]]); h = np.array([1 + int(3 * a) for a in u[501:]])
  // h[-1] = np.median(h[:-1]); o = np.argsort(-w); c = np.cumsum(h[o]) / h.sum()
  // [w[o][np.searchsorted(c, s - 1e-12)] for s in shares]; w.max(); w.min()
  const CURVE = [
    [0, 5999.0146484375],
    [0.001, 5999.0146484375],
    [0.01, 5806.98193359375],
    [0.1, 4556.48388671875],
    [0.25, 3126.716796875],
    [0.5, 1725.291748046875],
    [0.75, 423.8865661621094],
    [0.9, 77.71435546875],
    [0.99, 1.1152317523956299],
    [1, 0.0002455551875755191],
  ] as const;

  it("stands within half a bin of NumPy's sorted values", () => {
    const u = minstd(9, 1002);
    const loadW = Float32Array.from(u.slice(0, 501), (a) => 6000 * a * a);
    const heldS = Float64Array.from(u.slice(501), (a) => 1 + Math.floor(3 * a));
    heldS[500] = 2;
    expect(heldS.reduce((sum, hold) => sum + hold, 0)).toBe(1007);
    const curve = createDistribution(10);
    addToDistribution(curve, loadW, heldS, 0, 501);
    const found = valuesExceeded(
      curve,
      CURVE.map(([share]) => share),
    );
    CURVE.forEach(([share, watts], i) => {
      const tolerance = share === 0 || share === 1 ? 0 : 5;
      expect(Math.abs(found[i] - watts)).toBeLessThanOrEqual(tolerance);
    });
  });
});
