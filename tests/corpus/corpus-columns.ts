import type { NumericChannel } from "../../src/analysis/series";
import type { Topic } from "./column-words";
import type { Figure } from "./invented-house";

export type Kind =
  | "power"
  | "va"
  | "volt"
  | "amp"
  | "share"
  | "temperature"
  | "hertz"
  | "energy"
  | "text"
  | "plain";

/** One kind of column that a log of the corpus can have. */
export type CorpusColumn = {
  readonly topic: Topic;
  readonly kind: Kind;
  readonly leg?: 0 | 1;
  /** The figure it shows; for energy the power that is added up. */
  readonly figure?: Figure;
  /** What it is to the reader of logs; null for what no channel takes. */
  readonly channel: NumericChannel | "source" | "faultCode" | null;
  /** One way of a signed figure: the positive or the negative part of the canonical sign. */
  readonly part?: "plus" | "minus";
  /** Energy: a running total, one that starts again at midnight, or that of each interval. */
  readonly energy?: "counter" | "daily" | "interval";
  readonly signed?: "battery" | "grid";
  /** What it may be taken for, and needn't: the same is told by other columns. */
  readonly optional?: true;
};

const leg = (n: 0 | 1): { leg: 0 | 1 } => ({ leg: n });

/** Every kind of column, by the key that the skeletons use. */
export const CORPUS_COLUMNS = {
  l1W: { topic: "load", kind: "power", ...leg(0), figure: "l1W", channel: "loadL1W" },
  l2W: { topic: "load", kind: "power", ...leg(1), figure: "l2W", channel: "loadL2W" },
  loadW: { topic: "total", kind: "power", figure: "loadW", channel: "loadW" },
  l1Va: { topic: "va", kind: "va", ...leg(0), figure: "l1Va", channel: "loadL1Va" },
  l2Va: { topic: "va", kind: "va", ...leg(1), figure: "l2Va", channel: "loadL2Va" },
  l1V: { topic: "volt", kind: "volt", ...leg(0), figure: "l1V", channel: "loadL1V" },
  l2V: { topic: "volt", kind: "volt", ...leg(1), figure: "l2V", channel: "loadL2V" },
  l1A: { topic: "amp", kind: "amp", ...leg(0), figure: "l1A", channel: "loadL1A" },
  l2A: { topic: "amp", kind: "amp", ...leg(1), figure: "l2A", channel: "loadL2A" },
  pvW: { topic: "pv", kind: "power", figure: "pvW", channel: "solarW" },
  pv1W: { topic: "pv1", kind: "power", figure: "pv1W", channel: "solar1W" },
  pv2W: { topic: "pv2", kind: "power", figure: "pv2W", channel: "solar2W" },
  pvV: { topic: "pvV", kind: "volt", figure: "pvV", channel: null },
  pvA: { topic: "pvA", kind: "amp", figure: "pvA", channel: null },
  batW: { topic: "bat", kind: "power", figure: "batW", channel: "batteryW", signed: "battery" },
  batA: { topic: "batA", kind: "amp", figure: "batA", channel: "batteryA", signed: "battery" },
  batV: { topic: "batV", kind: "volt", figure: "batV", channel: "batteryV" },
  soc: { topic: "soc", kind: "share", figure: "soc", channel: "batterySocPct" },
  disW: { topic: "dis", kind: "power", figure: "batW", channel: "batteryW", part: "plus" },
  chgW: { topic: "chg", kind: "power", figure: "batW", channel: "batteryW", part: "minus" },
  disA: { topic: "disA", kind: "amp", figure: "batA", channel: "batteryA", part: "plus" },
  chgA: { topic: "chgA", kind: "amp", figure: "batA", channel: "batteryA", part: "minus" },
  gridW: { topic: "grid", kind: "power", figure: "gridW", channel: "gridW", signed: "grid" },
  g1W: { topic: "gridLeg", kind: "power", ...leg(0), figure: "g1W", channel: "gridL1W", signed: "grid" },
  g2W: { topic: "gridLeg", kind: "power", ...leg(1), figure: "g2W", channel: "gridL2W", signed: "grid" },
  impW: { topic: "imp", kind: "power", figure: "gridW", channel: "gridW", part: "plus" },
  expW: { topic: "exp", kind: "power", figure: "gridW", channel: "gridW", part: "minus" },
  gridV: { topic: "gridV", kind: "volt", figure: "gridV", channel: "gridV" },
  freq: { topic: "freq", kind: "hertz", figure: "freq", channel: "frequencyHz" },
  tInv: { topic: "tInv", kind: "temperature", figure: "tInv", channel: "inverterTempC" },
  source: { topic: "source", kind: "text", channel: "source" },
  fault: { topic: "fault", kind: "text", channel: "faultCode" },
  cLoad: { topic: "eTotal", kind: "energy", energy: "counter", figure: "loadW", channel: "loadW" },
  c1: { topic: "eLeg", kind: "energy", energy: "counter", ...leg(0), figure: "l1W", channel: "loadL1W" },
  c2: { topic: "eLeg", kind: "energy", energy: "counter", ...leg(1), figure: "l2W", channel: "loadL2W" },
  cPv: { topic: "ePv", kind: "energy", energy: "counter", figure: "pvW", channel: "solarW" },
  cImp: { topic: "eImp", kind: "energy", energy: "counter", figure: "gridW", channel: "gridW", part: "plus" },
  cExp: {
    topic: "eExp",
    kind: "energy",
    energy: "counter",
    figure: "gridW",
    channel: "gridW",
    part: "minus",
  },
  dLoad: { topic: "eTotal", kind: "energy", energy: "daily", figure: "loadW", channel: "loadW" },
  dPv: { topic: "ePv", kind: "energy", energy: "daily", figure: "pvW", channel: "solarW" },
  dImp: { topic: "eImp", kind: "energy", energy: "daily", figure: "gridW", channel: "gridW", part: "plus" },
  dExp: { topic: "eExp", kind: "energy", energy: "daily", figure: "gridW", channel: "gridW", part: "minus" },
  iLoad: { topic: "eTotal", kind: "energy", energy: "interval", figure: "loadW", channel: "loadW" },
  i1: { topic: "eLeg", kind: "energy", energy: "interval", ...leg(0), figure: "l1W", channel: "loadL1W" },
  i2: { topic: "eLeg", kind: "energy", energy: "interval", ...leg(1), figure: "l2W", channel: "loadL2W" },
  iPv: { topic: "ePv", kind: "energy", energy: "interval", figure: "pvW", channel: "solarW" },
  iImp: {
    topic: "eImp",
    kind: "energy",
    energy: "interval",
    figure: "gridW",
    channel: "gridW",
    part: "plus",
  },
  iExp: {
    topic: "eExp",
    kind: "energy",
    energy: "interval",
    figure: "gridW",
    channel: "gridW",
    part: "minus",
  },
  iDis: {
    topic: "eDis",
    kind: "energy",
    energy: "interval",
    figure: "batW",
    channel: "batteryW",
    part: "plus",
  },
  iChg: {
    topic: "eChg",
    kind: "energy",
    energy: "interval",
    figure: "batW",
    channel: "batteryW",
    part: "minus",
  },
  /** Counters beside powers of the same: of little or no use to the reader. */
  xLoad: {
    topic: "eTotal",
    kind: "energy",
    energy: "counter",
    figure: "loadW",
    channel: "loadW",
    optional: true,
  },
  xPv: { topic: "ePv", kind: "energy", energy: "daily", figure: "pvW", channel: null },
  tRoom: { topic: "tRoom", kind: "temperature", figure: "tRoom", channel: null },
  tOut: { topic: "tOut", kind: "temperature", figure: "tOut", channel: null },
  humidity: { topic: "humidity", kind: "share", figure: "humidity", channel: null },
  genW: { topic: "gen", kind: "power", figure: "genW", channel: null },
  note: { topic: "note", kind: "text", channel: null },
  number: { topic: "number", kind: "plain", channel: null },
  price: { topic: "price", kind: "plain", channel: null },
  signal: { topic: "signal", kind: "plain", channel: null },
} as const satisfies Readonly<Record<string, CorpusColumn>>;

export type ColumnKey = keyof typeof CORPUS_COLUMNS;
